"""Every rule is seen to comply, to fail and to stand on its limit, and says what its figures were compared with.

The other tests of this folder are run once more while a plugin writes down each verdict; so what is counted is
what the rules said, not what a test is called. Whether a test would notice a wrong verdict is the business of
``tests/mutation``.
"""

from __future__ import annotations

import ast
import json
import subprocess
import sys
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tests.domain.rules.recorder import Seen
from trainer.domain.rules.book import ALL_RULES

TESTS = Path(__file__).parents[2]
FOLDER = Path(__file__).parent
OUTSIDE: dict[str, dict[str, Any]] = tomllib.loads((TESTS / "reference" / "outside_checks.toml").read_text("utf-8"))
IDS = [rule.id for rule in ALL_RULES]

# What a rule can never say, and why.
NEVER_COMPLIES = {
    "PV-09": "no record shows the loop of the conductors: always a word of advice",
    "BAT-02": "the chapter's clauses were not seen: always a word of advice",
}
NEVER_FAILS = {
    "GEN-10": "states that a part of the book applies",
    "SUP-03": "asks for what the record lacks: complies or is undetermined",
    "VER-03": "asks for what the record lacks: complies or is undetermined",
}
NEVER_ON_THE_LIMIT = {
    "EV-12": "two detectors give 12 mA, one is not judged: nothing stands on 6 or 10 mA",
}
FAILING = ("does_not_comply", "advice")


def gaps(seen: Seen) -> list[str]:
    """What no test saw, in words; an exception that is none any more is a gap too."""
    found = []
    for rule_id, kinds in seen.items():
        lacks = {
            "complies": (not kinds.get("complies"), NEVER_COMPLIES),
            "fails": (not any(kinds.get(kind) for kind in FAILING), NEVER_FAILS),
            "stands on its limit": (bool(kinds.get("compares")) and not on_the_limit(kinds), NEVER_ON_THE_LIMIT),
        }
        for what, (lacking, exceptions) in lacks.items():
            if lacking and rule_id not in exceptions:
                found.append(f"{rule_id}: no test in which it {what}")
            if not lacking and rule_id in exceptions:
                found.append(f"{rule_id}: a test in which it {what}, though it is said never to")
    return found


def on_the_limit(kinds: dict[str, list[str]]) -> bool:
    """True when a value met its limit, or values within 1 % of it were seen on both sides."""
    return bool(kinds.get("on the limit") or (kinds.get("just complies") and kinds.get("just fails")))


@cache
def recorded(file: Path) -> Seen:
    """What the rules said while the other tests of this folder ran."""
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "tests.domain.rules.recorder"]
    # test_book.py reads the source of the rules, and must not find the plugin's wrapping in their place.
    ignored = [f"--ignore={FOLDER / name}" for name in (Path(__file__).name, "test_book.py")]
    run = subprocess.run(
        [*command, "-n", "0", "--record-rules", str(file), *ignored, str(FOLDER)],
        cwd=TESTS.parent,
        check=False,
        capture_output=True,
        text=True,
    )
    assert run.returncode == 0, run.stdout
    seen: Seen = json.loads(file.read_text("utf-8"))
    return seen


def test_every_rule_complies_fails_and_stands_on_its_limit_somewhere(tmp_path_factory: pytest.TempPathFactory) -> None:
    seen = recorded(tmp_path_factory.mktemp("rules") / "seen.json")
    assert list(seen) == IDS
    assert gaps(seen) == []


@pytest.mark.parametrize(
    ("kinds", "found"),
    [
        ({"complies": ["a"], "does_not_comply": ["b"]}, []),
        ({"complies": ["a"], "advice": ["b"]}, []),
        ({"complies": ["a"]}, ["OC-01: no test in which it fails"]),
        ({"does_not_comply": ["b"]}, ["OC-01: no test in which it complies"]),
        ({}, ["OC-01: no test in which it complies", "OC-01: no test in which it fails"]),
        (
            {"complies": ["a"], "advice": ["b"], "compares": ["a"], "just complies": ["a"]},
            ["OC-01: no test in which it stands on its limit"],
        ),
        ({"complies": ["a"], "advice": ["b"], "compares": ["a"], "on the limit": ["a"]}, []),
        ({"complies": ["a"], "advice": ["b"], "compares": ["a"], "just complies": ["a"], "just fails": ["b"]}, []),
    ],
)
def test_what_no_test_saw_is_found(kinds: dict[str, list[str]], found: list[str]) -> None:
    assert gaps({"OC-01": kinds}) == found


def test_an_exception_that_is_none_any_more_is_found() -> None:
    kinds = {"complies": ["a"], "advice": ["b"]}
    assert gaps({"PV-09": kinds}) == ["PV-09: a test in which it complies, though it is said never to"]


def test_every_rule_says_once_what_its_figures_were_compared_with() -> None:
    assert list(OUTSIDE) == IDS


@pytest.mark.parametrize("rule_id", IDS)
def test_a_comparison_names_its_source_and_tests_that_exist(rule_id: str) -> None:
    entry = OUTSIDE[rule_id]
    if "none" in entry:
        assert set(entry) == {"none"}
        assert len(entry["none"]) > 30
        assert entry["none"].endswith(".")
        return
    assert set(entry) == {"against", "tests"}
    assert len(entry["against"]) > 15
    assert entry["tests"]
    for test in entry["tests"]:
        file, _, name = test.partition("::")
        assert name in names_in(TESTS / file), test


@cache
def names_in(file: Path) -> frozenset[str]:
    """The functions of a file of tests."""
    tree = ast.parse(file.read_text("utf-8"))
    return frozenset(node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))
