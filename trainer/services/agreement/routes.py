"""The two routes to a verdict on residual current types: what the rule book says, what the fault walks show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from trainer.domain.devices import Device
from trainer.domain.faults.walk import FaultWalk, Mode, Note, WalkKind
from trainer.domain.faults.walks import fault_walks
from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.physics.responses import Function, Reason, Response, TripVerdict
from trainer.domain.rules import charger, rcd_type, series
from trainer.domain.rules.paths import nearest_residual_device
from trainer.domain.rules.registry import Rule, judge
from trainer.domain.vocabulary import Edition, Outcome


class Question(StrEnum):
    """What both routes are asked of a residual current device."""

    TYPE = "type"
    PASSES = "passes"
    STANDING = "standing"
    SEVERAL = "several"


_BY_QUESTION: dict[Question, tuple[Rule, ...]] = {
    Question.TYPE: (
        rcd_type.type_suited_to_the_loads,
        rcd_type.heat_pump_by_its_maker,
        rcd_type.heat_pump_by_its_front_end,
        rcd_type.type_before_a_pv_inverter,
        charger.residual_protection_of_the_charger,
    ),
    Question.PASSES: (series.smooth_dc_through_the_device_upstream,),
    Question.STANDING: (series.standing_dc_at_a_shared_device,),
    Question.SEVERAL: (series.detectors_below_a_shared_device,),
}

BEFORE_THE_TYPE = frozenset({"rating_above_limit", "built_in_not_listed"})
"""Cases in which a rule fails before it has looked at the type: the rule book cannot tell."""

AFTER_THE_TYPE = frozenset({"no_residual_current_device", "maker_requires_rating", "shared_device"})
"""Cases in which a rule fails for another reason than the type, which it has found right or has not to judge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What both routes answer to one question about one device.

    ``rule_fails`` and ``walk_fails`` are None where that route cannot tell. ``findings`` are the
    findings that decide; ``origins`` names the equipment, or the circuits of loads that nobody
    described, whose faults decide. ``cleared_by`` tells what cleared the faults on which the device
    itself is not required to act.
    """

    house: Installation
    question: Question
    device: Device
    rule_fails: bool | None
    walk_fails: bool | None
    findings: tuple[Finding, ...]
    origins: tuple[str, ...]
    cleared_by: frozenset[Function] = frozenset()

    @property
    def agree(self) -> bool:
        """True when both routes can tell and say the same."""
        return self.rule_fails == self.walk_fails

    @property
    def judged(self) -> bool:
        """True when at least one route has something to say: a finding of a rule, or a walk that fails."""
        return bool(self.findings or self.origins)

    @property
    def comparable(self) -> bool:
        """True when both routes can tell."""
        return self.rule_fails is not None and self.walk_fails is not None


def answers_for(house: Installation, edition: Edition) -> Iterator[Answers]:
    """Both routes' answers to every question about every residual current device of a house."""
    findings = {question: judge(house, rules, edition) for question, rules in _BY_QUESTION.items()}
    walks = fault_walks(house, edition)
    for device in house.devices.values():
        if device.detects_residual_current:
            for question in Question:
                yield _answers(house, device, question, findings[question], walks)


def _answers(
    house: Installation,
    device: Device,
    question: Question,
    findings: Sequence[Finding],
    walks: Sequence[FaultWalk],
) -> Answers:
    deciding = tuple(each for each in findings if _is_about(each, device, house))
    origins = tuple(dict.fromkeys(_origins(house, device, question, walks)))
    cleared_by = frozenset(_clearing(house, device, walks)) if question is Question.TYPE else frozenset[Function]()
    return Answers(
        house=house,
        question=question,
        device=device,
        rule_fails=_fails(deciding),
        walk_fails=None if device.rcd_type is None else bool(origins),
        findings=deciding,
        origins=origins,
        cleared_by=cleared_by,
    )


def _is_about(finding: Finding, device: Device, house: Installation) -> bool:
    collection, _, name = finding.subject.partition(".")
    if collection == "devices":
        return name == device.id
    item = house.equipment.get(name)
    return item is not None and nearest_residual_device(house, house.circuits[item.circuit]) is device


def _fails(findings: Sequence[Finding]) -> bool | None:
    failing = {each.verdict.case for each in findings if each.fails}
    if failing - BEFORE_THE_TYPE - AFTER_THE_TYPE:
        return True
    cannot_tell = failing & BEFORE_THE_TYPE or any(each.outcome is Outcome.UNDETERMINED for each in findings)
    return None if cannot_tell else False


def _origins(house: Installation, device: Device, question: Question, walks: Sequence[FaultWalk]) -> Iterator[str]:
    """Where the faults start for which the device answers the question with no."""
    if question is Question.TYPE:
        yield from _beyond_type(house, device, walks)
    elif question is Question.PASSES:
        yield from _blinding(house, device, walks)
    elif question is Question.STANDING:
        yield from (device.id for walk in walks if not walk.flowing_from and _blinded(walk, device))
    else:
        singles = {walk.flowing_from for walk in walks if len(walk.flowing_from) == 1 and _blinded(walk, device)}
        for walk in walks:
            alone = any((name,) in singles for name in walk.flowing_from)
            if Note.DC_OF_SEVERAL in walk.notes and not alone and _blinded(walk, device):
                yield from walk.flowing_from


def _beyond_type(house: Installation, device: Device, walks: Sequence[FaultWalk]) -> Iterator[str]:
    """Leaks on the device's own circuits that neither it nor anything inside the equipment must clear."""
    for walk in _refused(house, device, walks):
        if not any(_clears(each, device, house) for each in walk.steps):
            yield walk.place.equipment or walk.place.circuit


def _clearing(house: Installation, device: Device, walks: Sequence[FaultWalk]) -> Iterator[Function]:
    """What clears the leaks on the device's own circuits on which the device is not required to act."""
    for walk in _refused(house, device, walks):
        yield from (each.function for each in walk.steps if _clears(each, device, house))


def _refused(house: Installation, device: Device, walks: Sequence[FaultWalk]) -> Iterator[FaultWalk]:
    """Leaks on the device's own circuits whose shape is beyond its type."""
    for walk in walks:
        if walk.kind is not WalkKind.RESISTIVE or walk.mode is not Mode.MAINS:
            continue
        step = _own_step(walk, device)
        if step is None or step.reason not in _BEYOND:
            continue
        if nearest_residual_device(house, house.circuits[walk.place.circuit]) is device:
            yield walk


_BEYOND = frozenset({Reason.BEYOND_TYPE, Reason.BEYOND_FREQUENCY})


def _clears(step: Response, device: Device, house: Installation) -> bool:
    """True for a step of the device, or of something inside the equipment, that must act."""
    near = step.device == device.id or step.device not in house.devices
    return near and step.verdict is TripVerdict.MUST


def _blinding(house: Installation, device: Device, walks: Sequence[FaultWalk]) -> Iterator[str]:
    """Faults on the device's own circuits whose d.c. is more than a device above it tolerates.

    Where equipment carries a device inside, the device itself is the one above.
    """
    above = [each for each in house.devices_above(device) if each.detects_residual_current]
    for walk in walks:
        if len(walk.flowing_from) != 1:
            continue
        (name,) = walk.flowing_from
        item = house.equipment.get(name)
        circuit = house.circuits[name if item is None else item.circuit]
        if nearest_residual_device(house, circuit) is not device:
            continue
        upper = above if item is None or item.built_in_rcd is None else [device, *above]
        if any(_blinded(walk, each) for each in upper):
            yield name


def _blinded(walk: FaultWalk, device: Device) -> bool:
    step = _own_step(walk, device)
    return step is not None and step.reason is Reason.STANDING_DC


def _own_step(walk: FaultWalk, device: Device) -> Response | None:
    for step in walk.steps:
        if step.device == device.id and step.function is Function.RESIDUAL:
            return step
    return None
