"""What is called the same in other words is the same for every value, and nothing else is."""

from __future__ import annotations

import pytest

from tests.mutation.equivalents import same_in_other_words


@pytest.mark.parametrize(
    ("before", "after", "same"),
    [
        ("if fitted is RcdType.B:", "if fitted == RcdType.B:", True),
        # By their letters TN-C-S stands first and TT last of the three.
        ("if system is EarthingSystem.TN_C_S:", "if system <= EarthingSystem.TN_C_S:", True),
        ("if system is EarthingSystem.TN_S:", "if system <= EarthingSystem.TN_S:", False),
        ("if system is EarthingSystem.TN_S:", "if system is not EarthingSystem.TN_S:", False),
        # One or three phases, never two.
        ("if item.phases > 1:", "if item.phases > 2:", True),
        ("if item.phases > 1:", "if item.phases > 0:", False),
        ("if a > 1 and item.phases == 1:", "if a > 1 and item.phases <= 1:", True),
        # What can stand on the left is not known.
        ("if size >= least:", "if size > least:", False),
        ("if a is RcdType.B and b:", "if a is RcdType.B or b:", False),
    ],
)
def test_a_change_is_the_same_when_no_value_tells_it_apart(before: str, after: str, same: bool) -> None:
    assert same_in_other_words(before, after) is same
