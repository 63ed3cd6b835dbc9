"""Saves at a steady pace, whatever the server does: the sender never waits for an answer before the next one is due."""

from __future__ import annotations

import random
import resource
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from urllib.parse import urlencode

from tests.bench.load.crowd import Seat
from tests.bench.load.machine import spread
from tests.bench.load.sending import Answer, Sender, request_bytes
from tests.bench.load.sitters import ITEM, Sitter

# Nobody saves in the moment before the hand-in: an answer that overtakes it would be refused, and rightly.
_STILL_BEFORE_END_S = 2.0
# So long after the moment of the sign-ins saves are counted apart.
_SIGNING_IN_S = 10.0


@dataclass
class Told:
    """What came of a run."""

    took_ms: dict[str, list[float]] = field(default_factory=dict)
    errors: list[str] = field(default_factory=list)
    late_ms: list[float] = field(default_factory=list)
    sender_cpu_s: float = 0.0

    @property
    def saves_ms(self) -> list[float]:
        """The times of the saves."""
        return self.took_ms.get("save", [])

    def text(self) -> str:
        """One line for each kind."""
        kinds = [f"{kind}: {spread(took)}" for kind, took in self.took_ms.items()]
        errors = ", ".join(f"{number} x {what}" for what, number in Counter(self.errors).most_common(5))
        return "\n".join(
            [
                *kinds,
                f"sent later than due: {spread(self.late_ms)}",
                f"errors: {len(self.errors)} {errors}",
                f"the sender itself took {self.sender_cpu_s:.1f} s of a processor",
            ]
        )

    def noted(self, kind: str, answer: Answer, expected: int, *, while_: str = "") -> bool:
        """Notes an answer, also apart for what else went on; True for one that was expected."""
        for each in (kind, f"{kind} while {while_}") if while_ else (kind,):
            self.took_ms.setdefault(each, []).append(answer.ms)
        self.late_ms.append(answer.late_ms)
        if answer.status != expected:
            self.errors.append(f"{kind} {answer.status} {answer.text[:40] if not answer.status else ''}".strip())
        return answer.status == expected


@dataclass(frozen=True)
class Pace:
    """How people sit: all for some seconds, then each hands in at a moment of its own within some more."""

    seconds: float
    hand_in_s: float = 0.0
    save_every_s: float = 10.0
    page_every_s: float = 60.0
    # So many come in at one moment, in the middle of the steady part.
    sign_ins: Sequence[bytes] = ()

    def phases(self) -> list[tuple[float, str]]:
        """When what goes on beside the saves begins."""
        signing_in_s = self.seconds / 2
        signs_in = [(signing_in_s, "others sign in"), (signing_in_s + _SIGNING_IN_S, "all sit")]
        begun = [(0.0, "all sit"), *(signs_in if self.sign_ins else ())]
        return [*(each for each in begun if each[0] < self.seconds), (self.seconds, "others hand in")]

    def meanwhile(self, at_s: float) -> str:
        """What else goes on at a moment of the run."""
        return [name for begins_s, name in self.phases() if begins_s <= at_s][-1]


def crowded(seats: Sequence[Seat], port: int, pace: Pace, told_phase: Callable[[str], None] | None = None) -> Told:
    """Each saves and opens pages at its own regular times, spread evenly at random over the period."""
    told, sender, chance = Told(), Sender(port), random.Random(len(seats))
    for at_s, name in pace.phases() if told_phase else ():
        sender.call(at_s, partial(told_phase, name))
    for seat in seats:
        end_s = pace.seconds + chance.uniform(0, pace.hand_in_s) if pace.hand_in_s else None
        over_s = pace.seconds if end_s is None else end_s - _STILL_BEFORE_END_S
        for at_s in _times(chance, pace.save_every_s, over_s):
            sender.add(at_s, seat.save, _saving(told, seat, pace.meanwhile(at_s)))
        for at_s in _times(chance, pace.page_every_s, over_s):
            sender.add(at_s, seat.page, lambda answer: told.noted("page", answer, 200) and None)
        if end_s is not None:
            sender.add(end_s, seat.hand_in, _ending(told, sender, seat))
    for request in pace.sign_ins:
        sender.add(pace.seconds / 2, lambda request=request: request, lambda answer: _signed_in(told, answer))
    return _run(told, sender)


def paced(sitters: Sequence[Sitter], *, seconds: float, save_every_s: float = 10.0, page_every_s: float = 60.0) -> Told:
    """The same for people who came in by the front door."""
    told, chance = Told(), random.Random(len(sitters))
    sender = Sender(sitters[0].port)
    for sitter in sitters:
        for at_s in _times(chance, save_every_s, seconds):
            sender.add(at_s, lambda one=sitter: _save_of(one), _saving_of(told, sitter))
        for at_s in _times(chance, page_every_s, seconds):
            page = request_bytes("GET", f"{sitter.path}/items/{ITEM}", sitter.headers(False))
            sender.add(at_s, lambda page=page: page, lambda answer: told.noted("page", answer, 200) and None)
    return _run(told, sender)


def _run(told: Told, sender: Sender) -> Told:
    before = _processor_s()
    sender.run()
    told.sender_cpu_s = _processor_s() - before
    return told


def _times(chance: random.Random, every_s: float, over_s: float) -> list[float]:
    first = chance.uniform(0, every_s)
    return [first + every_s * number for number in range(max(0, int((over_s - first) // every_s) + 1))]


def _saving(told: Told, seat: Seat, while_: str) -> Callable[[Answer], None]:
    def answered(answer: Answer) -> None:
        if told.noted("save", answer, 200, while_=while_):
            seat.saved(answer.text)

    return answered


def _ending(told: Told, sender: Sender, seat: Seat) -> Callable[[Answer], None]:
    def answered(answer: Answer) -> None:
        if told.noted("hand-in", answer, 303):
            # A browser follows at once.
            page = seat.get(f"{seat.path}/result")
            sender.add(sender.now_s(), lambda: page, lambda after: told.noted("end page", after, 200) and None)

    return answered


def _signed_in(told: Told, answer: Answer) -> None:
    told.noted("sign-in", answer, 303)


def _save_of(sitter: Sitter) -> bytes:
    path, fields = sitter.next_save()
    return request_bytes("POST", path, sitter.headers(True), urlencode(fields))


def _saving_of(told: Told, sitter: Sitter) -> Callable[[Answer], None]:
    def answered(answer: Answer) -> None:
        if told.noted("save", answer, 200):
            sitter.told(answer.text)

    return answered


def _processor_s() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime
