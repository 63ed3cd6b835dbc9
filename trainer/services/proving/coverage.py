"""How often objectives, rules and traps are exercised by the tasks of many seeds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from trainer.domain.answers.decisions import apply, apply_edits
from trainer.domain.generator.exercised import exercised
from trainer.domain.generator.judging import rules_of, verdicts
from trainer.domain.generator.reading import LEVELS
from trainer.domain.limits import limits_for
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import Task, TaskKind
from trainer.domain.vocabulary import Outcome
from trainer.services.objectives import objectives
from trainer.services.practice.drawing import reachable
from trainer.services.proving.seeds import KINDS, request_of
from trainer.services.scenarios import make_task, scenarios


@dataclass(slots=True, kw_only=True)
class Coverage:
    """Counts over many tasks. A rule is in play where it judges, and decides where an option fails by it."""

    tasks: Counter[str] = field(default_factory=Counter)
    objectives: dict[str, Counter[str]] = field(default_factory=dict)
    in_play: Counter[str] = field(default_factory=Counter)
    decides: Counter[str] = field(default_factory=Counter)
    traps: Counter[str] = field(default_factory=Counter)

    def add(self, task: Task) -> None:
        """Count one task."""
        kind = task.kind.value
        self.tasks[kind] += 1
        self.objectives.setdefault(kind, Counter()).update(exercised(task))
        for key in task.key.asks.values():
            self.decides.update(set(key.rules))
        if task.asks:
            return
        self.traps.update({trap.id for trap in task.key.traps} or {_HONEST})
        self.in_play.update(_in_play(task))
        self.decides.update(_deciding(task))

    def merge(self, other: Coverage) -> None:
        """Add the counts of another run."""
        for name in ("tasks", "in_play", "decides", "traps"):
            getattr(self, name).update(getattr(other, name))
        for kind, counts in other.objectives.items():
            self.objectives.setdefault(kind, Counter()).update(counts)

    @property
    def objectives_at_zero(self) -> list[str]:
        """Objectives that the kinds asked for can exercise and that no task did."""
        kinds = [TaskKind(kind) for kind in self.tasks]
        can = {one for kind in kinds for level in LEVELS for one in _reachable(kind, level)}
        return [one for one in objectives() if one in can and not any(c[one] for c in self.objectives.values())]

    @property
    def objectives_left_to_others(self) -> list[str]:
        """Objectives that no task to choose can exercise: those of the other kinds of task."""
        can = {one for level in LEVELS for one in _reachable(TaskKind.CHOOSE, level)}
        return [one for one in objectives() if one not in can]

    @property
    def traps_at_zero(self) -> list[str]:
        """Traps of the catalogue that no task to choose held."""
        known = scenarios().traps if TaskKind.CHOOSE.value in self.tasks else {}
        return [trap for trap in known if not self.traps[trap]]

    @property
    def rules_never_seen(self) -> list[str]:
        """Rules that neither judged nor decided anything."""
        return [rule.id for rule in ALL_RULES if not self.in_play[rule.id] and not self.decides[rule.id]]


_HONEST = "honest_house"


def _reachable(kind: TaskKind, level: int) -> Iterable[str]:
    return reachable(kind, level, scenarios()) if kind in (TaskKind.CHOOSE, TaskKind.QUESTION) else ()


def covered(seeds: Iterable[int], kinds: tuple[TaskKind, ...] = KINDS, levels: tuple[int, ...] = LEVELS) -> Coverage:
    """The counts over the tasks of seeds, the kinds and levels in turn."""
    coverage = Coverage()
    for seed in seeds:
        coverage.add(make_task(request_of(seed, kinds, levels)))
    return coverage


def _in_play(task: Task) -> set[str]:
    house = apply(task.house, task.decisions, task.key.intended)
    return {rule.id for rule, _, _ in verdicts(house, rules_of(task.edition), limits_for(task.edition))}


def _deciding(task: Task) -> set[str]:
    """The rules by which some single option fails where the intended one complies."""
    return set(_failing(task))


def _failing(task: Task) -> Iterator[str]:
    house = apply(task.house, task.decisions, task.key.intended)
    rules, limits = rules_of(task.edition), limits_for(task.edition)
    for decision in task.decisions:
        for option in decision.options:
            if option.id == task.key.intended[decision.id]:
                continue
            other = apply_edits(house, list(option.edits))
            for rule, _, verdict in verdicts(other, rules, limits):
                if verdict.outcome is Outcome.DOES_NOT_COMPLY:
                    yield rule.id
