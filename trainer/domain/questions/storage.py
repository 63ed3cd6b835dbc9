"""Questions on storage, islands, notices and isolation of several sources."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from trainer.domain.asks.forms import AskForm
from trainer.domain.devices import Device
from trainer.domain.equipment import Battery, NeutralEarthLink, SourceKind
from trainer.domain.installation import Installation
from trainer.domain.notices import Notice
from trainer.domain.questions.amounts import amount
from trainer.domain.questions.answering import Reason, match, others, places, several, slips, the_only
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import breaker, charger, circuit, house, inverter, item, main_switch, rcbo, supply
from trainer.domain.questions.judging import drawn_evenly, failing, passing, with_one_less, with_one_more
from trainer.domain.questions.series import DIAGRAM
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import Curve, EarthingSystem, Location


def _island(missing: str) -> Installation:
    """A house that can run as an island, with one thing wrong."""
    link = {"link": NeutralEarthLink.NONE, "fixed": NeutralEarthLink.FIXED}.get(missing, NeutralEarthLink.AUTOMATIC)
    source = inverter(
        "battery",
        "battery",
        SourceKind.BATTERY,
        island=True,
        island_fault_current_a=40.0,
        neutral_earth_link=link,
        island_isolator_opens_all_live=missing != "isolator",
    )
    electrode = None if missing == "electrode" else 60.0
    earthing = Earthing(island_electrode_resistance_ohm=electrode, extraneous_parts=False)
    return house(rcbo("way1", "B"), circuit("battery", "way1"), source, earthing=earthing)


_LACKS: Final = ("electrode", "link", "fixed", "isolator", "nothing")
_DESCRIBED: Final[Mapping[str, tuple[str, str, str]]] = {
    "electrode": ("no_rod", "automatic", "all_poles"),
    "link": ("rod", "no_link", "all_poles"),
    "fixed": ("rod", "fixed_link", "all_poles"),
    "isolator": ("rod", "automatic", "line_only"),
    "nothing": ("rod", "automatic", "all_poles"),
}


@family(
    id="what_an_island_lacks",
    title="What the island lacks",
    objectives=("LO22",),
    rules=("GEN-05", "GEN-06", "GEN-07"),
    misconceptions=("M26", "M27", "M28"),
    form=AskForm.ONE,
    level=3,
)
def what_an_island_lacks(desk: Desk) -> Draft:
    """What is wrong with the earthing of an island, or that nothing is."""
    lacks = desk.draws.choice(_LACKS)
    of = _island(lacks)
    failed = [rule for rule in ("GEN-05", "GEN-06", "GEN-07") if desk.fails(rule, of)]
    case = desk.verdict("GEN-07", of, "battery").case if failed == ["GEN-07"] else ""
    found = {(): "nothing", ("GEN-05",): "electrode", ("GEN-06",): "link"}.get(tuple(failed), "")
    right = found or ("fixed" if case == "fixed_link" else "isolator")
    reasons: Mapping[str, Reason] = {
        "electrode": ("M26", "has_electrode"),
        "link": ("M27", "has_link"),
        "fixed": ("M27", "has_automatic"),
        "isolator": ("M28", "opens_all"),
        "nothing": ("M27" if right in ("link", "fixed") else "M28" if right == "isolator" else "M26", "something"),
    }
    described = _DESCRIBED[lacks]
    return Draft(
        answers=(right,),
        slips=others(_LACKS, right, lambda name: reasons[name]),
        choices=desk.shuffled(_LACKS),
        values={
            "earth": desk.label(described[0]),
            "link": desk.label(described[1]),
            "isolator": desk.label(described[2]),
            "place": desk.label(f"place_{desk.draws.integer(1, 4)}"),
        },
        why=f"lacks_{right}",
        rules=tuple(failed) or ("GEN-05", "GEN-06", "GEN-07"),
    )


_CIRCUITS: Final[Mapping[str, tuple[str, float, Curve]]] = {
    "rcbo_b32": ("rcbo", 32.0, Curve.B),
    "rcbo_c16": ("rcbo", 16.0, Curve.C),
    "rcbo_b6": ("rcbo", 6.0, Curve.B),
    "mcb_b6": ("breaker", 6.0, Curve.B),
    "mcb_b16": ("breaker", 16.0, Curve.B),
    "mcb_b32": ("breaker", 32.0, Curve.B),
    "mcb_c10": ("breaker", 10.0, Curve.C),
    "mcb_b20": ("breaker", 20.0, Curve.B),
}


def _way(name: str) -> Device:
    kind, rated, curve = _CIRCUITS[name]
    return (rcbo if kind == "rcbo" else breaker)(f"way_{name}", rated_current_a=rated, curve=curve)


@family(
    id="disconnection_in_an_island",
    title="What disconnects in an island",
    objectives=("LO23",),
    rules=("ISL-01",),
    misconceptions=("M07", "M90"),
    form=AskForm.SEVERAL,
    level=3,
)
def disconnection_in_an_island(desk: Desk) -> Draft:
    """Of six circuits those whose device disconnects an earth fault while the house runs as an island."""
    current = desk.draws.stepped(34.0, 46.0, 1.0)
    source = inverter("hybrid", "hybrid", SourceKind.HYBRID, island=True, island_fault_current_a=current)
    of = house(
        *(_way(name) for name in _CIRCUITS),
        *(circuit(name, f"way_{name}", location=Location.INDOORS) for name in _CIRCUITS),
        rcbo("way_hybrid", "B"),
        circuit("hybrid", "way_hybrid"),
        source,
    )
    verdicts = {name: desk.verdict("ISL-01", of, name) for name in _CIRCUITS}
    good = [name for name, verdict in verdicts.items() if verdict.outcome.value == "complies"]
    ids = drawn_evenly(desk, good, [name for name in _CIRCUITS if name not in good], 3)
    right = [name for name in ids if name in good]
    more: Mapping[str, Reason] = {name: ("M90", "too_little") for name in _CIRCUITS if name.startswith("mcb")}
    less: Mapping[str, Reason] = {name: ("M07", "by_residual") for name in _CIRCUITS if name.startswith("rcbo")}
    return Draft(
        answers=(several(ids, right),),
        slips=(*with_one_more(ids, right, more), *with_one_less(ids, right, less)),
        choices=desk.choices(ids),
        values={"current": amount(current, "A")},
        margins=tuple(
            (current, float(verdict.limit)) for verdict in verdicts.values() if isinstance(verdict.limit, float)
        ),
        leaves_hazard=True,
    )


_PLACES: Final[Mapping[str, tuple[Location, float | None]]] = {
    "garage": (Location.GARAGE, None),
    "utility": (Location.PLANT_ROOM, None),
    "outhouse": (Location.OUTBUILDING, None),
    "wall_far": (Location.OUTDOORS, 1.5),
    "loft": (Location.LOFT, None),
    "bedroom": (Location.BEDROOM, None),
    "hall": (Location.ESCAPE_ROUTE, None),
    "wall_near": (Location.OUTDOORS, 0.5),
}


def _battery_at(place: Location, distance_m: float | None) -> Installation:
    battery = Battery(location=place, distance_to_openings_m=distance_m)
    return house(
        rcbo("way1", "B"),
        circuit("battery", "way1"),
        inverter("battery", "battery", SourceKind.BATTERY, battery=battery),
    )


@family(
    id="places_for_a_battery",
    title="Where no battery may stand",
    objectives=("LO24",),
    rules=("BAT-01",),
    misconceptions=("M43",),
    form=AskForm.SEVERAL,
    level=1,
)
def places_for_a_battery(desk: Desk) -> Draft:
    """Of six places in and at a dwelling, those where no battery may stand."""
    draws = desk.draws
    distances = {"wall_far": draws.stepped(1.2, 2.4, 0.2), "wall_near": draws.stepped(0.3, 0.8, 0.1)}
    houses = {name: _battery_at(place, distances.get(name, least)) for name, (place, least) in _PLACES.items()}
    ids = drawn_evenly(desk, passing(desk, houses, ("BAT-01",)), failing(desk, houses, ("BAT-01",)), 3)
    wrong = [name for name in ids if name in failing(desk, houses, ("BAT-01",))]
    less: Mapping[str, Reason] = {name: ("M43", name) for name in ("loft", "bedroom", "hall", "wall_near")}
    more: Mapping[str, Reason] = dict.fromkeys(("garage", "utility", "outhouse", "wall_far"), ("M43", "accepted"))
    return Draft(
        answers=(several(ids, wrong),),
        slips=(*with_one_less(ids, wrong, less), *with_one_more(ids, wrong, more)),
        choices=desk.choices(ids, {name: amount(each, "m", 1) for name, each in distances.items()}),
        citations=(desk.limits.sources.battery_distance_m.citation,) if "wall_near" in ids or "wall_far" in ids else (),
    )


_NOTICES: Final = (
    Notice.ALTERNATIVE_SUPPLY_AT_ORIGIN,
    Notice.ALTERNATIVE_SUPPLY_AT_METER,
    Notice.ALTERNATIVE_SUPPLY_AT_CONSUMER_UNIT,
    Notice.ALTERNATIVE_SUPPLY_AT_ISOLATION_POINTS,
    Notice.FIRE_SERVICE_BATTERY,
    Notice.CIRCUIT_CHART,
)
_NOTICE_RULES: Final = ("GEN-09", "BAT-04", "LAB-02")


@family(
    id="notices_that_are_missing",
    title="Which notices are missing",
    objectives=("LO25", "LO41"),
    rules=_NOTICE_RULES,
    misconceptions=("M33", "M43"),
    form=AskForm.SEVERAL,
    level=2,
)
def notices_that_are_missing(desk: Desk) -> Draft:
    """Of six notices those that a house with PV, or with PV and a battery, still lacks."""
    draws = desk.draws
    with_battery = draws.chance(0.5)
    found = frozenset(each.value for each in draws.shuffled(_NOTICES[:4] + _NOTICES[5:])[:3])
    battery = Battery(location=Location.GARAGE, alarm_linked=True, fire_service_notice=False) if with_battery else None
    kind = SourceKind.BATTERY if with_battery else SourceKind.PV
    base = house(rcbo("way1", "B"), circuit("source", "way1"), inverter("source", "source", kind, battery=battery))
    every = frozenset(each.value for each in _NOTICES)
    needed = [each.value for each in _NOTICES if _is_missed(desk, base, every, each.value)]
    ids = draws.shuffled(tuple(each.value for each in _NOTICES))
    missing = [each for each in ids if each in needed and each not in found]
    more: dict[str, Reason] = dict.fromkeys(sorted(found), ("M33", "is_there"))
    if not with_battery:
        more[Notice.FIRE_SERVICE_BATTERY.value] = ("M43", "no_battery")
    less: Mapping[str, Reason] = {each.value: ("M33", "forgotten") for each in _NOTICES}
    return Draft(
        answers=(several(ids, missing),),
        slips=(*with_one_more(ids, missing, more), *with_one_less(ids, missing, less)),
        choices=desk.choices(ids),
        values={
            "sources": desk.label("pv_and_battery" if with_battery else "pv_alone"),
            "found": "; ".join(desk.label(each) for each in sorted(found)),
        },
        why="with_battery" if with_battery else "without_battery",
        rules=_NOTICE_RULES if with_battery else ("GEN-09", "LAB-02"),
    )


def _is_missed(desk: Desk, base: Installation, every: frozenset[str], notice: str) -> bool:
    of = replace(base, notices=every - {notice})
    return any(desk.fails(rule, of) for rule in _NOTICE_RULES)


_SUPPLIES: Final[Mapping[str, tuple[EarthingSystem, int]]] = {
    "tn_one": (EarthingSystem.TN_C_S, 1),
    "tt_one": (EarthingSystem.TT, 1),
    "tn_three": (EarthingSystem.TN_S, 3),
    "tt_three": (EarthingSystem.TT, 3),
}
_POLES: Final = ("1", "2", "3", "4")


def _least_poles(desk: Desk, system: EarthingSystem, phases: int) -> str:
    for poles in _POLES:
        of = house(main_switch(poles=int(poles)), supply=supply(system, phases=phases))
        if not desk.fails("ISO-01", of):
            return poles
    raise RedrawError("no main switch isolates")


@family(
    id="poles_of_a_main_switch",
    title="Poles of a main switch",
    objectives=("LO45",),
    rules=("ISO-01",),
    misconceptions=("M28", "M60"),
    form=AskForm.MATCH,
    level=2,
)
def poles_of_a_main_switch(desk: Desk) -> Draft:
    """Supplies matched to the fewest poles that their main switch must open."""
    draws = desk.draws
    ids = draws.shuffled(tuple(_SUPPLIES))[:3]
    partner = {name: _least_poles(desk, *_SUPPLIES[name]) for name in ids}
    right = match(ids, partner)
    lines_only = match(ids, {name: str(_SUPPLIES[name][1]) for name in ids})
    everything = match(ids, {name: str(_SUPPLIES[name][1] + 1) for name in ids})
    wrong: dict[str, Reason] = {lines_only: ("M28", "lines_only")}
    if everything != right:
        wrong[everything] = ("M60", "neutral_may_stay")
    else:
        wrong[match(ids, dict.fromkeys(ids, "4"))] = ("M60", "not_four")
    use = desk.label(f"use_{draws.integer(1, 4)}")
    return Draft(
        answers=(right,),
        slips=slips(wrong),
        choices=desk.choices(ids, {"use": use}),
        partners=desk.choices(_POLES),
        values={"use": use},
    )


@family(
    id="what_keeps_the_board_live",
    title="What keeps the board live",
    objectives=("LO45", "LO46"),
    rules=("ISO-02", "ISO-01A"),
    misconceptions=("M47", "M91"),
    form=AskForm.POINT,
    level=2,
)
def what_keeps_the_board_live(desk: Desk) -> Draft:
    """After the main switch was locked off, the device through which the busbar can still be fed."""
    draws = desk.draws
    island = draws.choice(("hybrid", "battery", "vehicle"))
    loads = draws.shuffled(("heat_pump", "charger", "shower", "hob"))[:3]
    ways = draws.shuffled((island, *loads))
    records: list[Any] = []
    for number, name in enumerate(ways, 1):
        records += [
            rcbo(f"way{number}", "B" if name == island else "A", label=desk.label(name)),
            circuit(name, f"way{number}", label=desk.label(name)),
        ]
        records.append(_item_of(name, desk.label(name)))
    of = house(*records)
    paths = tuple(f"devices.way{number}" for number in range(1, 5))
    feeding = [path for path in paths if _feeds_an_island(of, of.devices[path.partition(".")[2]])]
    right = the_only(paths, lambda path: path in feeding)
    reason: Mapping[str, Reason] = {
        "charger": ("M47", "charger_takes"),
        "heat_pump": ("M91", "load"),
        "shower": ("M91", "load"),
        "hob": ("M91", "load"),
    }
    return Draft(
        answers=(right,),
        slips=others(paths, right, lambda path: reason[ways[int(path[-1]) - 1]]),
        choices=places(of, paths),
        values={"right": desk.label(island).partition(",")[0].lower()},
        figure=DIAGRAM,
        house=of,
        leaves_hazard=True,
    )


_KINDS: Final = {"hybrid": SourceKind.HYBRID, "battery": SourceKind.BATTERY, "vehicle": SourceKind.VEHICLE}


def _item_of(name: str, label: str) -> Any:
    if name in _KINDS:
        return inverter(name, name, _KINDS[name], island=True, label=label)
    return charger(name, name, label=label) if name == "charger" else item(name, name, label=label)


def _feeds_an_island(of: Installation, device: Device) -> bool:
    return any(each.source is not None and each.source.island for each in of.sources_below(device))


FAMILIES: tuple[Family, ...] = (
    what_an_island_lacks,
    disconnection_in_an_island,
    places_for_a_battery,
    notices_that_are_missing,
    poles_of_a_main_switch,
    what_keeps_the_board_live,
)
