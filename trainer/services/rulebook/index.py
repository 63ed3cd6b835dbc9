"""Writes the index of the rule book: ``python -m trainer.services.rulebook.index``.

For every kind of premises and level it makes some tasks and notes which rules they turn on; for every
rule it notes which limits its code reads. Run it again when the generator, the scenario data or the
rules have changed; the tests say when.
"""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Mapping
from typing import Any

from trainer.domain.answers.decisions import apply
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.request import TaskRequest
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import judge
from trainer.domain.tasks import Task, TaskKind
from trainer.resources import folder
from trainer.services.rulebook.exercises import INDEX, rules_at_stake
from trainer.services.rulebook.limit_reading import limits_read
from trainer.services.rulebook.pages import PLACE
from trainer.services.scenarios import make_task, scenarios

SEEDS = {TaskKind.CHOOSE: 8, TaskKind.INSPECT: 2, TaskKind.MEASURE: 2}
"""How many tasks of each kind are made at each place."""


def made_from(data: ScenarioData) -> dict[str, Any]:
    """What of the scenario data the index was made from: names whose change makes it stale."""
    return {
        "archetypes": {name: list(each.levels) for name, each in sorted(data.archetypes.items())},
        "traps": sorted(data.traps),
        "decisions": sorted(data.decisions),
    }


class _Tally:
    """What is counted over many tasks: where rules are at stake, and where they are judged at all."""

    def __init__(self) -> None:
        self.tasks = 0
        self.at_stake: dict[str, dict[tuple[str, str, int], list[int]]] = defaultdict(dict)
        self.decisions: dict[str, set[str]] = defaultdict(set)
        self.judged: Counter[str] = Counter()

    def add(self, task: Task) -> None:
        """Count one task."""
        self.tasks += bool(task.decisions)
        if task.decisions:
            house = apply(task.house, task.decisions, task.key.intended)
            self.judged.update({each.rule.id for each in judge(house, ALL_RULES, task.edition)})
        for rule_id, decisions in rules_at_stake(task).items():
            self.at_stake[rule_id].setdefault((task.kind, task.archetype, task.level), []).append(task.seed)
            self.decisions[rule_id] |= decisions

    def of(self, rule_id: str, seeds: Mapping[TaskKind, int]) -> dict[str, Any]:
        """The entry of one rule."""
        places = sorted(self.at_stake[rule_id].items())
        return {
            "places": [
                [kind, archetype, level, len(found), seeds[TaskKind(kind)], found[0]]
                for (kind, archetype, level), found in places
            ],
            "decisions": sorted(self.decisions[rule_id]),
            "judged": self.judged[rule_id],
        }


def rule_index(data: ScenarioData, seeds: Mapping[TaskKind, int] = SEEDS) -> dict[str, Any]:
    """The whole index."""
    tally = _Tally()
    for archetype, each in sorted(data.archetypes.items()):
        for level in each.levels:
            for kind, count in seeds.items():
                for seed in range(count):
                    tally.add(make_task(TaskRequest(seed=seed, level=level, archetype=archetype, kind=kind)))
    return {
        "format": "protection-trainer/rule-index",
        "format_version": 1,
        "made_from": made_from(data),
        "tasks": tally.tasks,
        "rules": {rule.id: {**tally.of(rule.id, seeds), "reads": list(limits_read(rule))} for rule in ALL_RULES},
    }


def written(index: Mapping[str, Any]) -> str:
    """The index as it stands in its file: one line for each rule, so that changes can be read."""
    head = {key: value for key, value in index.items() if key != "rules"}
    rules = ",\n".join(f"  {json.dumps(key)}: {json.dumps(value)}" for key, value in index["rules"].items())
    return f'{json.dumps(head, sort_keys=True)[:-1]},\n "rules": {{\n{rules}\n }}\n}}\n'


if __name__ == "__main__":
    place = folder("scenarios") / PLACE / INDEX
    place.write_text(written(rule_index(scenarios())), encoding="utf-8")
