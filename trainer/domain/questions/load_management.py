"""Questions on maximum demand and on load management."""

from __future__ import annotations

from typing import Any, Final

from trainer.domain.asks.forms import AskForm
from trainer.domain.calculations.demand import maximum_demand_a
from trainer.domain.equipment import EquipmentKind
from trainer.domain.findings import total
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount, plain, spoken
from trainer.domain.questions.answering import Reason, number, number_slips, others
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import breaker, charger, circuit, house, item


def _load(name: str, kind: EquipmentKind, current: float) -> list[Any]:
    return [breaker(f"way_{name}"), circuit(name, f"way_{name}"), item(name, name, kind, rated_current_a=current)]


_SOCKETS_A: Final = 20.0


def _sockets(name: str) -> list[Any]:
    return [breaker(f"way_{name}"), circuit(name, f"way_{name}", socket_outlets=True, design_current_a=_SOCKETS_A)]


def _home(cooker: float, shower: float, pump: float, *more: Any) -> Installation:
    """Two circuits of socket-outlets, a cooker, a shower and a heat pump."""
    return house(
        *_sockets("ring_one"),
        *_sockets("ring_two"),
        *_load("cooker", EquipmentKind.OVEN, cooker),
        *_load("shower", EquipmentKind.SHOWER, shower),
        *_load("pump", EquipmentKind.HEAT_PUMP, pump),
        *more,
    )


def _demand(desk: Desk, of: Installation) -> float:
    return maximum_demand_a(of, of.circuits.values(), desk.limits)[0]


@family(
    id="demand_of_a_dwelling",
    title="Maximum demand of a dwelling",
    objectives=("LO33",),
    rules=("OC-12",),
    misconceptions=("M65", "M92"),
    form=AskForm.NUMBER,
    level=4,
)
def demand_of_a_dwelling(desk: Desk) -> Draft:
    """The maximum demand of a dwelling with a heat pump and a charger, with the usual allowances."""
    draws = desk.draws
    cooker, shower = draws.stepped(24, 40, 2), draws.choice((30.0, 32.0, 34.0))
    pump, car = draws.stepped(8, 14, 1), draws.choice((10.0, 13.0, 16.0))
    point = [breaker("way_car"), circuit("car", "way_car"), charger("car", "car", rated_current_a=car)]
    of = _home(cooker, shower, pump, *point)
    right = _demand(desk, of)
    loads = {
        "sockets_one": _SOCKETS_A,
        "sockets_two": _SOCKETS_A,
        "cooker": cooker,
        "shower": shower,
        "pump": pump,
        "car": car,
    }
    place = desk.label(f"place_{draws.integer(1, 4)}")
    connected = total(loads.values())
    share = desk.limits.network.diversity["other_socket_circuits"].value
    wrong = {("M92", "connected"): connected, ("M65", "all_reduced"): right - (1 - share) * (pump + car)}
    oven = _demand(desk, house(*_load("cooker", EquipmentKind.OVEN, cooker)))
    parts = [_SOCKETS_A, share * _SOCKETS_A, oven, shower, pump, car]
    return Draft(
        answers=(number(right, "A", 1),),
        slips=number_slips(wrong, "A", 1),
        unit="A",
        tolerance=0.5,
        values={
            "place": place,
            "sum": f"{spoken([amount(each, 'A', 1) for each in parts])} = {amount(right, 'A', 1)}",
        },
        citations=(desk.limits.network.diversity["cooking_first_a"].citation,),
        pack=(desk.sheet([(desk.label(name), plain(each), "A") for name, each in loads.items()], {"place": place}),),
    )


@family(
    id="demand_with_a_load_limit",
    title="Maximum demand with load management",
    objectives=("LO14", "LO33"),
    rules=("OC-12", "EV-02"),
    misconceptions=("M36", "M93"),
    form=AskForm.NUMBER,
    level=3,
)
def demand_with_a_load_limit(desk: Desk) -> Draft:
    """The demand of a site whose chargers are held together by a fail-safe load limit."""
    draws = desk.draws
    points, rated = draws.choice((2, 3, 4)), 32.0
    limit, rest = draws.choice((16.0, 20.0, 32.0, 40.0)), draws.stepped(30, 56, 2)
    unit = charger("car", "car", points=points, rated_current_a=rated, load_limit_a=limit, load_limit_fail_safe=True)
    of = house(*_load("rest", EquipmentKind.HEAT_PUMP, rest), breaker("way_car"), circuit("car", "way_car"), unit)
    right = _demand(desk, of)
    wrong = {
        ("M93", "full_current"): rest + points * rated,
        ("M36", "one_point"): rest + rated,
        ("M93", "rest_only"): rest,
    }
    if limit == rated:
        wrong.pop(("M36", "one_point"))
    return Draft(
        answers=(number(right, "A", 1),),
        slips=number_slips(wrong, "A", 1),
        unit="A",
        tolerance=0.5,
        values={
            "points": {2: "two", 3: "three", 4: "four"}[points],
            "rated": amount(rated, "A"),
            "limit": amount(limit, "A"),
            "rest": amount(rest, "A"),
            "right": amount(right, "A"),
            "site": desk.label(f"site_{draws.integer(1, 4)}"),
        },
    )


_COUNTS: Final = ("full", "limit", "none")


@family(
    id="whether_a_load_limit_counts",
    title="Does the load limit count",
    objectives=("LO14",),
    rules=("EV-02",),
    misconceptions=("M65", "M93"),
    form=AskForm.ONE,
    level=2,
)
def whether_a_load_limit_counts(desk: Desk) -> Draft:
    """Which current of a charger with load management counts in the demand."""
    draws = desk.draws
    safe = draws.chance(0.5)
    rated, limit = 32.0, draws.choice((10.0, 13.0, 16.0, 20.0))
    currents = {"full": rated, "limit": limit, "none": 6.0}
    unit = charger("car", "car", rated_current_a=rated, load_limit_a=limit, load_limit_fail_safe=safe)
    of = house(breaker("way_car"), circuit("car", "way_car"), unit)
    counted = float(desk.verdict("EV-02", of, "car").limit or 0)
    right = next((name for name, current in currents.items() if current == counted), "")
    if not right:
        raise RedrawError("the counted current is none of the choices")
    reasons: dict[str, Reason] = {
        "full": ("M93", "limit_is_safe"),
        "limit": ("M93", "not_fail_safe"),
        "none": ("M65", "never_nothing"),
    }
    how = draws.integer(1, 2)
    return Draft(
        answers=(right,),
        slips=others(_COUNTS, right, lambda name: reasons[name]),
        choices=desk.shuffled(
            _COUNTS, {"full": amount(rated, "A"), "limit": amount(limit, "A"), "none": amount(6.0, "A")}
        ),
        values={
            "rated": amount(rated, "A"),
            "limit": amount(limit, "A"),
            "how": desk.label(f"{'safe' if safe else 'unsafe'}_{how}"),
            "maker": draws.choice(desk.data.names.makers),
        },
        why=right,
    )


FAMILIES: tuple[Family, ...] = (demand_of_a_dwelling, demand_with_a_load_limit, whether_a_load_limit_counts)
