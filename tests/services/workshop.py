"""Stored attempts at one task: the rating of the device above three machines that leak.

Hand calculation: 4 + 4 + 3.5 = 11.5 mA flow to earth; 30 % of 30 mA are 9 mA, 50 % are 15 mA, and
30 % of 100 mA are 30 mA. So 30 mA fails by the book and complies under a rule set whose limit was
entered as 50 %, and 100 mA complies under both.
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

from trainer.domain.answers.decisions import Decision, Edit, Option
from trainer.domain.answers.marking import grade
from trainer.domain.limits import Limits
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.tasks import Key, Task, TaskKind
from trainer.domain.vocabulary import DEFAULT_EDITION
from trainer.interop.installations import read_installation
from trainer.persistence.repositories import SqlStorage
from trainer.resources import folder
from trainer.services.regrading.judging import Regrading
from trainer.services.storage import AttemptRecord, LearnerRecord, PageRecord, StoredTask
from trainer.web.practice.writing import StoredForm

NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)
OLD, NEW = "1.000000000old", "1.000000000new"
DECISION = "rccb.rating"


@cache
def workshop() -> Task:
    """The task; its first option is the 30 mA of the file."""
    house = read_installation(
        (folder("scenarios") / "examples" / "workshop-leakage-sum.toml").read_bytes()
    ).installation
    path = "devices.rccb.rated_residual_operating_current_ma"
    options = tuple(
        Option(id=str(rating), label=f"{rating} mA", edits=(Edit(path=path, value=float(rating)),))
        for rating in (30, 100)
    )
    decision = Decision(id=DECISION, subject="devices.rccb", question="Which rating?", options=options)
    return Task(
        seed=7,
        generator_version="by hand",
        rule_set_version=OLD,
        edition=DEFAULT_EDITION,
        kind=TaskKind.CHOOSE,
        level=1,
        archetype="by hand",
        title="A workshop by hand",
        story="Three machines are to stand behind one device.",
        house=house,
        pack=(),
        decisions=(decision,),
        key=Key(intended={DECISION: "100"}),
    )


def with_leakage_share(share: float) -> tuple[Rule, ...]:
    """The book with another limit for the share of the rating that may leak."""

    def altered(rule: Rule) -> Rule:
        def judge(record: Any, house: Any, limits: Limits) -> Any:
            limit = replace(limits.residual.leakage_share, value=share)
            return rule.judge(record, house, replace(limits, residual=replace(limits.residual, leakage_share=limit)))

        return replace(rule, judge=judge)

    return tuple(altered(rule) if rule.id == "RCD-05" else rule for rule in ALL_RULES)


LENIENT = with_leakage_share(0.5)


@cache
def _stored_task() -> tuple[str, bytes]:
    return StoredForm().write_task(workshop(), (1,))


@cache
def graded(option: str, rules: tuple[Rule, ...]) -> tuple[bytes, int, int, bool]:
    """The stored grade of an answer under some rules, with its marks and its warning."""
    result = grade(workshop(), {DECISION: option}, rules)
    content = StoredForm().write_grade(workshop(), _stored_task()[0], result)
    return content, result.marks, result.marks_available, result.safe_to_energise


def keep(
    storage: SqlStorage,
    options: Iterator[str] | list[str],
    *,
    version: str = OLD,
    task: Task | None = None,
    **changes: Any,
) -> list[str]:
    """One page, learner and attempt for each option, as graded under the lenient rules; gives the attempts' ids."""
    ids: list[str] = []
    task_id, content = StoredForm().write_task(task, (1,)) if task else _stored_task()
    task = task or workshop()
    with storage.writing() as stored:
        stored.tasks.keep(StoredTask.of(task, task_id, content, NOON))
        for number, option in zip(itertools.count(1), options):
            name = f"{number:05d}"
            learner = LearnerRecord(id=f"learner-{name}", created_at=NOON, last_seen_at=NOON)
            stored.learners.add(learner)
            page = PageRecord(id=f"page-{name}", content_hash=task_id, learner_id=learner.id, created_at=NOON)
            stored.pages.add(page)
            result, marks, available, safe = graded(option, LENIENT)
            attempt = AttemptRecord(
                id=f"attempt-{name}",
                page_id=page.id,
                number=1,
                learner_id=learner.id,
                answers_json=json.dumps({DECISION: option}),
                certainty_json="{}",
                grade_json=result,
                marks=marks,
                marks_available=available,
                safe_to_energise=safe,
                rule_set_version=version,
                edition=task.edition.value,
                started_at=NOON,
                submitted_at=NOON + timedelta(minutes=number),
            )
            stored.attempts.record(replace(attempt, **changes))
            ids.append(attempt.id)
    return ids


def again_over(
    storage: SqlStorage,
    rules: tuple[Rule, ...] = ALL_RULES,
    version: str = NEW,
    now: datetime = NOON + timedelta(days=3),
) -> Regrading:
    """Judging again under the book, which is new to the attempts."""
    return Regrading(storage=storage, form=StoredForm(), catalogue=(), version=version, now=lambda: now, rules=rules)
