"""What was there before the job and is open to the learner: one thing that is wrong, one that is not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer.domain.answers.decisions import Option, apply_edits
from trainer.domain.devices import Device
from trainer.domain.generator import offers_overcurrent, offers_residual
from trainer.domain.generator.data import TrapSpec
from trainer.domain.generator.deciding import RULES
from trainer.domain.generator.draft import Draft, Noticed
from trainer.domain.generator.judging import RULE_BY_ID, fails
from trainer.domain.generator.known import known
from trainer.domain.generator.offers import Offer, Subject
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.sizing import NoCableError
from trainer.domain.generator.survey_words import words
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits

NOTICING_LEVEL = 5
"""The level at which existing circuits are open as well."""

_TYPE_AC_WAS_USUAL_UNTIL = 2019
_SOUND_KINDS = ("rating", "capacity", "type")


def notice(draft: Draft, draws: Draws, limits: Limits) -> None:
    """Open one existing circuit that has a fault and one that has none.

    *Raises* NoCableError where the planned fault does not fit the house.
    """
    if draft.plan.level < NOTICING_LEVEL:
        return
    first = next(_faulty(draft, draws, limits), None)
    if first is None:
        raise NoCableError("nothing that is there can be wrong")
    draft.noticed[first.role] = first
    house = draft.house()
    for second in draws.shuffled([each for each in _sound(draft) if each.role != first.role]):
        if _could_be_wrong(draft, second, house, limits):
            draft.noticed[second.role] = second
            return


def _could_be_wrong(draft: Draft, sound: Noticed, house: Installation, limits: Limits) -> bool:
    """True when another option would fail: where none could, there is nothing to decide."""
    offer = known(existing_offer(draft, sound.role, sound.kind))
    others = (option for option in offer.decision.options if option.id != offer.intended)
    return any(
        fails(RULE_BY_ID[rule], wrong, limits)
        for wrong in (apply_edits(house, list(option.edits)) for option in others)
        for rule in sorted(RULES[sound.kind])
    )


def existing_offer(draft: Draft, role: str, kind: str) -> Offer | None:
    """The decision of a kind on an existing circuit; None where its device has no such property."""
    way = draft.way(role)
    subject = Subject(key=way.id, path=f"devices.{way.id}", words=words(way), role=role)
    if kind == "rating":
        return offers_overcurrent.rating_offer(draft, way, subject)
    if kind == "capacity" and draft.supply.phases > 1:
        return offers_overcurrent.capacity_offer(draft, way, subject)
    if kind == "poles" and way.detects_residual_current and draft.circuits[role].has_neutral:
        return offers_residual.poles_offer(draft, way, subject, lines=draft.circuits[role].phases)
    if kind == "way":
        return offers_residual.way_offer(draft, way, subject)
    if kind == "type" and way.detects_residual_current:
        return offers_residual.type_offer(draft, way, subject)
    return None


def _faulty(draft: Draft, draws: Draws, limits: Limits) -> Iterator[Noticed]:
    """The faults of the catalogue that an existing circuit of this house can have, as drawn, or the planned one."""
    focus = draft.plan.focus
    specs = [focus] if focus.existing else [trap for trap in draft.data.traps.values() if trap.existing]
    house = draft.house()
    every = [
        (trap, role, kind)
        for trap in specs
        for role in _roles(draft, trap)
        for kind in _kinds(draft, role, trap.decisions)
        if kind != "type" or _is_old(draft, draft.way(role))
    ]
    for trap, role, kind in draws.shuffled(every):
        offer = existing_offer(draft, role, kind)
        option = None if offer is None else _wrong(trap, offer, house, limits)
        if option is not None:
            yield Noticed(role=role, kind=kind, option=option.id, label=option.label, faulty=True)


def _wrong(trap: TrapSpec, offer: Offer, house: Installation, limits: Limits) -> Option | None:
    """The first option of a trap that fails by one of its rules."""
    for name in trap.options:
        option = offer.wrong(name)
        if option is None or trap.side not in ("", offer.side_of(option)):
            continue
        wrong = apply_edits(house, list(option.edits))
        if any(fails(RULE_BY_ID[rule], wrong, limits) for rule in trap.rules):
            return option
    return None


def _kinds(draft: Draft, role: str, kinds: Sequence[str]) -> list[str]:
    """The kinds of decision to ask; a motor's own rating is left alone: its start would decide, near every limit."""
    motor = draft.equipment[role].motor
    return [kind for kind in kinds if kind != "rating" or motor is None or not motor.direct_on_line]


def _roles(draft: Draft, trap: TrapSpec) -> Iterator[str]:
    wants = trap.wants
    for chosen in draft.plan.existing:
        role_fits = not wants.roles or chosen.work.role in wants.roles
        if role_fits and (not wants.families or chosen.family.id in wants.families):
            yield chosen.work.role


def _is_old(draft: Draft, way: Device) -> bool:
    year = draft.boards[way.board].year_installed
    return year is not None and year < _TYPE_AC_WAS_USUAL_UNTIL


def _sound(draft: Draft) -> Iterator[Noticed]:
    """What could be asked of each existing circuit although it is right as it is."""
    for chosen in draft.plan.existing:
        role = chosen.work.role
        for kind in _kinds(draft, role, _SOUND_KINDS):
            offer = existing_offer(draft, role, kind)
            if offer is not None:
                option = known(next((o for o in offer.decision.options if o.id == offer.intended), None))
                yield Noticed(role=role, kind=kind, option=option.id, label=option.label, faulty=False)
