"""Questions on residual current devices in series."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import permutations
from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice, Figure, FigureKind
from trainer.domain.findings import total
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount, spoken
from trainer.domain.questions.answering import (
    Reason,
    number,
    number_slips,
    order,
    others,
    places,
    several,
    slips,
    the_only,
)
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft
from trainer.domain.questions.houses import (
    BOARD,
    breaker,
    charger,
    circuit,
    house,
    item,
    main_switch,
    rcbo,
    rccb,
    tt_earth,
)
from trainer.domain.questions.judging import drawn_evenly, failing, only_passing, passing, with_one_more
from trainer.domain.vocabulary import FrontEnd, ResidualDelay, Stated

DIAGRAM: Final = Figure(kind=FigureKind.DIAGRAM, values={})
_SMOOTH: Final = (FrontEnd.BRIDGE_POWER_FACTOR_STAGE, FrontEnd.SIX_PULSE_CAPACITOR)
_SIDES: Final = ("rccb1", "rccb2")


def _split_board(desk: Desk, above: str, other: str, load: str) -> Installation:
    """A split board with a type B RCBO below one of its two RCCBs."""
    words = {name: desk.label(name) for name in _SIDES}
    words |= {name: desk.label(f"{name}_{desk.draws.integer(1, 4)}") for name in ("sockets", "lights")}
    return house(
        *(rccb(each, label=words[each]) for each in _SIDES),
        rcbo("way3", "B", fed_by=above, label=desk.label("rcbo", {"what": load})),
        rcbo("way4", fed_by=other, label=desk.label("rcbo", {"what": words["sockets"].lower()})),
        breaker("way5", fed_by=above, rated_current_a=6.0, label=words["lights"]),
        circuit("load", "way3", label=load),
        circuit("sockets", "way4", socket_outlets=True, label=words["sockets"]),
        circuit("lights", "way5", luminaires=True, label=words["lights"]),
        item("load", "load", front_end=desk.draws.choice(_SMOOTH), label=load),
    )


@family(
    id="device_that_smooth_dc_blinds",
    title="Which device smooth d.c. blinds",
    objectives=("LO03",),
    rules=("RCD-07",),
    misconceptions=("M05", "M68"),
    form=AskForm.POINT,
    level=2,
)
def device_that_smooth_dc_blinds(desk: Desk) -> Draft:
    """In a split board with a type B below one RCCB, the device that can no longer be relied on."""
    above, other = desk.draws.shuffled(_SIDES)
    load = desk.label(f"load_{desk.draws.integer(1, 6)}")
    of = _split_board(desk, above, other, load)
    verdict = desk.verdict("RCD-07", of, "way3")
    paths = tuple(f"devices.{each}" for each in (*_SIDES, "way3", "way4"))
    right = the_only(paths, lambda path: path in verdict.related)
    reasons: Mapping[str, Reason] = {
        "devices.way3": ("M05", "type_b_itself"),
        "devices.way4": ("M68", "on_the_other_side"),
        f"devices.{other}": ("M68", "other_side"),
    }
    return Draft(
        answers=(right,),
        slips=others(paths, right, lambda path: reasons[path]),
        choices=places(of, paths),
        values={
            "load": load,
            "passes": amount(float(verdict.value or 0), "mA"),
            "bears": amount(float(verdict.limit or 0), "mA"),
            "right": of.devices[above].label,
        },
        figure=DIAGRAM,
        house=of,
        leaves_hazard=True,
    )


@family(
    id="smooth_dc_that_may_pass",
    title="Smooth d.c. that may pass",
    objectives=("LO03",),
    rules=("RCD-07",),
    misconceptions=("M02", "M05"),
    form=AskForm.NUMBER,
    level=2,
)
def smooth_dc_that_may_pass(desk: Desk) -> Draft:
    """The smooth d.c. that may flow upstream of a type B without it acting."""
    draws = desk.draws
    rating = draws.choice((10.0, 30.0, 100.0, 300.0))
    upper = draws.choice(("A", "F"))
    of = house(
        rccb("upper", upper),
        rcbo("lower", "B", rating, fed_by="upper"),
        circuit("load", "lower"),
        item("load", "load", front_end=draws.choice(_SMOOTH)),
    )
    verdict = desk.verdict("RCD-07", of, "lower")
    passes, bears = float(verdict.value or 0), float(verdict.limit or 0)
    return Draft(
        answers=(number(passes, "mA", 1),),
        slips=number_slips({("M05", "rating"): rating, ("M02", "tolerance"): bears}, "mA", 1),
        unit="mA",
        tolerance=0.5,
        values={
            "rating": amount(rating, "mA"),
            "upper": upper,
            "load": desk.label(f"load_{draws.integer(1, 6)}"),
            "passes": amount(passes, "mA"),
            "bears": amount(bears, "mA"),
        },
        citations=(desk.limits.residual.type_b_smooth_dc_multiple.citation,),
    )


_STANDING: Final = ("charger_one", "charger_two", "inverter", "battery", "heat_pump")


@family(
    id="standing_dc_left",
    title="Standing d.c. left to use",
    objectives=("LO03", "LO04"),
    rules=("RCD-07B",),
    misconceptions=("M10", "M36"),
    form=AskForm.NUMBER,
    level=2,
)
def standing_dc_left(desk: Desk) -> Draft:
    """What is left of the smooth d.c. that a shared device tolerates."""
    draws = desk.draws
    upper = draws.choice(("A", "F"))
    names = draws.shuffled(_STANDING)[:3]
    currents = [draws.stepped(0.4, 1.6 if upper == "A" else 2.8, 0.2) for _ in names]
    of = house(
        rccb("upper", upper),
        *(circuit(each, "upper") for each in names),
        *(item(each, each, standing_dc_ma=ma) for each, ma in zip(names, currents, strict=True)),
    )
    verdict = desk.verdict("RCD-07B", of, "upper")
    known, bears = float(verdict.value or 0), float(verdict.limit or 0)
    share = desk.limits.residual.leakage_share.value * 30.0
    wrong: dict[Reason, float] = {("M36", "largest_only"): bears - max(currents), ("M10", "rating"): 30.0 - known}
    if abs(share - bears) > 1.0:
        wrong["M10", "share"] = share - known
    return Draft(
        answers=(number(total((bears, -known)), "mA", 1),),
        slips=number_slips(wrong, "mA", 1),
        unit="mA",
        tolerance=0.1,
        values={
            "upper": upper,
            "loads": "; ".join(
                f"{desk.label(each)} {amount(ma, 'mA')}" for each, ma in zip(names, currents, strict=True)
            ),
            "sum": f"{spoken([amount(ma, 'mA') for ma in currents])} = {amount(known, 'mA')}",
            "bears": amount(bears, "mA"),
            "left": amount(total((bears, -known)), "mA"),
        },
        margins=((known, bears),),
    )


def _pair(upper: str, lower: str) -> Installation:
    """Two devices in series; the lower one is a type, or ``detector`` for a charger with type A."""
    fed = rcbo("lower", "A" if lower == "detector" else lower, fed_by="upper")
    if lower == "detector":
        load = charger("load", "load", direct_current_detection=Stated.YES)
    else:
        load = item("load", "load", front_end=_LOAD_OF[lower])
    return house(rccb("upper", upper, 100.0, residual_delay=ResidualDelay.S), fed, circuit("load", "lower"), load)


_LOAD_OF: Final = {
    "AC": FrontEnd.RESISTIVE,
    "A": FrontEnd.BRIDGE_CAPACITOR,
    "F": FrontEnd.CONVERTER_SINGLE_PHASE,
    "B": FrontEnd.SIX_PULSE_CAPACITOR,
}
_PAIRS: Final = (
    "A_over_A", "A_over_B", "F_over_B", "B_over_B", "AC_over_A", "AC_over_B", "A_over_detector", "F_over_F",
    "B_over_A", "AC_over_detector", "F_over_detector", "AC_over_F",
)  # fmt: skip


@family(
    id="pairs_in_series",
    title="Which pairs in series may stay",
    objectives=("LO03",),
    rules=("RCD-07",),
    misconceptions=("M04", "M05", "M11"),
    form=AskForm.SEVERAL,
    level=3,
)
def pairs_in_series(desk: Desk) -> Draft:
    """Of pairs of types in series, those whose upper device tolerates what the lower one may let pass."""
    houses = {name: _pair(*name.split("_over_")) for name in _PAIRS}
    ids = drawn_evenly(desk, passing(desk, houses, ("RCD-07",)), failing(desk, houses, ("RCD-07",)), 3)
    kept = passing(desk, {name: houses[name] for name in ids}, ("RCD-07",))
    reasons: Mapping[str, Reason] = {
        "A_over_B": ("M05", "a_over_b"),
        "F_over_B": ("M04", "f_over_b"),
        "AC_over_A": ("M11", "ac_over_dc"),
        "AC_over_B": ("M11", "ac_over_dc"),
        "AC_over_detector": ("M11", "ac_over_dc"),
        "AC_over_F": ("M11", "ac_over_dc"),
    }
    return Draft(
        answers=(several(ids, kept),),
        slips=with_one_more(ids, kept, reasons),
        choices=desk.choices(ids),
        values={"kept": "; ".join(desk.label(name) for name in kept)},
        leaves_hazard=True,
    )


_HEADS: Final[Mapping[float, tuple[tuple[float, ResidualDelay], ...]]] = {
    30.0: (
        (100.0, ResidualDelay.GENERAL),
        (100.0, ResidualDelay.S),
        (300.0, ResidualDelay.GENERAL),
        (300.0, ResidualDelay.S),
    ),
    100.0: (
        (300.0, ResidualDelay.GENERAL),
        (300.0, ResidualDelay.S),
        (100.0, ResidualDelay.S),
        (500.0, ResidualDelay.S),
    ),
}
_ELECTRODES_OHM: Final = {30.0: (190.0, 450.0), 100.0: (110.0, 155.0)}


def _head_id(rating: float, delay: ResidualDelay) -> str:
    return f"h{rating:g}{'S' if delay is ResidualDelay.S else ''}"


def _tt_house(head: tuple[float, ResidualDelay], lower: float, electrode: float) -> Installation:
    """A TT house with a device at the head, another below it, and a circuit on the head alone."""
    return house(
        rccb("head", "A", head[0], residual_delay=head[1], fed_by=BOARD),
        main_switch(fed_by="head"),
        rcbo("way1", "A", lower),
        breaker("way2", poles=2),
        circuit("shed", "way1", socket_outlets=True),
        circuit("freezer", "way2"),
        **tt_earth(electrode),
    )


@family(
    id="device_at_the_head",
    title="The device at the head in TT",
    objectives=("LO06", "LO05"),
    rules=("RCD-11", "RCD-09"),
    misconceptions=("M06", "M37", "M63"),
    form=AskForm.ONE,
    level=3,
)
def device_at_the_head(desk: Desk) -> Draft:
    """The device at the head of a TT house that opens last and still suits the electrode."""
    draws = desk.draws
    lower = draws.choice(tuple(_HEADS))
    electrode = draws.stepped(*_ELECTRODES_OHM[lower], 5)
    heads = {_head_id(*head): head for head in _HEADS[lower]}
    houses = {name: _tt_house(head, lower, electrode) for name, head in heads.items()}
    right = only_passing(desk, houses, ("RCD-11", "RCD-09"))
    touch = float(desk.verdict("RCD-09", houses[right], "freezer").value or 0)

    def reason(name: str) -> Reason:
        rating, delay = heads[name]
        if delay is ResidualDelay.GENERAL:
            return "M37", "not_delayed"
        return ("M63", "electrode") if rating > heads[right][0] else ("M06", "ratio")

    return Draft(
        answers=(right,),
        slips=others(houses, right, reason),
        choices=tuple(
            Choice(id=name, label=_head_label(desk, head)) for name, head in draws.shuffled(tuple(heads.items()))
        ),
        values={
            "lower": amount(lower, "mA"),
            "electrode": amount(electrode, "ohm"),
            "touch": amount(touch, "V", 1),
            "right": amount(heads[right][0], "mA"),
            "ratio": amount(3 * lower, "mA"),
        },
        margins=((touch, desk.limits.earthing.touch_voltage_v.value),),
    )


def _head_label(desk: Desk, head: tuple[float, ResidualDelay]) -> str:
    return desk.label("delayed" if head[1] is ResidualDelay.S else "general", {"rating": amount(head[0], "mA")})


_CHAINS: Final = (
    ((300.0, "S"), (100.0, "S"), (30.0, "general")),
    ((500.0, "S"), (100.0, "S"), (30.0, "general")),
    ((300.0, "S"), (100.0, "S"), (10.0, "general")),
    ((1000.0, "S"), (300.0, "S"), (100.0, "general")),
    ((500.0, "S"), (100.0, "S"), (10.0, "general")),
)


def _chain(order_of: tuple[tuple[float, str], ...]) -> Installation:
    """Residual current devices in series from the origin, each with another circuit beside the next."""
    records: list[Any] = []
    above = "main_switch"
    for place, (rating, delay) in enumerate(order_of, 1):
        name = f"level{place}"
        records += [rccb(name, "A", rating, residual_delay=ResidualDelay(delay), fed_by=above)]
        records += [breaker(f"way{place}", fed_by=name), circuit(f"circuit{place}", f"way{place}")]
        above = name
    return house(*records)


@family(
    id="order_of_devices_in_series",
    title="Put devices in series in order",
    objectives=("LO06",),
    rules=("RCD-11",),
    misconceptions=("M06", "M37"),
    form=AskForm.ORDER,
    level=2,
)
def order_of_devices_in_series(desk: Desk) -> Draft:
    """Three devices put in order from the origin, so that the one nearest to a fault opens first."""
    draws = desk.draws
    devices = {f"d{rating:g}": (rating, delay) for rating, delay in draws.choice(_CHAINS)}
    orders = {order(ids): _chain(tuple(devices[each] for each in ids)) for ids in permutations(devices)}
    right = only_passing(desk, orders, ("RCD-11",))
    ids = right.split(">")
    ids_wrong = {order(reversed(ids)): ("M37", "reversed"), order((ids[1], ids[0], ids[2])): ("M06", "swapped")}
    place = desk.label(f"place_{draws.integer(1, 4)}")
    return Draft(
        answers=(right,),
        slips=slips(ids_wrong),
        choices=tuple(
            Choice(id=name, label=_head_label(desk, (rating, ResidualDelay(delay))))
            for name, (rating, delay) in draws.shuffled(tuple(devices.items()))
        ),
        values={"place": place, "first": amount(devices[ids[-1]][0], "mA"), "last": amount(devices[ids[0]][0], "mA")},
    )


FAMILIES: tuple[Family, ...] = (
    device_that_smooth_dc_blinds,
    smooth_dc_that_may_pass,
    standing_dc_left,
    pairs_in_series,
    device_at_the_head,
    order_of_devices_in_series,
)
