"""What a grade says, in a form that two grades can be compared in, and what differs between two."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from trainer.domain.vocabulary import Outcome

Key = tuple[str, str]
"""A rule and a subject: there is one finding of the one on the other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidFinding:
    """A finding as it was said: rule, subject, outcome, number against limit, where it stands."""

    rule: str
    subject: str
    outcome: str
    value: float | str | None
    limit: float | str | None
    unit: str
    source: str

    @property
    def key(self) -> Key:
        """What names the finding within its grade."""
        return (self.rule, self.subject)


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidDecision:
    """A decision as it was marked; ``findings`` are the keys of those that depend on it."""

    id: str
    chosen: str
    marks: int
    marks_available: int
    findings: frozenset[Key]


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidGrade:
    """A grade as it was given."""

    marks: int
    marks_available: int
    safe_to_energise: bool
    decisions: tuple[SaidDecision, ...]
    findings: Mapping[Key, SaidFinding]


class Turn(StrEnum):
    """How a finding differs between two grades of one answer."""

    GAINED = "gained"
    LOST = "lost"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingChange:
    """A finding that one of two grades has alone, or that says something else in the second."""

    before: SaidFinding | None
    after: SaidFinding | None

    @property
    def turn(self) -> Turn:
        """Gained, lost or changed."""
        if self.before is None:
            return Turn.GAINED
        return Turn.LOST if self.after is None else Turn.CHANGED

    @property
    def either(self) -> SaidFinding:
        """The finding as it is said now, or else as it was said."""
        found = self.after or self.before
        if found is None:
            raise ValueError("a change without a finding")
        return found

    @property
    def bears_on_marks(self) -> bool:
        """True when the finding fails on one side and not on the other: only failing ones cost marks."""
        return _fails(self.before) != _fails(self.after)


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionChange:
    """A decision with other marks, and the findings that differ and bear on it."""

    before: SaidDecision
    after: SaidDecision
    because: tuple[FindingChange, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Differences:
    """All that differs between two grades of one answer."""

    decisions: tuple[DecisionChange, ...]
    findings: tuple[FindingChange, ...]
    marks: bool
    warning: bool

    @property
    def result(self) -> bool:
        """True when marks or the warning differ, not only what was said."""
        return bool(self.marks or self.warning or self.decisions)


def differences(before: SaidGrade, after: SaidGrade) -> Differences:
    """What differs between two grades of the same answer."""
    changes = _finding_changes(before.findings, after.findings)
    earlier = {each.id: each for each in before.decisions}
    pairs = [(earlier[each.id], each) for each in after.decisions if each.id in earlier]
    return Differences(
        decisions=tuple(
            DecisionChange(before=old, after=new, because=_because(old, new, changes))
            for old, new in pairs
            if (old.marks, old.marks_available) != (new.marks, new.marks_available)
        ),
        findings=changes,
        marks=(before.marks, before.marks_available) != (after.marks, after.marks_available),
        warning=before.safe_to_energise != after.safe_to_energise,
    )


def _finding_changes(before: Mapping[Key, SaidFinding], after: Mapping[Key, SaidFinding]) -> tuple[FindingChange, ...]:
    """Findings that differ, those that bear on marks first, else in the order of the later grade."""
    keys = dict.fromkeys((*after, *before))
    changes = [
        FindingChange(before=before.get(key), after=after.get(key)) for key in keys if before.get(key) != after.get(key)
    ]
    return tuple(sorted(changes, key=lambda each: not each.bears_on_marks))


def _because(before: SaidDecision, after: SaidDecision, changes: Sequence[FindingChange]) -> tuple[FindingChange, ...]:
    """The changes that bear on a decision's marks: its own that decide, else any that decide, else its own.

    The marks hang on the nearest acceptable proposal, which a rule about another choice can move.
    """
    read = before.findings | after.findings
    own = tuple(each for each in changes if each.either.key in read)
    deciding = tuple(each for each in own if each.bears_on_marks)
    elsewhere = tuple(each for each in changes if each.bears_on_marks)
    return deciding or elsewhere or own


def _fails(finding: SaidFinding | None) -> bool:
    return finding is not None and finding.outcome == Outcome.DOES_NOT_COMPLY
