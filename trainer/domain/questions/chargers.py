"""Questions on the protection and the circuit of chargers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import BuiltInResidualDevice
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount, plain
from trainer.domain.questions.answering import Reason, number, number_slips, others, several
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft
from trainer.domain.questions.houses import BOARD, breaker, cable, charger, circuit, house, rcbo
from trainer.domain.questions.judging import drawn_evenly, failing, first_passing, passing, with_one_more
from trainer.domain.vocabulary import RcdType, Stated

_YES: Final = {"direct_current_detection": Stated.YES}
_SILENT: Final = {"direct_current_detection": Stated.SILENT}
_ARRANGEMENTS: Final[Mapping[str, tuple[Device, dict[str, Any]]]] = {
    "a_detecting": (rcbo("way1", "A"), _YES),
    "f_detecting": (rcbo("way1", "F"), _YES),
    "b_silent": (rcbo("way1", "B"), _SILENT),
    "a_board": (rcbo("way1", "A", direct_current_detection_ma=6.0), _SILENT),
    "a_silent": (rcbo("way1", "A"), _SILENT),
    "f_silent": (rcbo("way1", "F"), _SILENT),
    "ac_detecting": (rcbo("way1", "AC"), _YES),
    "a100_detecting": (rcbo("way1", "A", 100.0), _YES),
    "breaker_detecting": (breaker("way1", poles=2), _YES),
}
_REASONS: Final[Mapping[str, Reason]] = {
    "a_silent": ("M17", "silent"),
    "f_silent": ("M04", "f_alone"),
    "ac_detecting": ("M11", "type_ac"),
    "a100_detecting": ("M19", "rating"),
    "breaker_detecting": ("M16", "no_device"),
}


def _behind(device: Device, facts: Mapping[str, Any]) -> Installation:
    """A charger on a circuit of its own behind a device."""
    return house(device, circuit("charger", "way1"), charger("charger", "charger", **facts))


@family(
    id="protection_of_a_charger",
    title="Protection of a charger",
    objectives=("LO12",),
    rules=("EV-08",),
    misconceptions=("M04", "M11", "M16", "M17", "M19"),
    form=AskForm.SEVERAL,
    level=2,
)
def protection_of_a_charger(desk: Desk) -> Draft:
    """Of six ways to protect a charger, those that comply."""
    houses = {name: _behind(*arrangement) for name, arrangement in _ARRANGEMENTS.items()}
    ids = drawn_evenly(desk, passing(desk, houses, ("EV-08",)), failing(desk, houses, ("EV-08",)), 3)
    right = passing(desk, {name: houses[name] for name in ids}, ("EV-08",))
    return Draft(
        answers=(several(ids, right),),
        slips=with_one_more(ids, right, _REASONS),
        choices=desk.choices(ids),
        values={"maker": desk.draws.choice(desk.data.names.makers)},
        leaves_hazard=True,
    )


_SHEETS: Final = ("six_ma", "not_named", "coarse", "built_in")
_DEVICES: Final[Mapping[str, Device]] = {
    "breaker": breaker("way1", poles=2),
    "ac": rcbo("way1", "AC"),
    "a": rcbo("way1", "A"),
    "b": rcbo("way1", "B"),
}


def _facts_of(sheet: str, coarse_ma: float) -> dict[str, Any]:
    built_in = BuiltInResidualDevice(
        standard="BS EN 61008-1", rcd_type=RcdType.A, rated_residual_operating_current_ma=30.0
    )
    facts: dict[str, dict[str, Any]] = {
        "six_ma": {**_YES, "direct_current_detection_ma": 6.0},
        "not_named": _SILENT,
        "coarse": {**_YES, "direct_current_detection_ma": coarse_ma},
        "built_in": {**_YES, "direct_current_detection_ma": 6.0, "built_in_rcd": built_in},
    }
    return facts[sheet]


@family(
    id="device_by_the_chargers_sheet",
    title="The device that the charger's sheet leaves",
    objectives=("LO12", "LO34"),
    rules=("EV-08",),
    misconceptions=("M01", "M11", "M16", "M60"),
    form=AskForm.ONE,
    level=3,
)
def device_by_the_chargers_sheet(desk: Desk) -> Draft:
    """The least device in the board for a charger, from four rows of its data sheet."""
    draws = desk.draws
    sheet, coarse = draws.choice(_SHEETS), draws.choice((20.0, 30.0, 60.0))
    houses = {name: _behind(device, _facts_of(sheet, coarse)) for name, device in _DEVICES.items()}
    right = first_passing(desk, houses, ("EV-08",))
    order = tuple(_DEVICES)

    def reason(name: str) -> Reason:
        if order.index(name) > order.index(right):
            return "M60", "more_than_needed"
        return {"breaker": ("M16", "no_device"), "ac": ("M11", "type_ac"), "a": ("M01", "type_a")}[name]

    values = {"maker": draws.choice(desk.data.names.makers), "model": f"{draws.choice('EKLNT')}{draws.integer(20, 89)}"}
    rows = [
        (desk.label("row_current"), "32", "A"),
        (desk.label("row_supply"), "230", "V"),
        (desk.label("row_dc"), desk.label(f"dc_{sheet}", {"coarse": amount(coarse, "mA")}), ""),
        (desk.label("row_rcd"), desk.label(f"rcd_{sheet}"), ""),
    ]
    return Draft(
        answers=(right,),
        slips=others(order, right, reason),
        choices=desk.choices(order),
        values={**values, "coarse": amount(coarse, "mA")},
        why=sheet,
        pack=(desk.sheet(rows, values),),
    )


@family(
    id="current_of_a_chargers_circuit",
    title="Design current of a charger's circuit",
    objectives=("LO13",),
    rules=("EV-02",),
    misconceptions=("M36", "M65"),
    form=AskForm.NUMBER,
    level=1,
)
def current_of_a_chargers_circuit(desk: Desk) -> Draft:
    """The design current of the circuit of a unit with several charging points."""
    draws = desk.draws
    points, rated = draws.choice((2, 2, 3)), draws.choice((10.0, 13.0, 16.0, 20.0, 24.0, 32.0))
    of = house(
        breaker("way1"), circuit("charger", "way1"), charger("charger", "charger", points=points, rated_current_a=rated)
    )
    verdict = desk.verdict("EV-02", of, "charger")
    current = float(verdict.value or 0)
    share = desk.limits.network.diversity["other_socket_circuits"].value
    wrong = {("M36", "one_point"): rated, ("M65", "diversity"): rated + (points - 1) * share * rated}
    return Draft(
        answers=(number(current, "A", 1),),
        slips=number_slips(wrong, "A", 1),
        unit="A",
        tolerance=0.5,
        values={
            "points": {2: "two", 3: "three"}[points],
            "rated": amount(rated, "A"),
            "current": amount(current, "A"),
            "place": desk.label(f"place_{draws.integer(1, 5)}"),
        },
    )


_RATINGS_A: Final = (32.0, 40.0, 50.0, 63.0)


@family(
    id="rating_for_hours_of_charging",
    title="A rating for hours of charging",
    objectives=("LO13", "LO42"),
    rules=("EV-14", "OC-01"),
    misconceptions=("M31", "M60"),
    form=AskForm.ONE,
    level=3,
)
def rating_for_hours_of_charging(desk: Desk) -> Draft:
    """The least rating that carries a charger for hours in a board with a declared diversity factor."""
    draws = desk.draws
    factor = draws.choice((0.6, 0.7, 0.8))
    rated = draws.choice((24.0, 26.0, 28.0, 30.0, 32.0))
    run = cable(cross_section_mm2=16.0, protective_conductor_mm2=6.0)
    houses = {
        f"r{rating:g}": house(
            Board(id=BOARD, label="Consumer unit", rated_diversity_factor=factor),
            breaker("way1", rated_current_a=rating, poles=2),
            circuit("charger", "way1", cable=run),
            charger("charger", "charger", rated_current_a=rated),
        )
        for rating in _RATINGS_A
    }
    right = first_passing(desk, houses, ("EV-14", "OC-01"))
    chosen = float(right[1:])

    def reason(name: str) -> Reason:
        if float(name[1:]) > chosen:
            return "M60", "more_than_needed"
        return ("M31", "factor")

    return Draft(
        answers=(right,),
        slips=others(houses, right, reason),
        choices=tuple(Choice(id=name, label=amount(float(name[1:]), "A")) for name in houses),
        values={
            "rated": amount(rated, "A"),
            "factor": plain(factor),
            "right": amount(chosen, "A"),
            "carries": amount(chosen * factor, "A", 1),
            "place": desk.label(f"place_{draws.integer(1, 5)}"),
        },
        margins=tuple((rating * factor, rated) for rating in _RATINGS_A),
    )


FAMILIES: tuple[Family, ...] = (
    protection_of_a_charger,
    device_by_the_chargers_sheet,
    current_of_a_chargers_circuit,
    rating_for_hours_of_charging,
)
