"""Papers on both databases: one of two editors wins, nothing crosses the wall, the clock finds what is due."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy.exc import IntegrityError

from tests.web.conftest import NOON
from tests.web.people.conftest import House, build, member
from trainer.persistence.database import Database
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.papers.blueprint import Blueprint, write_blueprint
from trainer.services.papers.records import Arrangement, Paper
from trainer.services.papers.words import PaperMode, PaperState, ReleasePolicy
from trainer.services.people.records import Group, GroupPlace
from trainer.services.people.words import GroupPart, MemberState, Role

PAPER = Paper(
    id="paper",
    organisation_id="college",
    title="Paper",
    state=PaperState.DRAFT,
    revision=1,
    blueprint_json=write_blueprint(Blueprint()),
    mode=PaperMode.GRADED,
    opens_at=None,
    closes_at=None,
    time_limit_s=3600,
    attempts_allowed=1,
    access_code=None,
    pass_percent=None,
    critical_errors_fail=False,
    release_policy=ReleasePolicy.BY_HAND,
    release_at=None,
    variant_key="key",
    edition="A4:2026",
    generator_version="1",
    rule_set_version="1",
    made_by="college-administrator",
    created_at=NOON,
    changed_at=NOON,
)


@pytest.fixture
def storage(database: Database) -> SqlStorage:
    return SqlStorage(database)


@pytest.fixture
def college(storage: SqlStorage) -> House:
    """A college and a firm; two groups that share a learner, one of them taught by the lecturer."""
    house = build(storage, "college")
    build(storage, "firm")
    with storage.scopes(people_repositories).writing() as stored:
        for name in ("class", "other"):
            stored.groups.add(Group(id=name, organisation_id="college", name=name, created_at=NOON))
        stored.members.add(member("second", "college", Role.LEARNER, state=MemberState.INVITED))
        places = (
            ("class", "college-lecturer", GroupPart.TEACHES),
            ("class", "college-learner", GroupPart.LEARNS),
            ("other", "college-learner", GroupPart.LEARNS),
            ("other", "second", GroupPart.LEARNS),
        )
        stored.groups.put(
            [
                GroupPlace(group_id=group, member_id=who, organisation_id="college", part=part, joined_at=NOON)
                for group, who, part in places
            ]
        )
    with storage.scopes(paper_repositories).writing() as stored:
        stored.papers.add(PAPER)
    return house


def test_of_many_editors_at_once_one_wins_each_revision(storage: SqlStorage, college: House) -> None:
    def edit(number: int) -> bool:
        with storage.scopes(paper_repositories).writing() as stored:
            return stored.papers.change(replace(PAPER, title=f"Title {number}"), seen=1)

    with ThreadPoolExecutor(8) as pool:
        won = list(pool.map(edit, range(8)))
    assert won.count(True) == 1
    with storage.scopes(paper_repositories).reading() as stored:
        found = stored.papers.get("college", "paper")
    assert (found.revision, found.title) == (2, f"Title {won.index(True)}")


def test_a_paper_is_not_there_for_another_organisation(storage: SqlStorage, college: House) -> None:
    with storage.scopes(paper_repositories).writing() as stored:
        assert stored.papers.get("firm", "paper") is None
        assert stored.papers.change(replace(PAPER, organisation_id="firm"), seen=1) is False
        assert list(stored.papers.all("firm")) == []


def test_the_database_itself_refuses_a_group_of_another_organisation(storage: SqlStorage, college: House) -> None:
    with pytest.raises(IntegrityError), storage.scopes(paper_repositories).writing() as stored:
        stored.papers.set_groups("firm", "paper", {"class"})


def test_a_learner_in_two_groups_sits_a_paper_once(storage: SqlStorage, college: House) -> None:
    with storage.scopes(paper_repositories).writing() as stored:
        stored.papers.set_groups("college", "paper", {"class", "other"})
        found = stored.papers.candidates("college", "paper")
    assert [(each.member_id, each.groups) for each in found] == [
        ("college-learner", ("class", "other")),
        ("second", ("other",)),
    ]


def test_who_learns_in_each_group_comes_with_one_question_and_a_group_without_learners_is_not_lost(
    storage: SqlStorage, college: House
) -> None:
    with storage.scopes(people_repositories).writing() as stored:
        stored.groups.add(Group(id="empty", organisation_id="college", name="empty", created_at=NOON))
    with storage.scopes(paper_repositories).writing() as stored:
        stored.papers.set_groups("college", "paper", {"class", "other", "empty"})
        assert stored.papers.learners("college", "paper") == {
            "class": {"college-learner"},
            "other": {"college-learner", "second"},
            "empty": frozenset(),
        }
        assert stored.papers.learners("firm", "paper") == {}


def test_groups_that_are_no_longer_named_leave(storage: SqlStorage, college: House) -> None:
    with storage.scopes(paper_repositories).writing() as stored:
        stored.papers.set_groups("college", "paper", {"class", "other"})
        stored.papers.set_groups("college", "paper", {"other"})
        assert list(stored.papers.groups_of("college", "paper")) == ["other"]
        assert not stored.papers.may_see(PAPER, "college-lecturer")
        stored.papers.set_groups("college", "paper", set())
        assert list(stored.papers.groups_of("college", "paper")) == []


def test_a_lecturer_lists_own_papers_and_those_of_taught_groups(storage: SqlStorage, college: House) -> None:
    with storage.scopes(paper_repositories).writing() as stored:
        assert [each.paper.id for each in stored.papers.all("college", seen_by="college-administrator")] == ["paper"]
        assert list(stored.papers.all("college", seen_by="college-lecturer")) == []
        stored.papers.set_groups("college", "paper", {"class"})
        listed = stored.papers.all("college", seen_by="college-lecturer")
    assert [(each.paper.id, each.groups, each.sittings, each.handed_in) for each in listed] == [
        ("paper", ("class",), 0, 0)
    ]


def test_learners_see_no_drafts(storage: SqlStorage, college: House) -> None:
    with storage.scopes(paper_repositories).writing() as stored:
        stored.papers.set_groups("college", "paper", {"class"})
        assert list(stored.papers.of_learner("college", "college-learner")) == []
        stored.papers.change(replace(PAPER, state=PaperState.LOCKED), seen=1)
        assert [each.id for each in stored.papers.of_learner("college", "college-learner")] == ["paper"]
        assert list(stored.papers.of_learner("college", "second")) == []


@pytest.mark.parametrize(
    ("state", "field", "is_due"),
    [
        (PaperState.LOCKED, "opens_at", True),
        (PaperState.OPEN, "closes_at", True),
        (PaperState.MODERATED, "release_at", True),
        (PaperState.DRAFT, "opens_at", False),
        (PaperState.CLOSED, "release_at", False),
    ],
)
def test_the_clock_finds_exactly_what_is_due(
    storage: SqlStorage, college: House, state: PaperState, field: str, is_due: bool
) -> None:
    policy = ReleasePolicy.ON_DATE if field == "release_at" else ReleasePolicy.BY_HAND
    with storage.scopes(paper_repositories).writing() as stored:
        stored.papers.change(replace(PAPER, state=state, release_policy=policy, **{field: NOON}), seen=1)
        assert bool(stored.papers.due(NOON)) is is_due
        assert list(stored.papers.due(NOON - timedelta(seconds=1))) == []


def test_an_arrangement_holds_for_its_paper_or_for_all_until_it_ends(storage: SqlStorage, college: House) -> None:
    arrangement = Arrangement(
        id="one", organisation_id="college", member_id="college-learner", paper_id="paper", extra_time_percent=25,
        rest_breaks_s=0, larger_text=False, note="", made_by=None, created_at=NOON,
    )  # fmt: skip
    with storage.scopes(paper_repositories).writing() as stored:
        stored.papers.set_groups("college", "paper", {"class"})
        stored.arrangements.add(arrangement)
        stored.arrangements.add(replace(arrangement, id="two", paper_id=None, larger_text=True))
        of_paper = {each.id for each in stored.arrangements.of_paper("college", "paper")}
        elsewhere = {each.id for each in stored.arrangements.of_member("college", "college-learner", "another")}
        stored.arrangements.end("college", "two", NOON)
        left = {each.id for each in stored.arrangements.of_member("college", "college-learner", "paper")}
    assert (of_paper, elsewhere, left) == ({"one", "two"}, {"two"}, {"one"})
