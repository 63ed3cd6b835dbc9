"""Reminders: each stage once for each due day, however often the job of a day or the command runs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from smtplib import SMTPException, SMTPNotSupportedError, SMTPRecipientsRefused

from trainer.services.operation.audit import Actor
from trainer.services.people.mail import Mail, MailBox
from trainer.services.programmes.desk import BY_COMMAND
from trainer.services.programmes.programmes import ProgrammesDesk
from trainer.services.programmes.records import AssignedLine, Programme
from trainer.services.programmes.words import ReminderKind, Standing

_STAGES = (
    (Standing.DUE, ReminderKind.ASSIGNED),
    (Standing.WARNING, ReminderKind.WARNING),
    (Standing.OVERDUE, ReminderKind.OVERDUE),
)
_AT_A_TIME = 200


class _Went(Enum):
    """What became of a reminder."""

    SENT = 1
    # Nobody's address is known: it stands on the pages.
    ON_PAGES = 2
    FAILED = 3
    BEFORE = 4
    # By the mail server, for this one address.
    REFUSED = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminded:
    """What a run did for one programme."""

    programme: Programme
    sent: int
    without_address: int
    failed: int


@dataclass(frozen=True, kw_only=True)
class Reminding(ProgrammesDesk):
    """Goes through all running programmes; assigns whoever is new, reminds whoever wants it."""

    mail: MailBox
    address: str

    def run(self) -> Iterator[Reminded]:
        """Every running programme in turn."""
        for programme in self.running():
            yield self.remind(programme, BY_COMMAND)

    def running(self) -> Sequence[Programme]:
        """The running programmes of all organisations."""
        with self.storage.reading() as stored:
            return stored.programmes.running()

    def remind(self, programme: Programme, actor: Actor) -> Reminded:
        """Brings the people of one programme up to date and reminds whoever wants it."""
        self.bring_up_to_date(programme, actor)
        done: Counter[_Went] = Counter()
        for standing, kind in _STAGES:
            # Mail that does not go out now will not a moment later; the next run tries again.
            if not done[_Went.FAILED]:
                done.update(self._stage(programme, standing, kind))
        sent, without = done[_Went.SENT], done[_Went.ON_PAGES]
        if sent or without:
            about = programme.id, programme.organisation_id
            event = self.event(actor, "programme.reminded", *about, sent=sent, without_mail=without)
            with self.storage.writing() as stored:
                stored.audit.append(event)
        failed = done[_Went.FAILED] + done[_Went.REFUSED]
        return Reminded(programme=programme, sent=sent, without_address=without, failed=failed)

    def _stage(self, programme: Programme, standing: Standing, kind: ReminderKind) -> Iterator[_Went]:
        """Goes on past an address that is refused, and ends where no mail goes out or another run does the same."""
        tried: set[str] = set()
        while lines := [each for each in self._wanting(programme, standing, kind) if each.assignment.id not in tried]:
            tried.update(each.assignment.id for each in lines)
            went: set[_Went] = set()
            for line in lines:
                what = self._remind(programme, line, kind)
                went.add(what)
                yield what
                if what is _Went.FAILED:
                    return
            if went == {_Went.BEFORE}:
                return

    def _wanting(self, programme: Programme, standing: Standing, kind: ReminderKind) -> Sequence[AssignedLine]:
        with self.storage.reading() as stored:
            return stored.assignments.to_remind(programme, self.today(), standing, kind, _AT_A_TIME)

    def _remind(self, programme: Programme, line: AssignedLine, kind: ReminderKind) -> _Went:
        """Noted first, so that two runs at once send one; the note is taken back where it cannot be sent."""
        with self.storage.writing() as stored:
            if not stored.assignments.reminded(line.assignment, kind, self.now()):
                return _Went.BEFORE
        if line.member.email is None:
            return _Went.ON_PAGES
        try:
            self.mail.send(words_of(programme, line, kind, self.address))
        except (OSError, SMTPException) as error:
            with self.storage.writing() as stored:
                stored.assignments.not_reminded(line.assignment, kind)
            is_the_address = isinstance(error, SMTPRecipientsRefused | SMTPNotSupportedError)
            return _Went.REFUSED if is_the_address else _Went.FAILED
        return _Went.SENT


def words_of(programme: Programme, line: AssignedLine, kind: ReminderKind, address: str) -> Mail:
    """The message of a stage."""
    due = f"{line.assignment.due_at:%d %B %Y}".lstrip("0")
    first = {
        ReminderKind.ASSIGNED: f'You have been given the refresher "{programme.title}". It is due on {due}.',
        ReminderKind.WARNING: f'Your refresher "{programme.title}" is due on {due}.',
        ReminderKind.OVERDUE: f'Your refresher "{programme.title}" was due on {due} and is overdue.',
    }[kind]
    text = (
        f"{line.member.display_name},\n\n{first}\n"
        f"It has {programme.items} tasks; you can stop and go on later.\n\n{address.rstrip('/')}/refreshers\n"
    )
    subject = {
        ReminderKind.ASSIGNED: "A refresher for you",
        ReminderKind.WARNING: "A refresher is due soon",
        ReminderKind.OVERDUE: "A refresher is overdue",
    }[kind]
    return Mail(to=line.member.email or "", subject=subject, text=text)
