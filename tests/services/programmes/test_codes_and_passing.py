"""Codes as people type them, and the standard of a programme."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.draws import UNHURRIED
from tests.web.conftest import NOON
from trainer.services.programmes.codes import _ALPHABET, as_typed, new_code, shown
from trainer.services.programmes.records import Draw, Programme, TrainingRecord, read_draw, write_draw
from trainer.services.programmes.refreshers import passes
from trainer.services.programmes.training_records import is_in_force, name_shown
from trainer.services.programmes.words import NameVisibility, ProgrammeState

PROGRAMME = Programme(
    id="p",
    organisation_id="o",
    title="T",
    state=ProgrammeState.ACTIVE,
    revision=1,
    warning_days=30,
    pass_percent=80,
    critical_errors_fail=True,
    items=5,
    level=2,
    edition="A4:2026",
    draw=Draw(),
    made_by=None,
    created_at=NOON,
)
RECORD = TrainingRecord(
    id="r",
    code="c",
    organisation_id="o",
    member_id="m",
    sitting_id=None,
    programme_id=None,
    paper_id=None,
    title="T",
    holder_name="Ann Maria Lee",
    name_visibility=NameVisibility.HIDDEN,
    objectives_json='["LO02"]',
    edition="A4:2026",
    rule_set_version="1",
    marks=8,
    marks_available=10,
    issued_at=NOON,
    valid_until=NOON,
)


def test_a_code_holds_at_least_128_bits() -> None:
    """RFC 6749, 10.10 asks for a chance of guessing of at most 2^-128."""
    assert len(new_code()) * math.log2(len(_ALPHABET)) >= 128
    assert len({new_code() for _ in range(200)}) == 200


@UNHURRIED
@given(st.text(alphabet=_ALPHABET, min_size=26, max_size=26))
def test_what_is_shown_is_read_back_in_small_letters_too(code: str) -> None:
    assert as_typed(shown(code)) == code
    assert as_typed(f"  {shown(code).lower()} ") == code


@UNHURRIED
@given(st.text(max_size=3000))
def test_whatever_is_typed_is_no_longer_than_two_codes(text: str) -> None:
    assert len(as_typed(text)) <= 52


@pytest.mark.parametrize(
    ("marks", "available", "safe", "expected"),
    [
        # 80 percent by hand.
        (8, 10, True, True),
        (7, 10, True, False),
        (79, 99, True, False),
        (80, 99, True, True),
        (10, 10, False, False),
        (0, 0, True, False),
    ],
)
def test_the_standard_is_held_exactly(marks: int, available: int, safe: bool, expected: bool) -> None:
    assert passes(PROGRAMME, marks, available, safe_to_energise=safe) is expected


def test_a_programme_may_let_a_remaining_danger_pass_by_marks() -> None:
    lenient = replace(PROGRAMME, critical_errors_fail=False)
    assert passes(lenient, 10, 10, safe_to_energise=False)


def test_the_name_reads_as_the_holder_allows() -> None:
    shown_as = {each: name_shown(replace(RECORD, name_visibility=each)) for each in NameVisibility}
    assert shown_as == {
        NameVisibility.HIDDEN: "",
        NameVisibility.INITIALS: "A. M. L.",
        NameVisibility.FULL: "Ann Maria Lee",
    }


def test_a_revoked_record_is_not_in_force_on_its_last_day() -> None:
    assert is_in_force(RECORD, NOON.date())
    assert not is_in_force(replace(RECORD, revoked_at=NOON, revoked_reason="x"), NOON.date())


def test_settings_of_a_draw_are_read_back_and_missing_ones_are_as_usual() -> None:
    draw = Draw(cycle_months=18, first_due_days=10)
    assert read_draw(write_draw(draw), 500) == draw
    assert read_draw("{}", 365).cycle_months == 12
