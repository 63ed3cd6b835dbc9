"""Whatever a file leaves out, the check answers: undetermined, never a trace, never a guess in silence."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from tests.interop.strategies import installations
from trainer.domain.errors import InstallationError
from trainer.domain.installation import Installation
from trainer.domain.validation import validated
from trainer.domain.vocabulary import Edition
from trainer.explain.check_report import check_report
from trainer.interop.canonical import canonical_bytes
from trainer.interop.findings_json import check_json
from trainer.interop.installations import installation_from_json
from trainer.resources import folder
from trainer.services.checking import check

EXAMPLES = sorted((folder("scenarios") / "examples").glob("*.toml"))


def _places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in pairs:
        if isinstance(key, str):
            yield (*path, key)
        yield from _places(item, (*path, key))


def _without(whole: dict[str, Any], path: tuple[Any, ...]) -> dict[str, Any]:
    spoilt = copy.deepcopy(whole)
    holder: Any = spoilt
    for key in path[:-1]:
        holder = holder[key]
    del holder[path[-1]]
    return spoilt


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_fact_of_an_example_can_be_left_out_by_itself(path):
    whole = tomllib.loads(path.read_text("utf-8"))
    for place in _places(whole):
        try:
            house = installation_from_json(_without(whole, place))
        except InstallationError:
            continue  # a fact that no installation can lack
        canonical_bytes(check_json(check(house), "caution"))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(installations())
def test_every_installation_that_passes_the_door_can_be_judged_under_every_edition(house: Installation):
    for edition in Edition:
        result = check(validated(house), edition)
        canonical_bytes(check_json(result, "caution"))
        assert check_report(result).splitlines()[-1].count("not covered") == 1
