"""Simulated faults in words: where, what flows, what each device on the path is promised to do."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from trainer.domain.faults.walk import FaultWalk, Mode, Note, WalkKind
from trainer.domain.faults.walks import fault_walks
from trainer.domain.installation import Installation
from trainer.domain.physics.front_ends import FaultPoint
from trainer.domain.physics.responses import Function, Response, TripVerdict
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.explain.names import capitalised, device_name, name_of
from trainer.explain.numbers import quantity
from trainer.explain.responses import reason_words, verdict_word

Translate = Callable[[str], str]

# Where a source or a converter limits the current, it also stops by itself; no bound of a device speaks of that.
_NOTHING_TO_SEE = frozenset(
    {
        Note.NO_RESIDUAL_CURRENT,
        Note.NO_RETURN_PATH,
        Note.GALVANIC_SEPARATION,
        Note.IMPEDANCE_UNKNOWN,
        Note.SOURCE_LIMITS_CURRENT,
        Note.CONVERTER_MAY_LIMIT,
    }
)
_MOST_TELLING = 6
_MA_IN_A = 1000.0
_MS_IN_S = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldStep:
    """One device on the path of a fault current."""

    device: str
    verdict: str
    reason: str
    current: str
    standing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldWalk:
    """One simulated fault in words."""

    where: str
    how: str
    steps: tuple[ToldStep, ...]
    key: str = ""


def unanswered(walks: Iterable[FaultWalk]) -> list[FaultWalk]:
    """The faults that no device is required to clear, or not in time: one for each place, the gravest first."""
    open_ = [walk for walk in walks if _is_unanswered(walk)]
    kept: dict[tuple[str, str | None, WalkKind], FaultWalk] = {}
    for walk in sorted(open_, key=_gravity):
        kept.setdefault((walk.place.circuit, walk.place.equipment, walk.kind), walk)
    return list(kept.values())


def _is_unanswered(walk: FaultWalk) -> bool:
    if walk.place.assumed or _NOTHING_TO_SEE & set(walk.notes) or not walk.steps:
        return False
    if walk.kind is WalkKind.BOLTED:
        return walk.within_time is False
    return not walk.is_cleared and any(step.verdict is TripVerdict.NOT_REQUIRED for step in walk.steps)


def _gravity(walk: FaultWalk) -> tuple[int, float]:
    order = (WalkKind.BOLTED, WalkKind.RESISTIVE, WalkKind.CONTACT)
    return order.index(walk.kind), -abs(walk.current.mean_ma)


def told_walks(
    house: Installation, edition: Edition = DEFAULT_EDITION, translate: Translate = str
) -> tuple[list[ToldWalk], int]:
    """The most telling unanswered faults in words, and how many there are in all."""
    found = unanswered(fault_walks(house, edition))
    return [told_walk(walk, house, translate) for walk in found[:_MOST_TELLING]], len(found)


def walk_key(walk: FaultWalk) -> str:
    """What tells a fault from every other of the same installation, fit for an address."""
    place = walk.place
    parts = (walk.kind, walk.mode, place.circuit, place.equipment, place.point, walk.source, *walk.flowing_from)
    return "~".join("" if part is None else str(part) for part in parts) + ("~assumed" if place.assumed else "")


def told_walk(walk: FaultWalk, house: Installation, translate: Translate = str) -> ToldWalk:
    """One fault in words."""
    return ToldWalk(
        key=walk_key(walk),
        where=_where(walk, house, translate),
        how=_how(walk, translate),
        steps=tuple(_step(step, house, translate) for step in _telling(walk)),
    )


def _telling(walk: FaultWalk) -> Iterable[Response]:
    """What the residual current devices do; where none is on the way, what the overcurrent devices do."""
    residual = [step for step in walk.steps if step.function is not Function.OVERCURRENT]
    return residual or walk.steps


def _where(walk: FaultWalk, house: Installation, translate: Translate) -> str:
    _ = translate
    path = f"equipment.{walk.place.equipment}" if walk.place.equipment else f"circuits.{walk.place.circuit}"
    place = capitalised(name_of(house, path, translate))
    point = {
        FaultPoint.LINE: _("at the line"),
        FaultPoint.CONTROLLED_LINE: _("behind the control"),
        FaultPoint.DC_POSITIVE: _("at the positive d.c. pole"),
        FaultPoint.DC_NEGATIVE: _("at the negative d.c. pole"),
        FaultPoint.DC_MIDDLE: _("in the middle of the d.c. link"),
        FaultPoint.INVERTER_OUTPUT: _("at the inverter's output"),
    }[walk.place.point]
    if walk.kind is WalkKind.CONTACT:
        return _("{place}: a person touches a live part").format(place=place)
    return _("{place}: insulation fails {point}").format(place=place, point=point)


def _how(walk: FaultWalk, translate: Translate) -> str:
    _ = translate
    size = _size(walk.current.rms_ma)
    smooth = walk.current.smooth_ma
    fed = {
        Mode.MAINS: _("fed from the network"),
        Mode.ISLAND: _("fed as an island"),
        Mode.OPEN_PEN: _("with the PEN conductor open"),
    }[walk.mode]
    text = _("{size} r.m.s., {fed}").format(size=size, fed=fed)
    if smooth >= 1:
        text += _(", never below {smooth} mA").format(smooth=f"{smooth:.0f}")
    if walk.kind is WalkKind.BOLTED and walk.time_limit_ms is not None:
        text += _("; to be cleared within {time} s").format(time=f"{walk.time_limit_ms / _MS_IN_S:g}")
    return text


def _size(current_ma: float) -> str:
    """A current as it is spoken of: 105 mA, 2.2 A, 224 A."""
    if current_ma < _MA_IN_A:
        return quantity(current_ma, "mA", 0)
    return quantity(current_ma / _MA_IN_A, "A", 0 if current_ma >= 10 * _MA_IN_A else 1)


def _nameless(step: Response, translate: Translate) -> str:
    return translate("Cut-out fuse") if step.device == "supply.fuse" else translate("Built-in device")


def _step(step: Response, house: Installation, translate: Translate) -> ToldStep:
    _ = translate
    device = house.devices.get(step.device)
    standing = (
        _("on {dc} mA of smooth d.c.").format(dc=f"{step.standing_dc_ma:.0f}") if step.standing_dc_ma >= 1 else ""
    )
    return ToldStep(
        device=_nameless(step, translate) if device is None else capitalised(device_name(device, translate)),
        verdict=verdict_word(step.verdict, translate),
        reason=reason_words(step.reason, translate),
        current=_size(step.residual_current_ma),
        standing=standing,
    )
