"""A change put into functions that are loaded is seen by whoever calls them; what runs at import is told apart."""

from __future__ import annotations

from types import FunctionType

import pytest

from tests.mutation.swapping import NotSwappableError, differing, place, swap

BEFORE = """
LEAST = 3

class Device:
    def enough(self, current):
        return current >= LEAST

def all_enough(currents):
    return all(each >= LEAST for each in currents)
"""


def _loaded(source: str) -> dict[str, object]:
    names: dict[str, object] = {}
    exec(compile(source, "before", "exec"), names)
    return names


def _swapped(names: dict[str, object], after: str) -> list[str]:
    device = names["Device"]
    functions = [names["all_enough"], vars(device)["enough"]]
    living = {place(each.__code__): [each] for each in functions if isinstance(each, FunctionType)}
    parts = differing(BEFORE, after)
    swap(living, parts)
    return [name for (name, _), _ in parts]


def test_a_method_acts_as_it_was_changed() -> None:
    names = _loaded(BEFORE)
    assert _swapped(names, BEFORE.replace("return current >=", "return current >")) == ["Device.enough"]
    assert not names["Device"]().enough(3)  # type: ignore[operator]


def test_a_change_within_a_generator_reaches_the_function_around_it() -> None:
    names = _loaded(BEFORE)
    assert "all_enough" in _swapped(names, BEFORE.replace("(each >=", "(each >"))
    assert not names["all_enough"]([3, 4])  # type: ignore[operator]


@pytest.mark.parametrize(
    ("what", "instead"),
    [
        ("LEAST = 3", "LEAST = 4"),
        ("LEAST = 3", "LEAST = True"),
        ("def enough(self, current)", "def enough(self, current=1)"),
        ("class Device:", "class Device(dict):"),
        ("LEAST = 3", "LEAST ="),
    ],
)
def test_what_shows_only_at_import_is_told_apart(what: str, instead: str) -> None:
    with pytest.raises(NotSwappableError):
        differing(BEFORE, BEFORE.replace(what, instead))


def test_an_unchanged_source_has_nothing_to_swap() -> None:
    assert differing(BEFORE, BEFORE) == []
