"""What is said of an answer to an ask: what is wrong with it where that is known, and why the right one is right."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.domain.answers.marking import DecisionGrade
from trainer.domain.asks.forms import Ask
from trainer.domain.asks.marking import recognised_wrong
from trainer.domain.findings import Finding
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import judge
from trainer.domain.tasks import Task, TaskKind
from trainer.domain.vocabulary import Outcome
from trainer.explain.explanation import Explanation, explain

_MANY = frozenset({"boards", "circuits", "devices", "equipment"})
"""Records of which a house has several."""
_MOST = 3
"""How many findings are explained at one ask; the first of a rule's says what the others say."""


def ask_words(task: Task, each: DecisionGrade) -> tuple[str, str]:
    """What the given answer would do, empty where it is right or not known, and the whole explanation."""
    ask = next(ask for ask in task.asks if ask.id == each.id)
    key = task.key.asks[each.id]
    known = None if each.is_right else recognised_wrong(ask, key, each.chosen)
    wrong = known.why if known else ""
    return wrong, f"{wrong} {key.why}".strip()


def findings_as_found(task: Task) -> Sequence[Finding]:
    """What the rules say of a house as it was found or measured, complying findings left out; none for a question."""
    if task.kind is TaskKind.QUESTION:
        return ()
    judged = judge(task.house, ALL_RULES, task.edition)
    return tuple(finding for finding in judged if finding.outcome is not Outcome.COMPLIES)


def _is_about(finding: Finding, ask: Ask) -> bool:
    """False where a finding speaks of another circuit or device than the ask: beside a good one it would mislead."""
    kind = ask.subject.partition(".")[0]
    if kind not in _MANY or finding.subject.partition(".")[0] != kind:
        return True
    named = (finding.subject, *finding.verdict.related, *finding.verdict.missing)
    return any(f"{path}.".startswith(f"{ask.subject}.") for path in named)


def ask_explanations(task: Task, each: DecisionGrade, findings: Sequence[Finding]) -> list[Explanation]:
    """The findings behind the key of an ask in words: those of its rules, at its own place first."""
    ask = next(ask for ask in task.asks if ask.id == each.id)
    rules = task.key.asks[each.id].rules
    behind = [finding for finding in findings if finding.rule.id in rules and _is_about(finding, ask)]
    behind.sort(key=lambda finding: (not finding.fails, finding.subject != ask.subject))
    first = {finding.rule.id: finding for finding in reversed(behind)}
    chosen = [finding for finding in behind if first[finding.rule.id] is finding][:_MOST]
    return [explain(finding, task.house, edition=task.edition) for finding in chosen]
