"""Codes by time."""

from __future__ import annotations

import base64

import pytest

from trainer.services.people.second_factor import right_step

# RFC 6238, appendix B: the key in ASCII, SHA-1; the last six of the eight digits printed there.
SECRET = base64.b32encode(b"12345678901234567890").decode()
PRINTED = [
    (59, "94287082"),
    (1111111109, "07081804"),
    (1111111111, "14050471"),
    (1234567890, "89005924"),
    (2000000000, "69279037"),
    (20000000000, "65353130"),
]


@pytest.mark.parametrize(("at_s", "digits"), PRINTED)
def test_the_codes_are_those_printed_in_the_standard(at_s: int, digits: str) -> None:
    assert right_step(SECRET, digits[-6:], at_s) == at_s // 30


@pytest.mark.parametrize(("late_s", "taken"), [(-31, True), (0, True), (30, True), (61, False), (-61, False)])
def test_a_code_is_taken_one_step_around_its_time(late_s: int, *, taken: bool) -> None:
    """RFC 6238, section 5.2: at most one step for the delay of the way."""
    at_s, digits = 1111111109, "07081804"
    # The step goes from 1111111080 to 1111111110; 29 s into it the printed code holds.
    assert (right_step(SECRET, digits[-6:], at_s + late_s) is not None) == taken


@pytest.mark.parametrize(("at_s", "digits"), PRINTED[1:])
@pytest.mark.parametrize(("steps", "taken"), [(-2, False), (-1, True), (1, True), (2, False)])
def test_each_printed_code_is_taken_a_step_early_and_late_and_not_two(
    at_s: int, digits: str, steps: int, *, taken: bool
) -> None:
    # The printed moments lie in steps of even and of odd number.
    assert right_step(SECRET, digits[-6:], at_s + 30 * steps) == (at_s // 30 if taken else None)


@pytest.mark.parametrize("typed", ["", "94287", "287083", "28708\u0662", "94287082", "-287082", "287082\x00"])
def test_anything_else_is_no_code(typed: str) -> None:
    assert right_step(SECRET, typed, 59) is None


def test_spaces_in_a_typed_code_do_not_matter() -> None:
    assert right_step(SECRET, " 287 082 ", 59) == 1
