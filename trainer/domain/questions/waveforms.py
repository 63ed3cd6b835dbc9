"""Questions on the shape of a residual current and on who must act on it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from trainer.domain.asks.forms import AskForm, Choice, Figure, FigureKind
from trainer.domain.physics.bands import ResidualRating
from trainer.domain.physics.classification import ResidualClass, classify
from trainer.domain.physics.front_ends import FaultPoint, FrontEndParameters
from trainer.domain.physics.front_ends import waveform as residual_current
from trainer.domain.physics.responses import TripVerdict, residual_current_of, residual_response
from trainer.domain.physics.waveform import Waveform
from trainer.domain.questions.amounts import amount
from trainer.domain.questions.answering import Reason, match, order, others, several, slips, the_only
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.vocabulary import Consequence, FrontEnd, RcdType

Faulted = tuple[FrontEnd, FaultPoint]
_PERIOD_MS: Final = 20
_SHAPES: Final[tuple[Faulted, ...]] = (
    (FrontEnd.PHASE_ANGLE, FaultPoint.CONTROLLED_LINE),
    (FrontEnd.RESISTIVE, FaultPoint.LINE),
    (FrontEnd.BRIDGE_CAPACITOR, FaultPoint.DC_POSITIVE),
    (FrontEnd.HALF_WAVE, FaultPoint.DC_POSITIVE),
    (FrontEnd.BRIDGE_POWER_FACTOR_STAGE, FaultPoint.DC_POSITIVE),
    (FrontEnd.SIX_PULSE_CAPACITOR, FaultPoint.DC_NEGATIVE),
    (FrontEnd.INVERTER_THREE_PHASE, FaultPoint.DC_POSITIVE),
    (FrontEnd.CONVERTER_SINGLE_PHASE, FaultPoint.INVERTER_OUTPUT),
)
_FIRED: Final = (FrontEnd.PHASE_ANGLE, FrontEnd.HALF_WAVE)
_KINDS: Final[Mapping[ResidualClass, str]] = {
    ResidualClass.ALTERNATING: "alternating",
    ResidualClass.PULSATING_DC: "pulsating",
    ResidualClass.PULSATING_ON_SMOOTH_DC: "never_zero",
    ResidualClass.SMOOTH_DC: "never_zero",
    ResidualClass.COMPOSITE: "composite",
}
_NAMES: Final = ("alternating", "pulsating", "never_zero", "composite")


def _drawn(desk: Desk, shapes: tuple[Faulted, ...], *, delayed: bool = False) -> tuple[Faulted, Figure, Waveform]:
    """A fault behind a front end, as a drawing and as a waveform; where asked for with a firing angle."""
    front_end, fault = desk.draws.choice(shapes)
    resistance = desk.draws.stepped(1000, 2000, 100)
    angle = desk.draws.stepped(50, 120, 5)
    values = {"front_end": front_end.value, "fault": fault.value, "fault_resistance_ohm": f"{resistance:g}"}
    if delayed and front_end in _FIRED:
        values["firing_angle_deg"] = f"{angle:g}"
    given = FrontEndParameters(
        fault_resistance_ohm=resistance, firing_angle_deg=angle if "firing_angle_deg" in values else None
    )
    current = residual_current(front_end, fault, given)
    figure = Figure(kind=FigureKind.WAVEFORM, values=dict(sorted(values.items())))
    return (front_end, fault), figure, current


@family(
    id="kind_of_a_residual_current",
    title="The kind of a residual current",
    objectives=("LO02",),
    rules=("RCD-06",),
    misconceptions=("M13", "M97"),
    form=AskForm.ONE,
    level=1,
)
def kind_of_a_residual_current(desk: Desk) -> Draft:
    """What kind of residual current a waveform shows."""
    (front_end, _), figure, current = _drawn(desk, _SHAPES)
    right = _KINDS[classify(current)]
    reason: Mapping[str, Reason] = {
        "alternating": ("M97", "not_alternating"),
        "pulsating": ("M13", "not_pulsating"),
        "never_zero": ("M97", "not_smooth"),
        "composite": ("M97", "not_composite"),
    }
    return Draft(
        answers=(right,),
        slips=others(_NAMES, right, lambda name: reason[name]),
        choices=desk.choices(_NAMES),
        why=right,
        values={"load": desk.label(front_end.value)},
        figure=figure,
        consequence=Consequence.DESIGN,
    )


_RATING_MA: Final = 30.0


@family(
    id="types_that_must_act",
    title="Which types must act",
    objectives=("LO02", "LO12"),
    rules=("RCD-06",),
    misconceptions=("M04", "M11", "M13", "M60"),
    form=AskForm.SEVERAL,
    level=3,
)
def types_that_must_act(desk: Desk) -> Draft:
    """The types of 30 mA devices whose standard requires them to act on a waveform."""
    (front_end, _), figure, current = _drawn(desk, _SHAPES)
    figures = residual_current_of(current, _RATING_MA)
    verdicts = {
        kind.value: residual_response(
            ResidualRating(rcd_type=kind, rated_residual_operating_current_ma=_RATING_MA), figures, desk.limits
        ).verdict
        for kind in RcdType
    }
    if TripVerdict.MAY in verdicts.values():
        raise RedrawError("the current lies between the limits of a device")
    ids = tuple(verdicts)
    acting = [name for name, verdict in verdicts.items() if verdict is TripVerdict.MUST]
    right = several(ids, acting)
    wrong: dict[str, Reason] = {
        several(ids, ids): ("M11", "all"),
        several(ids, ids[1:]): ("M13", "from_a"),
        several(ids, ids[2:]): ("M04", "from_f"),
        several(ids, ids[3:]): ("M60", "b_only"),
    }
    wrong.pop(right, None)
    return Draft(
        answers=(right,),
        slips=slips(wrong),
        choices=desk.choices(ids),
        values={
            "load": desk.label(front_end.value),
            "current": amount(current.rms_ma, "mA", 0),
            "acting": ", ".join(acting),
            "least": acting[0] if acting else "",
        },
        figure=figure,
        why="every" if len(acting) == len(ids) else "some",
        leaves_hazard=acting == [RcdType.B.value],
    )


_RESTING: Final[tuple[Faulted, ...]] = (
    (FrontEnd.PHASE_ANGLE, FaultPoint.CONTROLLED_LINE),
    (FrontEnd.PHASE_ANGLE, FaultPoint.CONTROLLED_LINE),
    (FrontEnd.BRIDGE_CAPACITOR, FaultPoint.DC_NEGATIVE),
    (FrontEnd.HALF_WAVE, FaultPoint.DC_POSITIVE),
)
_CLEAR: Final = 0.3


def _share_at(current: Waveform, instant_ms: int) -> float:
    """The magnitude at an instant of the first period as a share of the peak."""
    place = round(instant_ms / _PERIOD_MS * current.samples_per_period) % current.samples_per_period
    return abs(float(current.residual_current_ma[place])) / current.peak_ma


@family(
    id="instant_at_rest",
    title="When the current rests",
    objectives=("LO02",),
    rules=("RCD-06",),
    misconceptions=("M13", "M97"),
    form=AskForm.POINT,
    level=1,
)
def instant_at_rest(desk: Desk) -> Draft:
    """The one of four instants at which a residual current rests at zero."""
    draws = desk.draws
    (front_end, _), figure, current = _drawn(desk, _RESTING, delayed=True)
    shares = {instant: _share_at(current, instant) for instant in range(1, _PERIOD_MS)}
    resting = [instant for instant, share in shares.items() if share < 1e-6 and shares.get(instant - 1, 1) < 1e-6]
    flowing = [instant for instant, share in shares.items() if share > _CLEAR]
    if not resting or len(flowing) < 3:
        raise RedrawError("the waveform does not rest")
    instants = sorted([draws.choice(resting), *draws.shuffled(flowing)[:3]])
    ids = tuple(f"t{instant}" for instant in instants)
    right = the_only(ids, lambda name: int(name[1:]) in resting)

    def reason(name: str) -> Reason:
        return ("M13", "peak") if shares[int(name[1:])] > 0.9 else ("M97", "flowing")

    return Draft(
        answers=(right,),
        slips=others(ids, right, reason),
        choices=tuple(Choice(id=name, label=amount(float(name[1:]), "ms")) for name in ids),
        values={"load": desk.label(front_end.value), "instant": amount(float(right[1:]), "ms")},
        figure=figure,
        consequence=Consequence.DESIGN,
    )


_LOADS: Final = (
    FrontEnd.RESISTIVE,
    FrontEnd.PHASE_ANGLE,
    FrontEnd.BRIDGE_CAPACITOR,
    FrontEnd.HALF_WAVE,
    FrontEnd.BRIDGE_RESISTIVE,
    FrontEnd.CONVERTER_SINGLE_PHASE,
    FrontEnd.BRIDGE_POWER_FACTOR_STAGE,
    FrontEnd.SIX_PULSE_CAPACITOR,
    FrontEnd.THREE_PULSE,
    FrontEnd.CONVERTER_THREE_PHASE,
)


def _one_of_each(desk: Desk, types: tuple[RcdType, ...]) -> dict[str, RcdType]:
    """Front ends, one for each of the types, with the least type that each needs."""
    by_type = {kind: [each for each in _LOADS if desk.limits.residual.least_type(each) is kind] for kind in types}
    return {desk.draws.choice(found).value: kind for kind, found in by_type.items()}


@family(
    id="front_ends_and_types",
    title="Front ends and types",
    objectives=("LO02",),
    rules=("RCD-06",),
    misconceptions=("M13", "M35"),
    form=AskForm.MATCH,
    level=2,
)
def front_ends_and_types(desk: Desk) -> Draft:
    """Inputs of loads matched to the least type that detects their faults."""
    found = _one_of_each(desk, (RcdType.A, RcdType.F, RcdType.B))
    ids = desk.draws.shuffled(tuple(found))
    right = match(ids, {name: kind.value for name, kind in found.items()})
    as_a = match(ids, {name: "A" if kind is RcdType.B else kind.value for name, kind in found.items()})
    drive_as_a = match(ids, {name: "A" if kind is RcdType.F else kind.value for name, kind in found.items()})
    return Draft(
        answers=(right,),
        slips=slips({as_a: ("M13", "rectifier"), drive_as_a: ("M35", "drive")}),
        choices=desk.choices(ids),
        partners=desk.choices(tuple(kind.value for kind in RcdType)),
    )


@family(
    id="loads_by_their_type",
    title="Loads in order of their type",
    objectives=("LO02",),
    rules=("RCD-06",),
    misconceptions=("M13", "M35"),
    form=AskForm.ORDER,
    level=2,
)
def loads_by_their_type(desk: Desk) -> Draft:
    """Four inputs of loads in order of the least type that they need."""
    found = _one_of_each(desk, tuple(RcdType))
    ids = sorted(found, key=lambda name: found[name].rank)
    swapped = (ids[0], ids[2], ids[1], ids[3])
    last = (ids[0], ids[1], ids[3], ids[2])
    return Draft(
        answers=(order(ids),),
        slips=slips({order(swapped): ("M35", "drive"), order(last): ("M13", "rectifier")}),
        choices=desk.shuffled(ids),
        values={"order": "; ".join(f"{desk.label(name)}: {found[name].value}" for name in ids)},
    )


FAMILIES: tuple[Family, ...] = (
    kind_of_a_residual_current,
    types_that_must_act,
    instant_at_rest,
    front_ends_and_types,
    loads_by_their_type,
)
