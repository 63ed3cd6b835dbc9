"""How long data is kept: the days published in docs/privacy.md, whose time comes first, and what a time can be."""

from __future__ import annotations

import pytest

from trainer.domain.errors import OutOfRangeError
from trainer.services.privacy.times import DEFAULTS, checked_days, days_kept, kinds
from trainer.services.privacy.words import Kept

# Worked out by hand: a day, a week, months of thirty days, years of 365; statistics over a little more than one.
DAYS = {
    Kept.COUNTS: 1,
    Kept.ROSTERS: 7,
    Kept.LINKS: 30,
    Kept.MAIL: 30,
    Kept.JOBS: 3 * 30,
    Kept.SESSIONS: 3 * 30,
    Kept.PRACTICE: 400,
    Kept.ACCOUNTS: 2 * 365,
    Kept.ARRANGEMENTS: 365,
    Kept.INVITATIONS: 365,
    Kept.MEMBERS: 3 * 365,
    Kept.SITTINGS: 6 * 365,
    Kept.RECORDS: 6 * 365,
}
OF_ORGANISATIONS = {Kept.ARRANGEMENTS, Kept.INVITATIONS, Kept.MEMBERS, Kept.SITTINGS, Kept.RECORDS}


def test_every_kind_has_the_days_that_are_published() -> None:
    assert {kind: time.days for kind, time in DEFAULTS.items()} == DAYS
    assert set(DAYS) == set(Kept)


def test_an_organisation_sets_times_for_its_own_people_and_papers_only() -> None:
    assert set(kinds(of_organisation=True)) == OF_ORGANISATIONS
    assert set(kinds(of_organisation=False)) == set(Kept) - OF_ORGANISATIONS


@pytest.mark.parametrize(
    ("stored", "expected"),
    [
        ({}, 1095),
        ({("", Kept.MEMBERS): 500}, 500),
        ({("college", Kept.MEMBERS): 90}, 90),
        ({("", Kept.MEMBERS): 500, ("college", Kept.MEMBERS): 90}, 90),
        ({("", Kept.MEMBERS): 90, ("college", Kept.MEMBERS): 500}, 500),
        ({("firm", Kept.MEMBERS): 90, ("college", Kept.SITTINGS): 80, ("", Kept.LINKS): 70}, 1095),
    ],
)
def test_the_time_of_the_organisation_comes_before_that_of_the_site_and_that_before_the_usual_one(
    stored: dict[tuple[str, Kept], int], expected: int
) -> None:
    assert days_kept(Kept.MEMBERS, "college", stored) == expected


def test_a_time_of_an_organisation_does_not_hold_for_what_belongs_to_the_site() -> None:
    stored = {("college", Kept.SESSIONS): 5}
    assert days_kept(Kept.SESSIONS, "college", stored) == 90
    assert days_kept(Kept.SESSIONS, "college", {**stored, ("", Kept.SESSIONS): 60}) == 60


# 21 900 days are sixty years, ten times the longest.
@pytest.mark.parametrize("days", [1, 2, 21_899, 21_900])
def test_a_time_is_from_one_day_to_sixty_years(days: int) -> None:
    assert checked_days(days) == days


@pytest.mark.parametrize("days", [-1, 0, 21_901])
def test_another_time_is_refused_with_what_is_possible(days: int) -> None:
    with pytest.raises(OutOfRangeError, match="from 1 to 21900"):
        checked_days(days)
