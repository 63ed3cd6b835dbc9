"""Which of the choices made in a house are wrong ones, and what the rules then say of each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trainer.domain.answers.decisions import Decision, Edit, apply, apply_edits
from trainer.domain.answers.marking import Grade, grade
from trainer.domain.answers.solver import Solution
from trainer.domain.findings import Finding
from trainer.domain.generator.randomness import Draws
from trainer.domain.inspections.codes import Code, also_accepted, code_of, most_pressing
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import judge
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


def plant(task: Task, solution: Solution, draws: Draws) -> AsFound | None:
    """The house of a task as somebody built it, some choices wrong; None where the draw does not hold.

    It holds when putting right exactly the wrong choices is the least change to an acceptable house.
    """
    mild = draws.chance(_SHARE_MILD)
    low, high = FAULTS[task.level]
    wanted = draws.integer(low, high)
    proposal = dict(task.key.intended)
    for decision in draws.shuffled(task.decisions):
        if len(_wrong(task, proposal)) == wanted:
            break
        option = _tempting(task, decision, solution, mild, draws)
        if option is not None:
            proposal[decision.id] = option
    planted = _wrong(task, proposal)
    marked = grade(task, proposal, ALL_RULES, solution=solution)
    if not (len(planted) == wanted or mild) or {each.decision for each in marked.least_change} != planted:
        return None
    house = apply(task.house, task.decisions, proposal)
    illegible = _illegible(task, house, planted, draws) if task.level > 1 and draws.chance(0.35) else None
    if illegible is not None:
        house = apply_edits(house, [Edit(path=illegible.paths[0], value=None)])
    found = tuple(_found(task, proposal, marked, house, illegible))
    if any(each.code is Code.NOTHING for each in found if each.decision.id in planted):
        return None
    if mild and any(each.code is Code.C2 for each in found):
        return None
    return AsFound(house=house, found=found, mild=mild)


def _wrong(task: Task, proposal: Mapping[str, str]) -> set[str]:
    return {name for name, option in proposal.items() if option != task.key.intended[name]}


def _tempting(task: Task, decision: Decision, solution: Solution, mild: bool, draws: Draws) -> str | None:
    """A wrong option of a decision, a planted trap rather than any other."""
    wrong = [
        option.id for option in decision.options if not solution.accepts({**task.key.intended, decision.id: option.id})
    ]
    if mild:
        wrong = [option for option in wrong if _is_mild(task, decision, option)]
    traps = [trap.option for trap in task.key.traps if trap.decision == decision.id and trap.option in wrong]
    return draws.choice(traps or wrong) if wrong else None


def _is_mild(task: Task, decision: Decision, option: str) -> bool:
    """True when a wrong option alone breaks no stated requirement against shock or fire."""
    house = apply(task.house, task.decisions, {**task.key.intended, decision.id: option})
    return not any(finding.is_hazard for finding in judge(house, ALL_RULES, task.edition))


def _illegible(task: Task, house: Installation, planted: set[str], draws: Draws) -> Decision | None:
    """A right choice whose marking, were it covered, would leave something undetermined."""
    for decision in draws.shuffled(task.decisions):
        path = decision.paths[0]
        if decision.id in planted or path.rpartition(".")[2] not in _CAN_BE_ILLEGIBLE:
            continue
        covered = apply_edits(house, [Edit(path=path, value=None)])
        if any(each.outcome is Outcome.UNDETERMINED for each in judge(covered, ALL_RULES, task.edition)):
            return decision
    return None


def _found(
    task: Task, proposal: Mapping[str, str], marked: Grade, house: Installation, illegible: Decision | None
) -> Iterator[Found]:
    undetermined = [each for each in judge(house, ALL_RULES, task.edition) if each.outcome is Outcome.UNDETERMINED]
    beliefs = {(trap.decision, trap.option): trap.misconception for trap in task.key.traps}
    for decision, each in zip(task.decisions, marked.decisions, strict=True):
        option = proposal[decision.id]
        if illegible is not None and decision.id == illegible.id:
            yield Found(decision=decision, option=None, code=Code.FI, findings=tuple(undetermined))
            continue
        findings = tuple(marked.findings[place] for place in each.findings if marked.findings[place].outcome in _SHOWN)
        code = most_pressing(code_of(finding) for finding in findings)
        if each.is_right:
            tolerated = () if code is Code.NOTHING else (code,)
            yield Found(decision=decision, option=option, code=Code.NOTHING, tolerated=tolerated)
        else:
            belief = beliefs.get((decision.id, option), "")
            yield Found(
                decision=decision,
                option=option,
                code=code,
                findings=findings,
                tolerated=also_accepted(findings),
                misconception=belief,
            )
