"""Which of the choices made in a house are wrong ones, and what the rules then say of each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from trainer.domain.answers.decisions import Decision, Edit, apply, apply_edits
from trainer.domain.findings import Finding
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.trial import Case, Trial
from trainer.domain.inspections.codes import Code, also_accepted, code_of, most_pressing
from trainer.domain.inspections.least import only_least_change
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.tasks import Task
from trainer.domain.vocabulary import Outcome

FAULTS = {1: (0, 1), 2: (1, 2), 3: (1, 3), 4: (2, 4), 5: (2, 5)}
"""How many wrong choices a house has, at least and at most, by level."""

_SHARE_MILD = 0.45
"""How many houses hold no dangerous choice; those may have fewer wrong choices than their level asks."""
_CAN_BE_ILLEGIBLE = frozenset({"rcd_type", "residual_delay", "direction", "curve"})
_SHOWN = frozenset({Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED})


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One choice as it was found: the option, None where it cannot be read; its code and the findings behind it.

    ``tolerated`` are further codes that are accepted there: those of a fault that reaches it from
    another place, and those on which careful inspectors part. ``misconception`` is the belief that
    leads to the choice, if one is known.
    """

    decision: Decision
    option: str | None
    code: Code
    findings: tuple[Finding, ...] = ()
    tolerated: tuple[Code, ...] = ()
    misconception: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AsFound:
    """A house as it was found, with every choice that was made in it. ``mild``: no such choice is dangerous."""

    house: Installation
    found: tuple[Found, ...]
    mild: bool


def plant(task: Task, trial: Trial, draws: Draws) -> AsFound | None:
    """The house of a task as somebody built it, some choices wrong; None where the draw does not hold.

    It holds when putting right exactly the wrong choices is the least change to an acceptable house,
    and no other change is as small. ``trial`` is the house with the intended proposal in it.
    """
    mild = draws.chance(_SHARE_MILD)
    wanted = draws.integer(*FAULTS[task.level])
    wrong: dict[str, str] = {}
    for decision in draws.shuffled(task.decisions):
        if len(wrong) == wanted:
            break
        option = _tempting(task, decision, trial, mild, draws)
        if option is not None:
            wrong[decision.id] = option
    if len(wrong) != wanted and not mild:
        return None
    cases = _cases(trial, wrong)
    if not only_least_change(task, trial, wrong, cases.values()):
        return None
    house = apply(task.house, task.decisions, {**task.key.intended, **wrong})
    covered = _covered(task, house, trial, wrong, cases, draws) if task.level > 1 and draws.chance(0.35) else None
    found = tuple(_found(task, trial, wrong, cases, covered))
    if any(each.code is Code.NOTHING for each in found if each.decision.id in wrong):
        return None
    if mild and any(each.code is Code.C2 for each in found):
        return None
    return AsFound(house=house if covered is None else covered.house, found=found, mild=mild)


def _cases(trial: Trial, wrong: Mapping[str, str]) -> dict[int, Case]:
    """What the rules say of the house with the wrong choices in it, by the place of each in the trial."""
    cases = dict(enumerate(trial.cases))
    if wrong:
        cases.update(trial.changed(wrong))
    return cases


def _tempting(task: Task, decision: Decision, trial: Trial, mild: bool, draws: Draws) -> str | None:
    """A wrong option of a decision, a planted trap rather than any other."""
    traps = {trap.option for trap in task.key.traps if trap.decision == decision.id}
    others = [option.id for option in decision.options if option.id != task.key.intended[decision.id]]
    for option in sorted(draws.shuffled(others), key=lambda each: each not in traps):
        if _is_wrong(trial, {decision.id: option}, mild):
            return option
    return None


def _is_wrong(trial: Trial, change: Mapping[str, str], mild: bool) -> bool:
    """True when a choice alone makes a rule fail; a mild one breaks no stated requirement against shock or fire."""
    if not mild:
        return trial.failing_rule(change) is not None
    findings = list(_findings(trial.changed(change).values()))
    return any(each.fails for each in findings) and not any(each.is_hazard for each in findings)


def _findings(cases: Iterable[Case]) -> Iterator[Finding]:
    """What does not comply or cannot be determined."""
    for case in cases:
        if case.verdict is not None and case.verdict.outcome in _SHOWN:
            yield Finding(case.rule, case.path, case.verdict)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Covered:
    """A choice whose marking cannot be read, the house without it, and what is then undetermined."""

    decision: str
    house: Installation
    undetermined: tuple[Finding, ...]


def _covered(
    task: Task,
    house: Installation,
    trial: Trial,
    wrong: Mapping[str, str],
    cases: Mapping[int, Case],
    draws: Draws,
) -> _Covered | None:
    """A right choice whose marking, were it covered, would leave something undetermined."""
    for decision in draws.shuffled(task.decisions):
        path = decision.paths[0]
        if decision.id in wrong or path.rpartition(".")[2] not in _CAN_BE_ILLEGIBLE:
            continue
        without = apply_edits(house, [Edit(path=path, value=None)])
        number = trial.numbers[decision.id]
        judged = (_judged(case, without, task) if number in case.reads else case for case in cases.values())
        undetermined = tuple(each for each in _findings(judged) if each.outcome is Outcome.UNDETERMINED)
        if undetermined:
            return _Covered(decision=decision.id, house=without, undetermined=undetermined)
    return None


def _judged(case: Case, house: Installation, task: Task) -> Case:
    """What the same rule says of the same record in another house."""
    collection, _, name = case.path.partition(".")
    record = getattr(house, collection)[name] if name else house
    return case._replace(verdict=case.rule.judge(record, house, limits_for(task.edition)))


def _found(
    task: Task, trial: Trial, wrong: Mapping[str, str], cases: Mapping[int, Case], covered: _Covered | None
) -> Iterator[Found]:
    beliefs = {(trap.decision, trap.option): trap.misconception for trap in task.key.traps}
    shown = [case for case in cases.values() if case.outcome in _SHOWN]
    for decision in task.decisions:
        if covered is not None and decision.id == covered.decision:
            yield Found(decision=decision, option=None, code=Code.FI, findings=covered.undetermined)
            continue
        number = trial.numbers[decision.id]
        findings = tuple(_findings(case for case in shown if number in case.reads))
        code = most_pressing(code_of(finding) for finding in findings)
        option = wrong.get(decision.id)
        if option is None:
            intended = task.key.intended[decision.id]
            tolerated = () if code is Code.NOTHING else (code,)
            yield Found(decision=decision, option=intended, code=Code.NOTHING, tolerated=tolerated)
        else:
            yield Found(
                decision=decision,
                option=option,
                code=code,
                findings=findings,
                tolerated=also_accepted(findings),
                misconception=beliefs.get((decision.id, option), ""),
            )
