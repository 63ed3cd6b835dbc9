"""Questions on the network operator, bonding, tails, a second board and the load of switching devices."""

from __future__ import annotations

from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.devices import Board
from trainer.domain.equipment import EquipmentKind
from trainer.domain.findings import total
from trainer.domain.installation import Installation, Network
from trainer.domain.notices import LoadRoute
from trainer.domain.questions.amounts import amount, plain
from trainer.domain.questions.answering import Reason, others
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import (
    BOARD,
    breaker,
    charger,
    circuit,
    device,
    house,
    item,
    main_switch,
    rccb,
    supply,
)
from trainer.domain.questions.judging import first_passing, only_passing, passing
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import DeviceKind, EarthingSystem, Outcome

_ROUTES: Final = ("notify", "apply_demand", "apply_looped", "apply_unknown")
_CASES: Final = {"demand": "apply_demand", "looped": "apply_looped", "not_adequate": "apply_unknown"}


def _new_load(demand: float, *, looped: bool, adequate: bool, pump: bool) -> Installation:
    load = item("load", "load", EquipmentKind.HEAT_PUMP) if pump else charger("load", "load")
    return house(
        breaker("way1"),
        circuit("load", "way1"),
        load,
        supply=supply(looped=looped, declared_adequate=adequate),
        network=Network(load_route=LoadRoute.NOTIFY),
        stated_maximum_demand_a=demand,
    )


@family(
    id="notify_or_apply",
    title="Notify or apply first",
    objectives=("LO39",),
    rules=("DNO-01",),
    misconceptions=("M40", "M60"),
    form=AskForm.ONE,
    level=2,
)
def notify_or_apply(desk: Desk) -> Draft:
    """Whether a charger or heat pump is notified afterwards or applied for, and why."""
    draws = desk.draws
    wanted = draws.choice(_ROUTES)
    demand = draws.stepped(66, 88, 2) if wanted == "apply_demand" else draws.stepped(38, 56, 2)
    pump = draws.chance(0.5)
    of = _new_load(demand, looped=wanted == "apply_looped", adequate=wanted != "apply_unknown", pump=pump)
    verdict = desk.verdict("DNO-01", of)
    right = "notify" if verdict.outcome is Outcome.COMPLIES else _CASES.get(verdict.case, "")
    if not right:
        raise RedrawError(f"no choice stands for {verdict.case}")
    reason: dict[str, Reason] = {
        "notify": ("M40", "apply_first"),
        "apply_demand": ("M60", "demand_is_low"),
        "apply_looped": ("M60", "not_looped"),
        "apply_unknown": ("M60", "is_adequate"),
    }
    return Draft(
        answers=(right,),
        slips=others(_ROUTES, right, lambda name: reason[name]),
        choices=desk.choices(_ROUTES),
        values={
            "load": desk.label("heat_pump" if pump else "charger"),
            "demand": amount(demand, "A"),
            "service": desk.label("looped" if of.supply.looped else "not_looped"),
            "adequate": desk.label("adequate" if of.supply.declared_adequate else "not_adequate"),
        },
        why=right,
        margins=((demand, desk.limits.network.notification_demand_a.value),),
    )


_BONDING_MM2: Final = (6.0, 10.0, 16.0, 25.0)


@family(
    id="size_of_main_bonding",
    title="The size of main bonding",
    objectives=("LO43",),
    rules=("BON-01",),
    misconceptions=("M42", "M60"),
    form=AskForm.ONE,
    level=2,
)
def size_of_main_bonding(desk: Desk) -> Draft:
    """The least main bonding conductor on PME, by the supply's neutral, or on TN-S, by the earthing conductor."""
    draws = desk.draws
    on_pme = draws.chance(0.6)
    neutral, conductor = draws.choice((25.0, 35.0, 50.0, 70.0)), draws.choice((10.0, 16.0, 25.0, 35.0))
    system = EarthingSystem.TN_C_S if on_pme else EarthingSystem.TN_S
    houses = {
        f"s{size:g}": house(
            supply=supply(system, neutral_mm2=neutral),
            earthing=Earthing(extraneous_parts=True, main_bonding_mm2=size, earthing_conductor_mm2=conductor),
        )
        for size in _BONDING_MM2
    }
    right = first_passing(desk, houses, ("BON-01",))
    chosen = float(right[1:])
    key = {"size": amount(neutral if on_pme else conductor, "mm2", 1)}
    return Draft(
        answers=(right,),
        slips=others(houses, right, lambda name: ("M60", "more") if float(name[1:]) > chosen else ("M42", "less")),
        choices=tuple(Choice(id=name, label=amount(float(name[1:]), "mm2", 1)) for name in houses),
        values={
            **key,
            "supply": desk.label("pme" if on_pme else "tn_s", key),
            "right": amount(chosen, "mm2", 1),
            "place": desk.label(f"place_{draws.integer(1, 5)}"),
        },
        why="pme" if on_pme else "tn_s",
    )


_CONDUCTORS_MM2: Final = (4.0, 6.0, 10.0, 16.0, 25.0)


@family(
    id="size_of_the_earthing_conductor",
    title="The size of the earthing conductor",
    objectives=("LO43",),
    rules=("BON-02",),
    misconceptions=("M42", "M60"),
    form=AskForm.ONE,
    level=3,
)
def size_of_the_earthing_conductor(desk: Desk) -> Draft:
    """The least earthing conductor on PME that the table for the tails accepts and the bonding asks for."""
    draws = desk.draws
    tails, neutral = draws.choice((10.0, 16.0, 25.0, 35.0)), draws.choice((25.0, 35.0, 50.0, 70.0))
    houses = {f"s{size:g}": _earthed(tails, neutral, size) for size in _CONDUCTORS_MM2}
    good = [name for name in passing(desk, houses, ("BON-02",)) if desk.verdict("BON-02", houses[name]).case == "table"]
    if not good:
        raise RedrawError("no size satisfies the table")
    right = good[0]
    names = tuple(houses)
    start = min(names.index(right), 1)
    ids = names[start : start + 4]
    return Draft(
        answers=(right,),
        slips=others(ids, right, lambda name: ("M60", "more") if name in good else ("M42", "less")),
        choices=tuple(Choice(id=name, label=amount(float(name[1:]), "mm2", 1)) for name in ids),
        values={
            "tails": amount(tails, "mm2", 1),
            "neutral": amount(neutral, "mm2", 1),
            "right": amount(float(right[1:]), "mm2", 1),
            "place": desk.label(f"place_{draws.integer(1, 5)}"),
        },
    )


def _earthed(tails: float, neutral: float, size: float) -> Installation:
    return house(
        Board(id=BOARD, label="Consumer unit", tails_mm2=tails, tails_length_m=2.0),
        supply=supply(neutral_mm2=neutral),
        earthing=Earthing(extraneous_parts=True, main_bonding_mm2=10.0, earthing_conductor_mm2=size),
    )


@family(
    id="tails_of_a_second_board",
    title="Tails of a second board",
    objectives=("LO44",),
    rules=("SUP-01",),
    misconceptions=("M30", "M105"),
    form=AskForm.ONE,
    level=2,
)
def tails_of_a_second_board(desk: Desk) -> Draft:
    """Of four arrangements the one in which a second board's tails are short and large enough."""
    draws = desk.draws
    fuse = draws.choice((60.0, 80.0, 100.0))
    fits = 25.0 if fuse > 80.0 else 16.0
    smaller = 16.0 if fits > 16.0 else 10.0
    short, long = draws.stepped(1.0, 2.6, 0.2), draws.stepped(3.6, 8.0, 0.4)
    tails = {"fits": (short, fits), "thin": (short, smaller), "long": (long, fits), "both": (long, smaller)}
    houses = {
        name: house(
            Board(id=BOARD, label="Second board", tails_length_m=length, tails_mm2=size),
            supply=supply(fuse_rated_current_a=fuse),
        )
        for name, (length, size) in tails.items()
    }
    right = only_passing(desk, houses, ("SUP-01",))
    reason: dict[str, Reason] = {"thin": ("M30", "thin"), "long": ("M105", "long"), "both": ("M105", "long")}
    return Draft(
        answers=(right,),
        slips=others(houses, right, lambda name: reason[name]),
        choices=tuple(
            Choice(
                id=name,
                label=desk.label(
                    "tails", {"length": amount(tails[name][0], "m", 1), "size": amount(tails[name][1], "mm2", 1)}
                ),
            )
            for name in draws.shuffled(tuple(tails))
        ),
        values={
            "fuse": amount(fuse, "A"),
            "fits": amount(fits, "mm2", 1),
            "longest": amount(desk.limits.overcurrent.tails_length_m.value, "m"),
            "load": desk.label(f"load_{draws.integer(1, 4)}"),
        },
        margins=((short, 3.0), (long, 3.0)),
    )


_RATINGS_A: Final = (10.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 80.0)


@family(
    id="breaker_below_a_switch_fuse",
    title="The breaker below a switch-fuse",
    objectives=("LO44",),
    rules=("SUP-02",),
    misconceptions=("M60", "M100"),
    form=AskForm.ONE,
    level=2,
)
def breaker_below_a_switch_fuse(desk: Desk) -> Draft:
    """The largest circuit-breaker that acts before the fuse of a switch-fuse, without makers' tables."""
    draws = desk.draws
    fuse = draws.choice((32.0, 40.0, 50.0, 63.0, 80.0, 100.0))
    houses = {f"r{rating:g}": _below(fuse, rating) for rating in _RATINGS_A}
    good = [name for name, of in houses.items() if desk.verdict("SUP-02", of, "way1").outcome is Outcome.COMPLIES]
    right = good[-1]
    names = tuple(houses)
    place = names.index(right)
    start = draws.integer(max(0, place - 2), min(place - 1, len(names) - 4))
    ids = names[start : start + 4]
    ratio = desk.limits.overcurrent.selectivity_ratio.value
    return Draft(
        answers=(right,),
        slips=others(ids, right, lambda name: ("M60", "smaller") if name in good else ("M100", "larger")),
        choices=tuple(Choice(id=name, label=amount(float(name[1:]), "A")) for name in ids),
        values={
            "fuse": amount(fuse, "A"),
            "ratio": plain(ratio),
            "most": amount(fuse / ratio, "A", 1),
            "right": amount(float(right[1:]), "A"),
            "load": desk.label(f"load_{draws.integer(1, 4)}"),
        },
    )


def _below(fuse: float, rating: float) -> Installation:
    records: list[Any] = [
        device("fuse", DeviceKind.FUSE, fed_by=BOARD, rated_current_a=fuse, standard="BS 88-2", label="Switch-fuse"),
        main_switch(fed_by="fuse"),
        breaker("way1", rated_current_a=rating, poles=2),
        circuit("load", "way1"),
    ]
    return house(*records)


_RCCB_RATINGS_A: Final = (40.0, 63.0, 80.0, 100.0)


@family(
    id="rating_of_an_rccb",
    title="The rating of an RCCB",
    objectives=("LO42",),
    rules=("RAT-01",),
    misconceptions=("M38", "M60"),
    form=AskForm.ONE,
    level=2,
)
def rating_of_an_rccb(desk: Desk) -> Draft:
    """The least rating of an RCCB that is protected against overload by what stands after it, or before it."""
    draws = desk.draws
    fuse = draws.choice((60.0, 80.0, 100.0))
    after = [draws.choice((6.0, 10.0, 16.0, 20.0, 32.0)) for _ in range(3)]
    houses = {
        f"r{rating:g}": house(
            rccb("rccb", rated_current_a=rating),
            *(breaker(f"way{place}", fed_by="rccb", rated_current_a=each) for place, each in enumerate(after)),
            *(circuit(f"c{place}", f"way{place}") for place, _ in enumerate(after)),
            supply=supply(fuse_rated_current_a=fuse),
        )
        for rating in _RCCB_RATINGS_A
    }
    right = first_passing(desk, houses, ("RAT-01",))
    chosen = float(right[1:])
    return Draft(
        answers=(right,),
        slips=others(houses, right, lambda name: ("M60", "more") if float(name[1:]) > chosen else ("M38", "less")),
        choices=tuple(Choice(id=name, label=amount(float(name[1:]), "A")) for name in houses),
        values={
            "fuse": amount(fuse, "A"),
            "after": ", ".join(amount(each, "A") for each in after),
            "sum": amount(total(after), "A"),
            "right": amount(chosen, "A"),
        },
    )


FAMILIES: tuple[Family, ...] = (
    notify_or_apply,
    size_of_main_bonding,
    size_of_the_earthing_conductor,
    tails_of_a_second_board,
    breaker_below_a_switch_fuse,
    rating_of_an_rccb,
)
