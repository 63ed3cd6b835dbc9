"""Reminders of a programme: each stage once, whom mail does not reach, what is tried again, what ended."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from smtplib import SMTPServerDisconnected

from tests.web.people.conftest import Box, Browser, Clock, House
from tests.web.programmes.conftest import make, more_people
from trainer.persistence.programmes.repositories import programme_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.mail import Mail
from trainer.services.programmes.reminding import Reminding

Browsers = Callable[..., Browser]


def reminding(storage: SqlStorage, clock: Clock, box: object) -> Reminding:
    numbers = iter(range(10**6))
    return Reminding(
        storage=storage.scopes(programme_repositories),
        now=clock,
        new_id=lambda: f"reminded-{next(numbers)}",
        mail=box,
        address="https://trainer.example.org",
    )


def test_each_stage_is_reminded_of_once_however_often_the_command_runs(
    manager: Browser, firm: House, storage: SqlStorage, clock: Clock, box: Box
) -> None:
    address = make(manager, warning_days="10")
    manager.post(f"{address}/start", page=address)
    # Due on 2 December 2026: given on 2 November, warned from 22 November, overdue from 3 December.
    seen = []
    for day in range(40):
        clock.now = datetime(2026, 11, 2, 6, 0, tzinfo=UTC) + timedelta(days=day)
        for _ in range(2):
            list(reminding(storage, clock, box).run())
        seen += [(clock.now.date().isoformat(), mail.subject) for mail in box.sent[len(seen) :]]
    assert seen == [
        ("2026-11-02", "A refresher for you"),
        ("2026-11-22", "A refresher is due soon"),
        ("2026-12-03", "A refresher is overdue"),
    ]
    assert {mail.to for mail in box.sent} == {"learner@example.org"}
    assert "https://trainer.example.org/refreshers" in box.sent[0].text
    assert "2 December 2026" in box.sent[0].text


def test_who_has_no_address_is_told_on_the_page_and_who_is_new_is_assigned(
    programme: str, manager: Browser, storage: SqlStorage, clock: Clock, box: Box
) -> None:
    more_people(storage, 2)
    (done,) = reminding(storage, clock, box).run()
    assert (done.sent, done.without_address, done.failed) == (1, 2, 0)
    assert "Person 00001" in manager.get(programme).text


def test_mail_that_does_not_go_out_is_tried_again_by_the_next_run(
    programme: str, storage: SqlStorage, clock: Clock, box: Box
) -> None:
    class Broken:
        def send(self, mail: Mail) -> None:
            raise SMTPServerDisconnected(mail.to)

    (done,) = reminding(storage, clock, Broken()).run()
    assert (done.sent, done.failed) == (0, 1)
    (again,) = reminding(storage, clock, box).run()
    assert (again.sent, again.failed) == (1, 0)


def test_nobody_is_reminded_of_a_programme_that_ended_or_of_what_is_excused(
    programme: str, manager: Browser, storage: SqlStorage, clock: Clock, box: Box
) -> None:
    path = re.search(r"/assignments/[\w-]+/excuse", manager.get(programme).text)[0]
    manager.post(path, {"reason": "away"}, page=programme)
    list(reminding(storage, clock, box).run())
    manager.post(f"{path}/end", page=programme)
    manager.post(f"{programme}/end", page=programme)
    list(reminding(storage, clock, box).run())
    assert box.sent == []
