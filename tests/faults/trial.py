"""One trial: a site with people at a paper, harm of many kinds, and what came of it."""

from __future__ import annotations

import json
import random
import threading
import time
from collections import Counter, defaultdict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, suppress
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench.load import sitters
from tests.faults import harm, people, verdict
from tests.faults.cluster import cluster
from tests.faults.places import place
from tests.faults.program import Program, kept
from trainer.config import sqlite_url

_PEOPLE = 5
_BACK_WITHIN_S = 300.0
_VERIFIED_EVERY = 50
# A file of PostgreSQL's log is 4 MiB here; a new cluster takes some 50.
_SIZES = {"sqlite": "48m", "postgresql": "240m"}


@dataclass
class Outcome:
    """What was done and what came of it."""

    done: Counter[str] = field(default_factory=Counter)
    left_out: list[str] = field(default_factory=list)
    back_after_s: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    wrong: list[str] = field(default_factory=list)
    restarts: int = 0
    failures: Counter[str] = field(default_factory=Counter)
    last: str = ""
    ledger: people.Ledger = field(default_factory=people.Ledger)

    def text(self) -> str:
        """A line for each kind of harm, and what it came to."""
        kinds = [
            f"{name.replace('_', ' ')}: {times} times, saved again after {_spread(self.back_after_s[name])}"
            for name, times in sorted(self.done.items())
        ]
        told = f"{self.ledger.saves} saves and {len(self.ledger.handed_in)} hand-ins acknowledged"
        lines = [*kinds, *self.left_out, f"program started again {self.restarts} times", told]
        return "\n".join(
            [*lines, f"answers: {dict(self.ledger.answers)}", f"wrong: {self.wrong[:5]}", f"Last: {self.last}"]
        )


def _spread(seconds: list[float]) -> str:
    ordered = sorted(seconds)
    return f"{ordered[len(ordered) // 2]:.1f} s in the middle, {ordered[-1]:.1f} s at most" if ordered else "-"


def trial(kind: str, number: int, folder: Path, *, seed: int = 8, tell: Callable[[str], None] = str) -> Outcome:
    """Harms a site that many times while people sit."""
    outcome, chance = Outcome(), random.Random(seed)
    with ExitStack() as stack:
        small = stack.enter_context(place(folder / "data", _SIZES[kind]))
        server = stack.enter_context(cluster(small.folder)) if kind == "postgresql" else None
        (folder / "program").mkdir()
        address = server.address if server else sqlite_url(small.folder / "trainer.sqlite3")
        names = sitters.college(address, _PEOPLE)
        people.many_attempts(address)
        program = stack.enter_context(kept(address, folder / "program"))
        _until_it_answers(program)
        site = harm.Site(program, small, chance, server)
        seated = people.seated(names, program.port, outcome.ledger)
        _harmed(site, seated, number, outcome, tell)
        _judged(program, address, outcome)
    return outcome


def _harmed(
    site: harm.Site, seated: list[people.Person], number: int, outcome: Outcome, tell: Callable[[str], None]
) -> None:
    known, outcome.left_out = harm.kinds(site)
    over = threading.Event()
    with ThreadPoolExecutor(len(seated)) as pool:
        sitting = [pool.submit(each.go_on, over, random.Random(n)) for n, each in enumerate(seated)]
        try:
            for done, each in enumerate(harm.planned(known, number, site.chance), 1):
                time.sleep(site.chance.uniform(0.1, 0.6))
                each(site)
                outcome.done[each.__name__] += 1
                tell(f"{done} {each.__name__}")
                outcome.back_after_s[each.__name__].append(_back(site.program, outcome.ledger))
                if done % _VERIFIED_EVERY == 0 or done == number:
                    tell(f"{done} of {number}: {_verified(site.program, outcome)}")
        finally:
            site.program.set_clock(0)
            over.set()
        for each in sitting:
            each.result()


def _back(program: Program, ledger: people.Ledger) -> float:
    """Seconds until a save went through that began now or later. *Raises* RuntimeError."""
    began = time.monotonic()
    while time.monotonic() - began < _BACK_WITHIN_S:
        if ledger.last_saved_s >= began:
            return time.monotonic() - began
        time.sleep(0.02)
    log = (program.folder / "log").read_text()[-3000:]
    raise RuntimeError(f"not back within {_BACK_WITHIN_S} s: {ledger.answers} {ledger.wrong[:3]}\n{log}")


def _verified(program: Program, outcome: Outcome) -> str:
    outcome.last, wrong = verdict.chain(program, outcome.last)
    outcome.wrong += [wrong] if wrong else []
    return outcome.last


def _judged(program: Program, address: str, outcome: Outcome) -> None:
    """Marks what was handed in and not marked, as the timer of a site does, and looks at everything."""
    for command in (("sittings", "close"), ("sittings", "close"), ("db", "check")):
        done = program.run(*command)
        outcome.wrong += [f"{command}: {done.stdout[-500:]}{done.stderr[-500:]}"] if done.returncode else []
    outcome.wrong += verdict.wrongs(address, outcome.ledger)
    outcome.restarts = program.restarts
    outcome.failures = _failures((program.folder / "log").read_text("utf-8", "replace"))
    _verified(program, outcome)


def _failures(log: str) -> Counter[str]:
    """Kind and place of what the program noted as failed, from its lines of JSON."""
    found: Counter[str] = Counter()
    for line in log.splitlines():
        with suppress(ValueError):
            said = json.loads(line)
            if "error" in said:
                found[f"{said['error']} in {' < '.join(reversed(said['place'][-4:]))}"] += 1
    return found


def _until_it_answers(program: Program) -> None:
    sitter = sitters.Sitter("nobody", program.port)
    deadline = time.monotonic() + 300
    while time.monotonic() < deadline:
        try:
            sitter.ask("GET", "/healthz")
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise RuntimeError(f"the program does not answer: {(program.folder / 'log').read_text()[-2000:]}")
