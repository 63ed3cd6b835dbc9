"""Which finding stands whole under which decision: one that rests on several is told once, and named at the others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from trainer.domain.vocabulary import Outcome

_FAILS = frozenset({Outcome.DOES_NOT_COMPLY.value, Outcome.UNDETERMINED.value})

Said = Mapping[str, Any]
"""An explanation as it was stored with a marking."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A finding at a decision; ``number`` is its own on the page, ``at`` the decision under which it stands whole."""

    said: Said
    number: int
    at: str

    @property
    def fails(self) -> bool:
        """True where it tells of something that is not met, or cannot be told to be."""
        return self.said["outcome"] in _FAILS


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """What stands under a decision: findings whole, and those that are told under another."""

    whole: list[Told] = field(default_factory=list)
    elsewhere: list[Told] = field(default_factory=list)


def laid_out(decisions: Sequence[Mapping[str, Any]]) -> Mapping[str, Laid]:
    """By decision what to show of its findings, the decisions in the order of the page.

    A finding stands whole under a decision that was marked wrong and depends on it: of several the
    one that the fewest findings tell of, so that one with little to say is not left without a reason,
    then the first. Where none was wrong, under the first that depends on it.
    """
    homes = _homes(decisions)
    numbers = {key: number for number, key in enumerate(homes, start=1)}
    found: dict[str, Laid] = {}
    for each in decisions:
        laid = found.setdefault(str(each["id"]), Laid())
        seen = set()
        for said in each.get("explanations", ()):
            key = _key(said)
            if key not in seen:
                told = Told(said=said, number=numbers[key], at=homes[key])
                (laid.whole if told.at == each["id"] else laid.elsewhere).append(told)
            seen.add(key)
    return found


def _homes(decisions: Sequence[Mapping[str, Any]]) -> dict[tuple[str, ...], str]:
    homes: dict[tuple[str, ...], str] = {}
    for each in sorted(decisions, key=_turn):
        for said in each.get("explanations", ()):
            homes.setdefault(_key(said), str(each["id"]))
    return homes


def _turn(decision: Mapping[str, Any]) -> tuple[bool, int]:
    is_right = decision["marks"] == decision["marks_available"]
    failing = {_key(said) for said in decision.get("explanations", ()) if said["outcome"] in _FAILS}
    return is_right, 0 if is_right else len(failing)


def _key(said: Said) -> tuple[str, ...]:
    # Markings of earlier versions name no subject; the headline names it then.
    return str(said["rule"]), str(said.get("subject", "")), str(said["headline"])
