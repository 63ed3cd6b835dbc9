"""Which type of residual current device equipment needs: the maker's word first, then the front end."""

from __future__ import annotations

from typing import NamedTuple

from trainer.domain.equipment import Equipment, EquipmentKind, SourceKind
from trainer.domain.limits import Limits
from trainer.domain.vocabulary import FrontEnd, MakerWord, RcdType

_SEPARATED = "separated"
_SOCKET_OUTLETS = "socket_outlets"
_PV_KINDS = frozenset({SourceKind.PV, SourceKind.HYBRID})


class Need(NamedTuple):
    """The least type, and what decides it; no type where the front end would have to be known."""

    rcd_type: RcdType | None
    case: str


def type_needed(item: Equipment, limits: Limits) -> Need:
    """The least type for fixed equipment.

    A maker's requirement decides, also below what the physics shows. A recommendation may lower
    what the front end asks for, since it is the maker's stated type, and never raises it.
    """
    stated = item.maker_rcd_type
    if stated is not None and item.maker_rcd_word is MakerWord.REQUIRED:
        return Need(stated, "maker_requires")
    if item.maker_rcd_not_needed:
        return Need(stated or limits.residual.least_type(_SEPARATED), "maker_declares")
    return _by_front_end(item.front_end, bool(item.galvanic_separation), stated, limits)


def _by_front_end(front_end: FrontEnd | None, separated: bool, stated: RcdType | None, limits: Limits) -> Need:
    if front_end is None and not separated:
        return Need(None, "front_end_unknown") if stated is None else Need(stated, "maker_recommends")
    behind = limits.residual.least_type(_SEPARATED if front_end is None else front_end)
    if separated and behind.rank > limits.residual.least_type(_SEPARATED).rank:
        return Need(limits.residual.least_type(_SEPARATED), "separation")
    if stated is not None and stated.rank < behind.rank:
        return Need(stated, "maker_recommends")
    return Need(behind, "front_end_needs")


def is_open(item: Equipment, need: Need) -> bool:
    """True where a fact that is not known could still lower or raise what is needed."""
    if need.rcd_type is None:
        return True
    if need.case == "maker_recommends":
        return item.front_end is None
    return need.case == "front_end_needs" and item.galvanic_separation is None and is_pv(item)


def open_fact(item: Equipment) -> str:
    """The path of the fact that an open need waits for."""
    name = "front_end" if item.front_end is None else "galvanic_separation"
    return f"equipment.{item.id}.{name}"


def type_for_sockets(limits: Limits) -> RcdType:
    """The least type for what is plugged in."""
    return limits.residual.least_type(_SOCKET_OUTLETS)


def is_plugged_in(item: Equipment) -> bool:
    """True for equipment that is not fixed: it is judged as a load of the socket-outlets."""
    return item.plug_in or not item.fixed


def is_pv(item: Equipment) -> bool:
    """True for a source to which the section on PV applies."""
    return item.source is not None and item.source.kind in _PV_KINDS


def is_judged_by_own_rule(item: Equipment) -> bool:
    """True for families whose type has a rule of its own: chargers, heat pumps, PV."""
    return item.kind in (EquipmentKind.CHARGER, EquipmentKind.HEAT_PUMP) or is_pv(item)
