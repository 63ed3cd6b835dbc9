"""Which decisions a scenario asks for: by level, and by what its circuits give rise to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import chain, islice

from trainer.domain.devices import Device
from trainer.domain.generator import needs, offers_overcurrent, offers_residual, offers_supply
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.evening import STEPS, of_circuits
from trainer.domain.generator.layout import has_island
from trainer.domain.generator.naming import thing_of
from trainer.domain.generator.noticing import existing_offer
from trainer.domain.generator.offers import Offer, Subject
from trainer.domain.generator.survey_words import words
from trainer.domain.vocabulary import DeviceKind, EarthingSystem

_LEVEL_3 = frozenset({"arc", "way", "type", "direction", "place", "rating", "cable", "earthing", "link"})
_LEVEL_4 = frozenset({"arc", "way", "type", "direction", "earthing", "link", "battery"})
_SUBJECT_4 = frozenset({"rating", "cable", "place"})
_SUBJECT_5 = frozenset({"rating", "cable", "place", "capacity"})
_SEVERAL = 3
"""The level from which new work can have several circuits."""
_IN_RESERVE = 8
"""How many decisions more than the fewest are looked at."""


def candidates(draft: Draft) -> tuple[tuple[Offer, ...], tuple[Offer, ...]]:
    """What the level asks, the circuits' decisions first, then the shared devices', then the house's; and more of them.

    The further ones are as many as may be needed where some of the first decide nothing.
    """
    subject = draft.plan.subject.work.role
    of_role = {subject: tuple(circuit_offers(draft, subject))}
    if draft.plan.level >= _SEVERAL:
        for each in draft.plan.wanted:
            if each.work.role != subject:
                of_role[each.work.role] = tuple(circuit_offers(draft, each.work.role))
    usual = _usual_offers(draft, of_role)
    if draft.plan.level == 1:
        return usual, ()
    known_ids = {each.decision.id for each in usual}
    further = chain(of_circuits(of_role.values()), _house_offers(draft))
    new = (each for each in further if each.decision.id not in known_ids)
    wanted = STEPS[draft.plan.level][0] + _IN_RESERVE - len(usual)
    return usual, tuple(islice(new, max(0, wanted)))


OfRole = Mapping[str, tuple[Offer, ...]]
"""All decisions of each new circuit."""


def _usual_offers(draft: Draft, of_role: OfRole) -> tuple[Offer, ...]:
    plan = draft.plan
    own = of_role[plan.subject.work.role]
    if plan.level == 1:
        every = (*own, *_shared_offers(draft), *_house_offers(draft))
        return tuple(each for each in every if each.kind in plan.focus.decisions)
    if plan.level == 2:
        return (*own, *_of_the_sources(draft))
    if plan.level == 3:
        kept = _kept(draft, of_role, _LEVEL_3, _LEVEL_3)
        return (*kept, *_shared_offers(draft), *_of_the_sources(draft))
    if plan.level == 4:
        kept = _kept(draft, of_role, _LEVEL_4 | _SUBJECT_4, _LEVEL_4)
        return (*kept, *_shared_offers(draft), *_house_offers(draft))
    kept = _kept(draft, of_role, _LEVEL_4 | _SUBJECT_5, _LEVEL_4)
    return (*kept, *_existing_offers(draft), *_shared_offers(draft), *_house_offers(draft))


def _existing_offers(draft: Draft) -> Iterator[Offer]:
    """Decisions on what was there before the job, in the order of the board."""
    for role in sorted(draft.noticed, key=lambda role: _order(draft, role)):
        offer = existing_offer(draft, role, draft.noticed[role].kind)
        if offer is not None:
            yield offer


def _kept(draft: Draft, of_role: OfRole, of_subject: frozenset[str], of_others: frozenset[str]) -> Iterator[Offer]:
    """The decisions of all new circuits, in the order of the board."""
    subject = draft.plan.subject.work.role
    roles = sorted((each.work.role for each in draft.plan.wanted), key=lambda role: _order(draft, role))
    for role in roles:
        kinds = of_subject if role == subject else of_others
        about = role == subject and not draft.plan.focus.existing
        focus = frozenset(draft.plan.focus.decisions) if about else frozenset[str]()
        yield from (each for each in of_role[role] if each.kind in kinds | focus)


def _order(draft: Draft, role: str) -> tuple[str, int]:
    way = draft.way(role)
    return way.board, way.way or 0


def circuit_offers(draft: Draft, role: str) -> Iterator[Offer]:
    """Every decision that one new circuit gives rise to, in the order in which a designer takes them."""
    circuit, item, way = draft.circuits[role], draft.equipment[role], draft.way(role)
    device = Subject(key=way.id, path=f"devices.{way.id}", words=words(way), role=role)
    thing = Subject(key=role, path=f"equipment.{role}", words={"label": thing_of(item.label)}, role=role)
    run = Subject(key=role, path=f"circuits.{role}", words=words(way), role=role)
    if draft.plan.board.style == "dual_rccb":
        yield offers_residual.place_offer(draft, way, device)
    yield from _residual(draft, way, device)
    if circuit.has_neutral:
        yield offers_residual.poles_offer(draft, way, device, lines=circuit.phases)
    if circuit.socket_outlets and draft.plan.archetype.premises in needs.ARC_DETECTION_PREMISES:
        yield offers_residual.arc_offer(draft, way, device)
    if item.source is not None and way.detects_residual_current:
        yield offers_residual.direction_offer(draft, way, device)
    yield offers_overcurrent.curve_offer(draft, way, device)
    yield offers_overcurrent.rating_offer(draft, way, device)
    if draft.supply.phases > 1:
        yield offers_overcurrent.capacity_offer(draft, way, device)
    yield offers_overcurrent.cable_offer(draft, circuit, run)
    if item.charger is not None and draft.supply.earthing_system is EarthingSystem.TN_C_S:
        yield offers_supply.earthing_offer(draft, item, thing)
    if item.source is not None and item.source.island:
        yield offers_supply.link_offer(draft, item, thing)
    if item.battery is not None:
        yield offers_supply.battery_offer(draft, item, thing)


def _residual(draft: Draft, way: Device, subject: Subject) -> Iterator[Offer]:
    """Type and rating where the way must hold a residual current device, else the kind of device."""
    plan, role = draft.plan, subject.role
    item, circuit = draft.equipment[role], draft.circuits[role]
    premises, island = plan.archetype.premises, has_island(draft)
    needed = needs.residual_device_needed(item, circuit, draft.supply, premises, island=island)
    focused = role == plan.subject.work.role
    asks_kind = focused and plan.focus.decisions[0] == "way" and not plan.focus.existing
    forced = focused and plan.residual_device_is_given
    if way.kind is DeviceKind.RCBO and (forced or (needed and not asks_kind)):
        yield offers_residual.type_offer(draft, way, subject)
        yield offers_residual.sensitivity_offer(draft, way, subject)
    else:
        yield offers_residual.way_offer(draft, way, subject)


def _shared_offers(draft: Draft) -> Iterator[Offer]:
    """Decisions on the devices that several circuits share."""
    for device in draft.devices.values():
        if device.kind is not DeviceKind.RCCB:
            continue
        subject = Subject(key=device.id, path=f"devices.{device.id}", words=words(device), role=device.id)
        yield offers_residual.type_offer(draft, device, subject)
        if device.id == "front":
            yield offers_residual.sensitivity_offer(draft, device, subject)
            yield offers_residual.direction_offer(draft, device, subject)
        else:
            yield offers_overcurrent.switch_rating_offer(draft, device, subject)


def _of_the_sources(draft: Draft) -> Iterator[Offer]:
    """Decisions that any source of the new work brings with it."""
    sources = [item for item in draft.equipment.values() if item.source is not None]
    if not sources:
        return
    if has_island(draft) and draft.supply.earthing_system is not EarthingSystem.TT:
        yield offers_supply.electrode_offer(draft)
    main = draft.boards["main"]
    words_of_board = {"label": main.label.lower()}
    yield offers_overcurrent.assembly_offer(
        draft, main, Subject(key="main", path="boards.main", words=words_of_board, role="board")
    )
    yield offers_supply.notices_offer(draft)
    yield offers_supply.generation_route_offer(draft)


def _house_offers(draft: Draft) -> Iterator[Offer]:
    """Decisions on the house as a whole."""
    yield from _of_the_sources(draft)
    if draft.network.load_route is not None:
        yield offers_supply.load_route_offer(draft)
    yield offers_supply.surge_offer(draft)
    if draft.supply.earthing_system is EarthingSystem.TN_C_S:
        yield offers_supply.bonding_offer(draft)
