"""The origin: supply, cut-out fuse, earthing and surge protection as nodes."""

from __future__ import annotations

from trainer.domain.installation import Installation
from trainer.domain.supply import SurgeDeviceType
from trainer.domain.vocabulary import EarthingSystem
from trainer.explain.diagram.nodes import Node, NodeKind
from trainer.explain.diagram.words import Teller, earthing_system, told
from trainer.explain.numbers import plain, quantity


def supply_node(house: Installation, teller: Teller) -> Node:
    """The network operator's supply."""
    _, supply = teller.translate, house.supply
    volts = plain(supply.nominal_voltage_to_earth_v)
    three = _("{volts}/400 V, 3 phases").format(volts=volts)
    one = _("{volts} V, 1 phase").format(volts=volts)
    return Node(
        path="supply",
        kind=NodeKind.SUPPLY,
        name=_("Supply"),
        facts=(
            told(
                teller.fact("supply.earthing_system", earthing_system(supply.earthing_system, teller), "?"),
                three if supply.phases == 3 else one,
            ),
            told(
                teller.value(
                    "supply.external_earth_fault_loop_impedance_ohm",
                    supply.external_earth_fault_loop_impedance_ohm,
                    "ohm",
                    "Ze {}",
                ),
                teller.value(
                    "supply.prospective_fault_current_ka",
                    supply.prospective_fault_current_ka,
                    "kA",
                    _("fault current {}"),
                ),
            ),
        ),
    )


def fuse_node(house: Installation, teller: Teller) -> Node:
    """The fuse in the cut-out."""
    _, supply = teller.translate, house.supply
    rating = supply.fuse_rated_current_a
    return Node(
        path="supply.fuse",
        kind=NodeKind.FUSE,
        name=_("Cut-out fuse"),
        facts=(told(quantity(rating, "A") if rating is not None else _("rating not known"), supply.fuse_standard),),
        symbols=("fuse-down",),
    )


def earthing_node(house: Installation, teller: Teller) -> Node:
    """The main earthing terminal with what it is connected to."""
    _, earthing = teller.translate, house.earthing
    return Node(
        path="earthing",
        kind=NodeKind.EARTHING,
        name=_("Main earthing terminal"),
        facts=(
            told(_means(house, teller)),
            told(
                teller.value(
                    "earthing.earthing_conductor_mm2",
                    earthing.earthing_conductor_mm2,
                    "mm2",
                    _("earthing conductor {}"),
                ),
                teller.value("earthing.main_bonding_mm2", earthing.main_bonding_mm2, "mm2", _("main bonding {}")),
            ),
        ),
        children=_electrodes(house, teller),
    )


def _means(house: Installation, teller: Teller) -> str:
    _ = teller.translate
    words = {
        EarthingSystem.TN_S: _("earth from the cable sheath"),
        EarthingSystem.TN_C_S: _("earth from the supply neutral"),
        EarthingSystem.TT: _("no earth from the supply"),
    }
    system = house.supply.earthing_system
    return teller.fact("supply.earthing_system", words[system] if system else "", _("earth ?"))


def earth_from_supply(house: Installation, teller: Teller) -> bool:
    """True when the drawing shows an earth that comes with the supply."""
    from_supply = house.supply.earthing_system in (EarthingSystem.TN_S, EarthingSystem.TN_C_S)
    return from_supply and not teller.is_open("supply.earthing_system")


def _electrodes(house: Installation, teller: Teller) -> tuple[Node, ...]:
    _, earthing = teller.translate, house.earthing
    found = (
        (
            "earthing.electrode_resistance_ohm",
            _("Electrode"),
            teller.value("earthing.electrode_resistance_ohm", earthing.electrode_resistance_ohm, "ohm", "RA {}"),
        ),
        (
            "earthing.island_electrode_resistance_ohm",
            _("Island electrode"),
            teller.value(
                "earthing.island_electrode_resistance_ohm",
                earthing.island_electrode_resistance_ohm,
                "ohm",
                "RA {}",
            ),
        ),
    )
    return tuple(
        Node(
            path=path,
            kind=NodeKind.ELECTRODE,
            name=name,
            facts=((fact,),),
            symbols=("question",) if teller.is_open(path) else ("electrode",),
        )
        for path, name, fact in found
        if fact
    )


def surge_nodes(house: Installation, teller: Teller) -> tuple[Node, ...]:
    """Surge protection at the origin, where it is known or still to be decided."""
    _, device = teller.translate, house.surge.device
    signs: tuple[str, ...]
    if teller.is_open("surge.device"):
        fact, signs = _("type ?"), ("question-box",)
    elif device is None:
        return ()
    else:
        signs = () if device is SurgeDeviceType.NONE else ("surge",)
        fact = _surge_words(device, teller)
    name = _("Surge protection")
    return (Node(path="surge", kind=NodeKind.SURGE, name=name, facts=((fact,),), symbols=signs),)


def _surge_words(device: SurgeDeviceType, teller: Teller) -> str:
    _ = teller.translate
    return {
        SurgeDeviceType.NONE: _("none"),
        SurgeDeviceType.TYPE_1: _("test class type 1"),
        SurgeDeviceType.TYPE_2: _("test class type 2"),
        SurgeDeviceType.TYPE_1_AND_2: _("test class types 1 and 2"),
    }[device]
