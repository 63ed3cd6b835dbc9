"""The proof of many seeds: every task can be answered, holds its traps, lies off every edge, is like no other."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from trainer.domain.answers.decisions import apply, apply_edits
from trainer.domain.asks.answers import is_right
from trainer.domain.findings import Verdict
from trainer.domain.generator.judging import RULE_BY_ID, fails, rules_of, verdicts
from trainer.domain.generator.margin import on_the_edge
from trainer.domain.generator.reading import LEVELS
from trainer.domain.generator.request import TaskRequest
from trainer.domain.generator.trial import Trial
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.rules.registry import Rule
from trainer.domain.tasks import Task, TaskKind
from trainer.domain.vocabulary import Outcome
from trainer.services.regrading.sameness import same
from trainer.services.scenarios import make_judged

KINDS = tuple(TaskKind)
_PRINT_BYTES = 8
_ANEW = 10
"""Of how many houses one is judged as a whole again although the very same value was judged while it was made.

What the generator notes of a house says the same as judging it anew; were it not so, this would tell within tens.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """What is wrong with one task."""

    seed: int
    kind: str
    level: int
    problem: str

    def __str__(self) -> str:
        return f"seed {self.seed}, {self.kind}, level {self.level}: {self.problem}"


@dataclass(slots=True, kw_only=True)
class Proof:
    """What the proof of a run of seeds gave: failures, fingerprints by family, times of making and checking."""

    scenarios: int = 0
    failures: list[Failure] = field(default_factory=list)
    prints: dict[str, bytearray] = field(default_factory=dict)
    times_ms: list[float] = field(default_factory=list)


def request_of(seed: int, kinds: tuple[TaskKind, ...] = KINDS, levels: tuple[int, ...] = LEVELS) -> TaskRequest:
    """What a seed is asked for in the proof: the kinds in turn, then the levels."""
    turn, kind = divmod(seed, len(kinds))
    return TaskRequest(seed=seed, kind=kinds[kind], level=levels[turn % len(levels)])


def prove(seeds: Iterable[int], kinds: tuple[TaskKind, ...] = KINDS, levels: tuple[int, ...] = LEVELS) -> Proof:
    """Make and check the task of each seed; an exception is a failure like any other."""
    proof = Proof()
    for seed in seeds:
        request = request_of(seed, kinds, levels)
        started = time.perf_counter()
        problems = _problems(request, proof)
        proof.times_ms.append(round((time.perf_counter() - started) * 1000, 2))
        proof.scenarios += 1
        proof.failures += [
            Failure(seed=seed, kind=request.kind.value, level=request.level, problem=each) for each in problems
        ]
    return proof


def _problems(request: TaskRequest, proof: Proof) -> list[str]:
    try:
        task, trial = make_judged(request)
        proof.prints.setdefault(family_of(task), bytearray()).extend(fingerprint(task))
        return list(check(task, None if _is_judged_anew(request.seed) else trial))
    except Exception as error:  # noqa: BLE001 - the proof reports whatever goes wrong and goes on
        return [f"{type(error).__name__}: {error}"]


def _is_judged_anew(seed: int) -> bool:
    """True for one seed in ten, over all kinds and levels."""
    return seed // (len(KINDS) * len(LEVELS)) % _ANEW == 0


def family_of(task: Task) -> str:
    """The family within which no two tasks may be alike: kind, level, and archetype or question family."""
    return f"{task.kind.value}/{task.level}/{task.archetype}"


def fingerprint(task: Task) -> bytes:
    """A short hash of everything that a learner sees of a task."""
    asked = tuple((ask.question, ask.choices, ask.partners, ask.figure) for ask in task.asks)
    seen = (task.title, task.story, task.pack, tuple(each.id for each in task.decisions), asked)
    return hashlib.blake2b(repr(seen).encode(), digest_size=_PRINT_BYTES).digest()


def check(task: Task, trial: Trial | None = None) -> Iterator[str]:
    """Everything that is wrong with a task; nothing where it holds what it promises.

    ``trial`` holds what the rules said of a house; it saves asking them again where the delivered house
    with the intended proposal in it is the very same value, down to the type of each fact.
    """
    if task.asks:
        yield from _wrong_with_asks(task)
        return
    house = apply(task.house, task.decisions, task.key.intended)
    yield from _wrong_with_intended(house, task, trial)
    yield from _wrong_with_traps(house, task)


def _wrong_with_intended(house: Installation, task: Task, trial: Trial | None) -> Iterator[str]:
    """The intended proposal complies with every rule, none undetermined, no computed value on the edge."""
    for rule, where, verdict in _said(house, task, trial):
        if verdict.outcome not in (Outcome.COMPLIES, Outcome.ADVICE):
            yield f"the intended proposal is {verdict.outcome} by {rule.id} at {where}"
        elif on_the_edge(rule.id, verdict):
            yield f"{rule.id} at {where} is settled by rounding: {verdict.value} against {verdict.limit}"


def _said(house: Installation, task: Task, trial: Trial | None) -> Iterator[tuple[Rule, str, Verdict]]:
    if trial is not None and same(house, trial.house):
        for case in trial.cases:
            if case.verdict is not None:
                yield case.rule, case.path, case.verdict
        return
    for rule, record, verdict in verdicts(house, rules_of(task.edition), limits_for(task.edition)):
        yield rule, getattr(record, "id", "installation"), verdict


def _wrong_with_traps(house: Installation, task: Task) -> Iterator[str]:
    """Each trap of the key is an option that fails by the rule that the key names."""
    limits = limits_for(task.edition)
    options = {(each.id, option.id): option for each in task.decisions for option in each.options}
    for trap in task.key.traps:
        option = options.get((trap.decision, trap.option))
        if option is None:
            yield f"trap {trap.id} is no option of {trap.decision}"
        elif not fails(RULE_BY_ID[trap.rule], apply_edits(house, list(option.edits)), limits):
            yield f"trap {trap.id} does not fail by {trap.rule}"


def _wrong_with_asks(task: Task) -> Iterator[str]:
    """Each thing asked has a key that is right, wrong answers that are wrong, and rules of the book."""
    for ask in task.asks:
        key = task.key.asks.get(ask.id)
        if key is None:
            yield f"{ask.id} has no key"
            continue
        yield from (f"{ask.id}: {each} is no right answer" for each in key.answers if not is_right(ask, key, each))
        yield from (
            f"{ask.id}: {each.answer} counts as right" for each in key.wrongs if is_right(ask, key, each.answer)
        )
        yield from (f"{ask.id}: no rule {each}" for each in key.rules if each not in RULE_BY_ID)
        labels = [choice.label for choice in ask.choices]
        if len(set(labels)) != len(labels):
            yield f"{ask.id} offers the same words twice"
