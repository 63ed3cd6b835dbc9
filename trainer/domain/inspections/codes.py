"""The observation codes of a condition report, and which of them a finding earns.

C1 danger present, C2 potentially dangerous, C3 improvement recommended, FI further investigation
required without delay: the codes of the model report in BS 7671 Appendix 6. Which code a fault
earns is judgement; the assignment here is common practice, and what rests on inference alone takes
neither C1 nor C2. Where careful inspectors part, both codes are accepted.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from trainer.domain.findings import Finding
from trainer.domain.vocabulary import Consequence, Outcome


class Code(StrEnum):
    """An observation code, or nothing to record."""

    NOTHING = "none"
    C1 = "C1"
    C2 = "C2"
    C3 = "C3"
    FI = "FI"

    @property
    def rank(self) -> int:
        """How pressing it is, 0 for nothing."""
        return _RANK.index(self)


_RANK = (Code.NOTHING, Code.C3, Code.FI, Code.C2, Code.C1)


def code_of(finding: Finding) -> Code:
    """The code that one finding of an installation in service earns.

    A stated requirement against shock or fire that is not met: C2. Anything else that does not
    comply, and advice: C3. What cannot be determined: FI. C1 needs a danger that is there now, which
    no rule sees: those come from what was observed.
    """
    if finding.is_hazard:
        return Code.C2
    if finding.outcome is Outcome.UNDETERMINED:
        return Code.FI
    return Code.NOTHING if finding.outcome is Outcome.COMPLIES else Code.C3


_PARTED = frozenset({"BAT-01", "GEN-04", "HP-05", "RAT-02", "RCD-06", "RCD-12"})
"""Rules whose failing alone is coded C2 by some and C3 by others: most came after the work that is inspected,
or ask for more than was asked then. Common practice, from memory."""
_BONDING, _STOUT_MM2 = "BON-01", 6.0
"""Bonding that is connected and of at least this size, though smaller than asked, is C3 to many: from memory."""


def also_accepted(findings: Iterable[Finding]) -> tuple[Code, ...]:
    """C3 where all that speaks for C2 are rules on which careful inspectors part."""
    dangerous = [each for each in findings if each.is_hazard]
    return (Code.C3,) if dangerous and all(_is_parted(each) for each in dangerous) else ()


def _is_parted(finding: Finding) -> bool:
    if finding.rule.id == _BONDING:
        value = finding.verdict.value
        return isinstance(value, float | int) and value >= _STOUT_MM2
    return finding.rule.id in _PARTED


def most_pressing(codes: Iterable[Code]) -> Code:
    """The highest of some codes; nothing to record where there are none."""
    return max(codes, key=lambda each: each.rank, default=Code.NOTHING)


def at_stake(code: Code, findings: Iterable[Finding]) -> Consequence:
    """What a wrong code could cause: for C1 and C2 what the findings say, for C3 and FI harm that comes later."""
    if code is Code.NOTHING:
        return Consequence.DOCUMENTATION
    if code not in (Code.C1, Code.C2):
        return Consequence.EQUIPMENT
    return next((each.consequence for each in findings if each.is_hazard), Consequence.SHOCK)
