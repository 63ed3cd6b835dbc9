"""Boards and their devices: which style, who feeds whom, with the properties that are right."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment
from trainer.domain.generator import needs
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.incoming import drawn
from trainer.domain.generator.known import known
from trainer.domain.generator.plan import Chosen
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.ranges import modules, standard
from trainer.domain.generator.specs import each_value
from trainer.domain.generator.typed import build
from trainer.domain.vocabulary import (
    DeviceKind,
    Direction,
    EarthingSystem,
    Premises,
    RcdType,
    ResidualDelay,
    Stated,
)

MAIN = "main"
SECOND = "energy"
_SWITCH_A = 100.0
_ADDITIONAL_MA = 30.0
_FRONT_MA = 100.0
_TYPE_AC_WAS_USUAL_UNTIL = 2019
_SHARE_OF_TYPE_AC = 0.6
_HOMES = frozenset({Premises.DWELLING, Premises.HMO})
_LARGER_BONDING_SINCE = 1992
_SHARE_OF_OLD_BONDING = 0.7


def lay_out(draft: Draft, draws: Draws) -> None:
    """Add boards and devices for all circuits of the plan, each way named by its circuit."""
    style = draft.plan.board.style
    dwelling = draft.plan.archetype.premises in _HOMES
    draft.boards[MAIN] = _board(draft, draws, dwelling)
    old = draft.facts["year_built"] < _LARGER_BONDING_SINCE and draws.chance(_SHARE_OF_OLD_BONDING)
    draft.facts["bonding_found_mm2"] = 6 if old else 10
    if style == "tt_front":
        _front(draft)
    else:
        _main_switch(draft, MAIN)
    if style == "dual_rccb":
        _rccbs(draft, draws)
    apart = [chosen for chosen in draft.plan.wanted if _needs_own_unit(draft, chosen)]
    if apart:
        _second_unit(draft, draws)
    inside = [chosen for chosen in (*draft.plan.existing, *draft.plan.wanted) if chosen not in apart]
    for number, chosen in enumerate(inside, start=1):
        _way(draft, chosen, MAIN, number)
    for number, chosen in enumerate(apart, start=1):
        _way(draft, chosen, SECOND, number)


def _needs_own_unit(draft: Draft, chosen: Chosen) -> bool:
    """True for what needs type B where the front of the board is type A: it is fed from the tails."""
    front = draft.devices.get("front")
    if front is None or front.rcd_type is RcdType.B:
        return False
    role = chosen.work.role
    return needs.least_type(draft.equipment[role], draft.circuits[role]) is RcdType.B


def _second_unit(draft: Draft, draws: Draws) -> None:
    """A small consumer unit of its own, taken from the tails through a connector block."""
    first = draft.boards[MAIN]
    draft.boards[SECOND] = replace(
        first,
        id=SECOND,
        label="Second consumer unit",
        class_ii_supply_side=True,
        tails_length_m=draws.stepped(0.6, 2.0, 0.2),
        year_installed=None,
    )
    _main_switch(draft, SECOND)


def _board(draft: Draft, draws: Draws, dwelling: bool) -> Board:
    plan = draft.plan
    isolated = draft.supply.earthing_system is EarthingSystem.TT
    values = {
        "id": MAIN,
        "label": "Consumer unit" if dwelling else "Distribution board",
        "fed_by": "supply",
        "rated_current_a": _SWITCH_A,
        "conditional_rating_ka": 16.0 if dwelling else None,
        "rated_diversity_factor": draws.weighted((1.0, 0.8), (3, 2)),
        "standard": "BS EN 61439-3",
        "metal_enclosure": True,
        "noncombustible": True,
        "class_ii_supply_side": isolated or None,
        "tails_length_m": draws.stepped(0.6, 2.4, 0.2),
        "tails_mm2": 25.0 if dwelling else 35.0,
        "year_installed": _year(draft, draws),
    }
    return build(Board, {**values, **drawn(plan.board.facts, draws)})  # type: ignore[no-any-return]


def _year(draft: Draft, draws: Draws) -> int:
    """The year of the board: that of a house built since such boards are fitted, else as drawn."""
    style, built = draft.plan.board, draft.facts["year_built"]
    drawn_year = int(style.year.draw(draws))
    first = min(int(year) for year in each_value(style.year))
    return int(built) if built >= first else drawn_year


def device(
    board: str, name: str, kind: DeviceKind, *, poles: int, rcd_type: RcdType | None = None, **values: object
) -> Device:
    """A device with the standard and the width that its kind, poles and type give it."""
    return build(  # type: ignore[no-any-return]
        Device,
        {
            "id": name,
            "board": board,
            "kind": kind,
            "poles": poles,
            "rcd_type": rcd_type,
            "standard": standard(kind, rcd_type),
            "modules": modules(kind, poles, rcd_type),
            "direction": Direction.BIDIRECTIONAL,
            **values,
        },
    )


def _poles(draft: Draft) -> int:
    return 4 if draft.supply.phases > 1 else 2


def _main_switch(draft: Draft, board: str) -> None:
    name = f"{board}-switch"
    draft.devices[name] = device(
        board,
        name,
        DeviceKind.SWITCH,
        fed_by=board,
        label="Main switch",
        direction=None,
        rated_current_a=max(_SWITCH_A, draft.supply.fuse_rated_current_a or 0.0),
        poles=_poles(draft),
    )


def _front(draft: Draft) -> None:
    """The selective residual current device at the front of a TT installation; type B above several detectors."""
    detecting = [item for item in draft.equipment.values() if item.charger is not None and _detects(item)]
    draft.devices["front"] = device(
        MAIN,
        "front",
        DeviceKind.RCCB,
        fed_by=MAIN,
        label="Incoming RCCB",
        rated_current_a=max(_SWITCH_A, draft.supply.fuse_rated_current_a or 0.0),
        poles=_poles(draft),
        rcd_type=RcdType.B if len(detecting) > 1 else RcdType.A,
        rated_residual_operating_current_ma=_FRONT_MA,
        residual_delay=ResidualDelay.S,
    )


def _detects(item: Equipment) -> bool:
    return item.charger is not None and item.charger.direct_current_detection is Stated.YES


def _rccbs(draft: Draft, draws: Draws) -> None:
    """The two residual current circuit-breakers of a split board; before 2019 many were type AC."""
    old = (known(draft.boards[MAIN].year_installed)) < _TYPE_AC_WAS_USUAL_UNTIL
    for side in (1, 2):
        name = f"rccb{side}"
        draft.found[name] = RcdType.AC if old and draws.chance(_SHARE_OF_TYPE_AC) else RcdType.A
        draft.devices[name] = device(
            MAIN,
            name,
            DeviceKind.RCCB,
            fed_by=f"{MAIN}-switch",
            label=f"RCCB {side}",
            rated_current_a=max(63.0, draft.supply.fuse_rated_current_a or 0.0),
            poles=_poles(draft),
            rcd_type=RcdType.A,
            rated_residual_operating_current_ma=_ADDITIONAL_MA,
            residual_delay=ResidualDelay.GENERAL,
            direction=Direction.UNIDIRECTIONAL,
        )


def _way(draft: Draft, chosen: Chosen, board: str, number: int) -> None:
    role = chosen.work.role
    item, circuit = draft.equipment[role], draft.circuits[role]
    behind = _behind_rccb(draft, chosen)
    premises = draft.plan.archetype.premises
    needed = needs.residual_device_needed(item, circuit, draft.supply, premises, island=has_island(draft))
    needed = needed or (chosen == draft.plan.subject and draft.plan.residual_device_is_given)
    needed = needed or (chosen in draft.plan.existing and premises in _HOMES)
    kind = DeviceKind.CIRCUIT_BREAKER if behind or not needed else DeviceKind.RCBO
    name = f"way{number}" if board == MAIN else f"{board}-way{number}"
    draft.circuits[role] = replace(circuit, fed_by=name)
    feeder = _feeder(draft, chosen, board, behind=behind)
    made = device(board, name, kind, fed_by=feeder, way=number, **_way_values(draft, role, kind, behind=behind))
    draft.devices[name] = made


def _behind_rccb(draft: Draft, chosen: Chosen) -> bool:
    """True for the circuits that a split board has always had; new work and alarms get ways of their own."""
    return (
        draft.plan.board.style == "dual_rccb"
        and chosen in draft.plan.existing
        and not draft.circuits[chosen.work.role].critical
    )


def _feeder(draft: Draft, chosen: Chosen, board: str, *, behind: bool) -> str:
    if behind:
        return f"rccb{chosen.work.side}"
    if board == MAIN and "front" in draft.devices:
        return "front"
    return f"{board}-switch"


def _way_values(draft: Draft, role: str, kind: DeviceKind, *, behind: bool) -> dict[str, Any]:
    """The properties of a way's device as they ought to be; the rating is settled with the cable.

    Behind an RCCB, which opens the neutral, a circuit-breaker opens the line only.
    """
    item, circuit, family = draft.equipment[role], draft.circuits[role], draft.origin[role].family
    full = not behind and needs.opens_all_live(item, draft.supply, island=has_island(draft)) and circuit.has_neutral
    values: dict[str, Any] = {
        "label": circuit.label,
        "rated_current_a": family.circuit.rated_currents_a[0],
        "poles": circuit.phases + (1 if full else 0),
        "curve": family.circuit.curve,
        "breaking_capacity_ka": 6.0 if draft.supply.phases == 1 else 10.0,
    }
    if circuit.socket_outlets and draft.plan.archetype.premises in needs.ARC_DETECTION_PREMISES:
        values["arc_fault_detection"] = True
    if kind is DeviceKind.RCBO:
        values |= {
            "rcd_type": wider(needs.least_type(item, circuit), RcdType.A),
            "rated_residual_operating_current_ma": _ADDITIONAL_MA,
            "residual_delay": ResidualDelay.GENERAL,
            "direction": Direction.BIDIRECTIONAL if item.source is not None else Direction.UNIDIRECTIONAL,
        }
    return values


def wider(one: RcdType, other: RcdType) -> RcdType:
    """The type that covers both."""
    return max(one, other, key=lambda each: each.rank)


def has_island(draft: Draft) -> bool:
    """True when a source of the draft can feed the house while the network is away."""
    return any(item.source is not None and item.source.island for item in draft.equipment.values())
