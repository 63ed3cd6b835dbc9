"""Reminders: each stage once for each due day, however often the command runs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

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

Words = Callable[[Programme, AssignedLine, ReminderKind, str], Mail]


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
        with self.storage.reading() as stored:
            running = stored.programmes.running()
        for programme in running:
            self.bring_up_to_date(programme, BY_COMMAND)
            yield self._reminded(programme)

    def _reminded(self, programme: Programme) -> Reminded:
        sent = without = failed = 0
        for standing, kind in _STAGES:
            tried: set[str] = set()
            while lines := [each for each in self._wanting(programme, standing, kind) if each.assignment.id not in tried]:
                for line in lines:
                    tried.add(line.assignment.id)
                    done = self._remind(programme, line, kind)
                    sent, without, failed = sent + (done == 1), without + (done == 0), failed + (done == -1)
                if failed:
                    # Mail that does not go out now will not a moment later; the next run tries again.
                    break
        if sent or without:
            with self.storage.writing() as stored:
                stored.audit.append(
                    self.event(
                        BY_COMMAND,
                        "programme.reminded",
                        programme.id,
                        programme.organisation_id,
                        sent=sent,
                        without_mail=without,
                    )
                )
        return Reminded(programme=programme, sent=sent, without_address=without, failed=failed)

    def _wanting(self, programme: Programme, standing: Standing, kind: ReminderKind) -> list[AssignedLine]:
        with self.storage.reading() as stored:
            return list(stored.assignments.to_remind(programme, self.today(), standing, kind, _AT_A_TIME))

    def _remind(self, programme: Programme, line: AssignedLine, kind: ReminderKind) -> int:
        """1 when it went out, 0 when it shows on pages only, -1 when it could not be sent, 2 when it had gone out."""
        try:
            with self.storage.writing() as stored:
                if not stored.assignments.reminded(line.assignment, kind, self.now()):
                    return 2
                if line.member.email is None:
                    return 0
                # Within the transaction: what cannot be sent is not noted, and what is noted was sent.
                self.mail.send(words_of(programme, line, kind, self.address))
        except OSError:
            return -1
        return 1


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
