"""No input whatsoever gives anything but an installation or an InstallationError."""

from __future__ import annotations

import copy
import json
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer.domain.errors import InstallationError
from trainer.domain.installation import Installation
from trainer.domain.validation import validated
from trainer.interop.canonical import canonical_bytes
from trainer.interop.installations import installation_from_json, read_installation
from trainer.interop.problems import errors_json
from trainer.resources import folder

MANY = settings(max_examples=300, deadline=None, suppress_health_check=list(HealthCheck))
EXAMPLES = [path.read_bytes() for path in sorted((folder("scenarios") / "examples").glob("*.toml"))]
ODD = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=20)
    | st.sampled_from(["cu", "main", "way1", "supply", "rcbo", "A", "TT", "", "L2", 10**400, 3, 1e308, "\ud800"])
)
JSON = st.recursive(
    ODD, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
)


def outcome(attempt: Any) -> Installation | InstallationError:
    try:
        return attempt()
    except InstallationError as error:
        return error


def one_or_the_other(attempt: Any) -> None:
    """An installation that is sound, or problems that can be printed and sent as JSON."""
    answer = outcome(attempt)
    if isinstance(answer, Installation):
        assert validated(answer) is answer
        return
    assert answer.problems
    assert all(problem.problem for problem in answer.problems)
    str(answer).encode()
    canonical_bytes(errors_json(answer.problems))


def nothing_is_lost(data: dict[str, Any]) -> None:
    """A file that is read is read whole: as many records as it holds."""
    answer = outcome(lambda: installation_from_json(data))
    if isinstance(answer, Installation):
        for name in ("boards", "devices", "circuits", "equipment"):
            assert len(getattr(answer, name)) == len(data[name])


@MANY
@given(st.binary(max_size=200))
def test_any_bytes(data):
    one_or_the_other(lambda: read_installation(data).installation)


@MANY
@given(st.text(max_size=200))
def test_any_text(text):
    one_or_the_other(lambda: read_installation(text.encode("utf-8", "surrogatepass")).installation)


@MANY
@given(JSON)
def test_any_object(data):
    one_or_the_other(lambda: installation_from_json(data))


@MANY
@given(st.sampled_from(EXAMPLES), st.data())
def test_any_example_with_a_stretch_cut_out_or_put_in(example, data):
    start = data.draw(st.integers(0, len(example)))
    end = data.draw(st.integers(start, min(len(example), start + 300)))
    put_in = data.draw(st.binary(max_size=10))
    one_or_the_other(lambda: read_installation(example[:start] + put_in + example[end:]).installation)


def _places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = [path] if path else []
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in pairs:
        found.extend(_places(item, (*path, key)))
    return found


def _spoilt(whole: dict[str, Any], path: tuple[Any, ...], change: str, value: Any) -> None:
    holder: Any = whole
    for key in path[:-1]:
        if not isinstance(holder, dict | list) or (isinstance(holder, list) and key >= len(holder)):
            return
        holder = holder[key] if isinstance(holder, list) else holder.get(key)
    if isinstance(holder, dict):
        holder.pop(path[-1], None) if change == "drop" else holder.update({path[-1]: value})
    elif isinstance(holder, list) and isinstance(path[-1], int) and path[-1] < len(holder):
        holder.pop(path[-1]) if change == "drop" else holder.__setitem__(path[-1], value)


def _objects() -> list[dict[str, Any]]:
    import tomllib

    return [tomllib.loads(example.decode()) for example in EXAMPLES]


OBJECTS = _objects()


@MANY
@given(st.sampled_from(OBJECTS), st.data())
def test_any_example_with_some_of_its_values_exchanged_or_dropped(example, data):
    spoilt = copy.deepcopy(example)
    for _ in range(data.draw(st.integers(1, 4))):
        path = data.draw(st.sampled_from(_places(example)))
        _spoilt(spoilt, path, data.draw(st.sampled_from(["drop", "put"])), data.draw(ODD | JSON))
    one_or_the_other(lambda: installation_from_json(spoilt))
    nothing_is_lost(spoilt)
    one_or_the_other(lambda: read_installation(json.dumps(spoilt).encode()).installation)
