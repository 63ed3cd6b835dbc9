"""Many at once, on both databases: each thing that works once works once."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta
from typing import Any, TypeVar

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from tests.web.people.conftest import CHEAP, NOON, PASSWORD, member, person
from trainer.domain.errors import TrainerError
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.operation.rates import RateCounts
from trainer.persistence.people.repositories import SqlPeopleRepositories, people_repositories
from trainer.persistence.people.standings import SqlStandings
from trainer.persistence.repositories import SqlStorage
from trainer.services.operation.audit import Actor, AuditEvent, verified
from trainer.services.people.here import Desk, Here, here_of
from trainer.services.people.joining import Joining
from trainer.services.people.members import MemberForm, MembersDesk
from trainer.services.people.records import JoinCode, SecondFactor, Session, Standing, Token
from trainer.services.people.words import MemberState, Role, TokenPurpose

D = TypeVar("D", bound=Desk)
TIMES = 24
THREADS = 8


def at_once(work: Callable[[int], Any], times: int = TIMES) -> list[Any]:
    with ThreadPoolExecutor(THREADS) as pool:
        return list(pool.map(work, range(times)))


def in_turn(storage: SqlStorage, work: Callable[[SqlPeopleRepositories], Any]) -> Callable[[int], Any]:
    def one(_number: int) -> Any:
        with storage.scopes(people_repositories).writing() as stored:
            return work(stored)

    return one


def desk(storage: SqlStorage, kind: type[D]) -> D:
    from itertools import count

    numbers = count()
    return kind(
        storage=storage.scopes(people_repositories),
        standings=SqlStandings(storage.database),
        now=lambda: NOON,
        new_id=lambda: f"made-{next(numbers)}",
        hasher=CHEAP,
        secret_key="a secret that is used in tests only",
    )


def here(storage: SqlStorage, name: str) -> Here:
    with storage.scopes(people_repositories).reading() as stored:
        organisation, found = stored.organisations.get("college"), stored.members.get("college", name)
    return here_of(
        Standing(session=session(name), person=person(name), has_second_factor=False, member=found,
                 organisation=organisation)
    )  # fmt: skip


def session(name: str) -> Session:
    return Session(
        id=f"s-{name}", token_hash="0" * 64, person_id=name, member_id=name, device="", created_at=NOON,
        last_seen_at=NOON, expires_at=NOON + timedelta(hours=1),
    )  # fmt: skip


def test_a_link_is_used_by_one(college: SqlStorage) -> None:
    token = Token(token_hash="0" * 64, purpose=TokenPurpose.RESET, person_id="first", member_id=None,
                  created_at=NOON, expires_at=NOON + timedelta(hours=1))  # fmt: skip
    in_turn(college, lambda stored: stored.tokens.add(token))(0)
    assert sum(at_once(in_turn(college, lambda stored: stored.tokens.use("0" * 64, NOON)))) == 1


def test_a_code_by_time_is_used_by_one(college: SqlStorage) -> None:
    factor = SecondFactor(person_id="first", salt="s", created_at=NOON, confirmed_at=NOON, last_step=1)
    in_turn(college, lambda stored: stored.second_factors.put(factor))(0)
    assert sum(at_once(in_turn(college, lambda stored: stored.second_factors.use_step("first", 2)))) == 1


def test_a_code_from_paper_is_used_by_one(college: SqlStorage) -> None:
    in_turn(college, lambda stored: stored.second_factors.set_recovery_codes("first", ["1" * 64]))(0)
    used = in_turn(college, lambda stored: stored.second_factors.use_recovery_code("first", "1" * 64, NOON))
    assert sum(at_once(used)) == 1


def test_a_code_of_a_group_lets_in_as_many_as_it_says(college: SqlStorage) -> None:
    code = JoinCode(code="AAAAAAAA", organisation_id="college", group_id="group", made_by=None, created_at=NOON,
                    expires_at=NOON + timedelta(days=1), revoked_at=None, uses=0, uses_allowed=5)  # fmt: skip
    in_turn(college, lambda stored: stored.groups.add_code(code))(0)
    assert sum(at_once(in_turn(college, lambda stored: stored.groups.use_code("AAAAAAAA", NOON)))) == 5


def test_a_name_is_taken_by_one(college: SqlStorage) -> None:
    def make(number: int) -> bool:
        with college.scopes(people_repositories).writing() as stored:
            return stored.people.add(person(f"p{number}", sign_in_name="racer"))

    assert sum(at_once(make)) == 1


def test_one_who_joins_many_times_at_once_is_one_member(college: SqlStorage) -> None:
    code = JoinCode(code="AAAAAAAA", organisation_id="college", group_id="group", made_by=None, created_at=NOON,
                    expires_at=NOON + timedelta(days=1), revoked_at=None, uses=0, uses_allowed=100)  # fmt: skip
    in_turn(college, lambda stored: (stored.groups.add_code(code), stored.people.add(person("joiner"))))(0)
    in_turn(college, lambda stored: stored.sessions.add(replace(session("joiner"), member_id=None)))(0)
    joining = desk(college, Joining)
    standing = Standing(session=session("joiner"), person=person("joiner"), has_second_factor=False, member=None,
                        organisation=None)  # fmt: skip
    at_once(lambda _: joining.join(standing, "AAAA-AAAA"), times=8)
    with college.scopes(people_repositories).reading() as stored:
        assert len(stored.members.of_person("joiner")) == 1
        assert len(stored.groups.parts("college", "group")) == 1


def test_two_administrators_who_demote_each_other_leave_one(college: SqlStorage) -> None:
    members = desk(college, MembersDesk)
    acting = [here(college, "first"), here(college, "second")]
    form = MemberForm(display_name="X", roles=frozenset({Role.LEARNER}))

    def demote(number: int) -> bool:
        try:
            members.change(acting[number], acting[1 - number].member_id, form)
        except TrainerError:
            return False
        return True

    assert sum(at_once(demote, times=2)) == 1
    with college.scopes(people_repositories).reading() as stored:
        assert len(stored.members.with_role("college", Role.ADMINISTRATOR)) == 1


def test_a_password_that_changes_and_a_sign_in_with_the_old_one_leave_no_session(college: SqlStorage) -> None:
    """Whichever comes first: no session that the old password began outlives its change."""
    joining, other = desk(college, Joining), CHEAP.hash("violet anchor teapot canyon")

    def work(number: int) -> None:
        if number == TIMES // 2:
            with college.scopes(people_repositories).writing() as stored:
                joining.set_password(stored, person("first"), other)
        else:
            joining.sign_in("first", PASSWORD, "device")

    at_once(work)
    with college.scopes(people_repositories).reading() as stored:
        assert stored.sessions.of_person("first") == ()
        found = stored.people.get("first")
    assert found is not None
    assert found.password_hash == other


def test_the_chain_stays_one_chain(college: SqlStorage) -> None:
    event = AuditEvent(at=NOON, actor=Actor(kind="command"), action="x.done", subject_kind="x", subject_id="x")
    at_once(in_turn(college, lambda stored: stored.audit.append(event)))
    with college.scopes(SqlAuditLog).reading() as log:
        report = verified(log.all())
    assert (report.entries, report.problem) == (TIMES, "")


@pytest.mark.parametrize("statement", ["UPDATE audit_entry SET action = 'other'", "DELETE FROM audit_entry"])
def test_both_databases_refuse_to_change_the_chain(college: SqlStorage, statement: str) -> None:
    event = AuditEvent(at=NOON, actor=Actor(kind="command"), action="x.done", subject_kind="x", subject_id="x")
    in_turn(college, lambda stored: stored.audit.append(event))(0)
    with pytest.raises(DBAPIError, match="only grows"), college.database.writing() as opened:
        opened.execute(text(statement))


def test_counters_count_every_try(college: SqlStorage) -> None:
    counts = RateCounts(database=college.database, now=lambda: NOON)
    assert sorted(at_once(lambda _: counts.incr("k", 60))) == list(range(1, TIMES + 1))


def test_members_are_paged_in_the_same_order_on_both(college: SqlStorage) -> None:
    names = ["Ärmel", "apple", "Zoë", "zebra", "Éclair", "eclair", "O'Neill", "ONeill", "10", "9"]
    with college.scopes(people_repositories).writing() as stored:
        stored.members.add_many(
            [
                member(f"m{n}", "college", Role.LEARNER, display_name=name, state=MemberState.INVITED)
                for n, name in enumerate(names)
            ]
        )
        seen: list[str] = []
        after: tuple[str, str] | None = None
        while found := stored.members.page("college", state=MemberState.INVITED, after=after, limit=3):
            seen += [each.display_name for each in found]
            after = (found[-1].display_name.casefold(), found[-1].id)
    assert sorted(seen) == sorted(names)
    # By the code points of the folded names, as SQLite and a server in the C locale order them.
    assert seen == sorted(names, key=str.casefold)
