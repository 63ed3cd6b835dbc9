"""Reminders by the job runner: asked for once a day, sent once whatever happens, tried again on the next day."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial
from smtplib import SMTPRecipientsRefused, SMTPServerDisconnected

import pytest
from sqlalchemy import select

from tests.web.people.conftest import Box, Browser, Clock, House
from tests.web.programmes.conftest import FORM, make, more_people
from tests.web.programmes.test_reminding import reminding
from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.programmes.repositories import programme_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.operation import AuditRow, JobRow
from trainer.services.jobs.daily import ask_for_today
from trainer.services.jobs.running import Runner
from trainer.services.people.mail import Mail
from trainer.services.programmes.daily import FROM_HOUR, KIND, RemindingOfTheDay, wanted_today
from trainer.services.programmes.refreshers import Refreshers
from trainer.services.scenarios import make_task
from trainer.web.practice.writing import StoredForm


def asked(storage: SqlStorage, clock: Clock) -> bool:
    """The chore of the runner."""
    wanted = partial(wanted_today, reminding(storage, clock, Box()))
    scopes = storage.scopes(job_repositories)
    return ask_for_today(scopes, KIND, clock(), wanted, from_hour=FROM_HOUR)


def runner(storage: SqlStorage, clock: Clock, box: object) -> Runner:
    scopes, ids = storage.scopes(programme_repositories), iter(range(10**6))
    refreshers = Refreshers(
        storage=scopes, now=clock, new_id=lambda: f"settled-{next(ids)}", make=make_task, form=StoredForm()
    )
    work = RemindingOfTheDay(reminding=lambda: reminding(storage, clock, box), refreshers=lambda: refreshers)
    jobs = storage.scopes(job_repositories)
    return Runner(storage=jobs, works={KIND: work}, now=clock, new_id=lambda: f"taking {next(ids)}")


def days(storage: SqlStorage) -> list[JobRow]:
    with storage.database.reading() as session:
        return list(session.scalars(select(JobRow).where(JobRow.kind == KIND).order_by(JobRow.created_at)))


def test_a_runner_reminds_once_a_day_and_each_stage_once(
    manager: Browser, firm: House, storage: SqlStorage, clock: Clock, box: Box
) -> None:
    address = make(manager, warning_days="10")
    manager.post(f"{address}/start", page=address)
    # Due on 2 December 2026: given on 2 November, warned from 22 November, overdue from 3 December.
    seen = []
    for quarter in range(40 * 4):
        clock.now = datetime(2026, 11, 2, 0, 30, tzinfo=UTC) + timedelta(hours=6 * quarter)
        asked(storage, clock)
        while runner(storage, clock, box).step():
            pass
        seen += [(f"{clock.now:%m-%d %H}", mail.subject) for mail in box.sent[len(seen) :]]
    assert seen == [
        ("11-02 06", "A refresher for you"),
        ("11-22 06", "A refresher is due soon"),
        ("12-03 06", "A refresher is overdue"),
    ]
    found = days(storage)
    assert [each.id for each in found[:2]] == ["programmes.remind.2026-11-02", "programmes.remind.2026-11-03"]
    assert len(found) == 40
    assert {each.state for each in found} == {"done"}
    with storage.database.reading() as session:
        made = select(AuditRow).where(AuditRow.action == "programme.reminded").order_by(AuditRow.number)
        first = session.scalars(made).first()
        assert first is not None
        assert (first.actor_kind, first.actor_id) == ("job", found[0].id)


def test_it_is_not_asked_for_before_six_nor_twice(programme: str, storage: SqlStorage, clock: Clock) -> None:
    clock.now = datetime(2026, 11, 3, 5, 59, tzinfo=UTC)
    assert not asked(storage, clock)
    clock.now += timedelta(minutes=1)
    assert asked(storage, clock)
    assert not asked(storage, clock)


def test_a_runner_that_dies_while_it_sends_lets_another_send_the_rest_and_nothing_twice(
    programme: str, storage: SqlStorage, clock: Clock
) -> None:
    more_people(storage, 3)
    _give_addresses(storage)
    sent: list[str] = []

    class Power(BaseException):
        """No except clause of the program catches it, as it would not catch a power cut."""

    class Dying:
        def send(self, mail: Mail) -> None:
            sent.append(mail.to)
            if len(sent) == 2:
                raise Power

    asked(storage, clock)
    with pytest.raises(Power):
        runner(storage, clock, Dying()).step()
    clock.now += timedelta(seconds=61)
    assert runner(storage, clock, Dying()).step()
    assert len(sent) == 4
    assert len(set(sent)) == 4
    assert [each.state for each in days(storage)] == ["done"]


def test_what_the_mail_server_did_not_take_goes_out_on_the_next_day(
    programme: str, storage: SqlStorage, clock: Clock, box: Box
) -> None:
    class Broken:
        tries = 0

        def send(self, mail: Mail) -> None:
            self.tries += 1
            raise SMTPServerDisconnected(mail.to)

    more_people(storage, 3)
    _give_addresses(storage)
    broken = Broken()
    asked(storage, clock)
    runner(storage, clock, broken).step()
    # A server that is away keeps the runner for one message, not for everybody's.
    assert broken.tries == 1
    assert days(storage)[0].result_json == '{"failed":1,"on_pages_only":0,"records_given":0,"sent":0}'
    clock.now += timedelta(hours=3)
    assert not asked(storage, clock)
    clock.now += timedelta(days=1)
    assert asked(storage, clock)
    runner(storage, clock, box).step()
    assert len(box.sent) == 4


def test_an_address_that_is_refused_holds_up_nobody_else(
    programme: str, storage: SqlStorage, clock: Clock, box: Box
) -> None:
    more_people(storage, 3)
    _give_addresses(storage)

    class Choosy:
        def send(self, mail: Mail) -> None:
            if mail.to == "p00000@example.org":
                raise SMTPRecipientsRefused({mail.to: (550, b"no such mailbox")})
            box.send(mail)

    (done,) = reminding(storage, clock, Choosy()).run()
    assert (done.sent, done.failed) == (3, 1)
    # The stages after it are not held up either: everybody is overdue then.
    clock.now += timedelta(days=40)
    (done,) = reminding(storage, clock, Choosy()).run()
    assert (done.sent, done.failed) == (3, 1)


def test_one_programme_that_cannot_be_seen_to_holds_up_no_other(
    programme: str, manager: Browser, storage: SqlStorage, clock: Clock, box: Box, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = make(manager, title="Another", **{key: value for key, value in FORM.items() if key != "title"})
    manager.post(f"{other}/start", page=other)
    asked(storage, clock)
    broken = programme.rpartition("/")[2]
    kind = type(reminding(storage, clock, box))
    whole = kind.remind

    def remind(self: object, about: object, actor: object) -> object:
        if about.id == broken:
            raise ZeroDivisionError
        return whole(self, about, actor)

    monkeypatch.setattr(kind, "remind", remind)
    runner(storage, clock, box).step()
    assert [mail.to for mail in box.sent] == ["learner@example.org"]
    assert days(storage)[0].result_json == '{"failed":1,"on_pages_only":0,"records_given":0,"sent":1}'


def test_a_day_gives_the_records_that_were_earned_first_and_passes_over_what_has_ended(
    programme: str, manager: Browser, storage: SqlStorage, clock: Clock, box: Box, monkeypatch: pytest.MonkeyPatch
) -> None:
    def settle_all(_self: object) -> int:
        assert box.sent == []
        return 3

    monkeypatch.setattr(Refreshers, "settle_all", settle_all)
    asked(storage, clock)
    manager.post(f"{programme}/end", page=programme)
    runner(storage, clock, box).step()
    assert days(storage)[0].result_json == '{"failed":0,"on_pages_only":0,"records_given":3,"sent":0}'


def _give_addresses(storage: SqlStorage) -> None:
    with storage.scopes(people_repositories).writing() as stored:
        for number in range(3):
            known = stored.members.get("firm", f"p{number:05}")
            assert known is not None
            stored.members.change(replace(known, email=f"p{number:05}@example.org"))
