"""Questions on the PEN conductor that opens: where PME must not serve, and what an electrode must reach."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from trainer.domain.asks.forms import AskForm
from trainer.domain.calculations.open_pen import (
    LineCurrents,
    additional_electrode_ohm,
    neutral_current_a,
    open_pen_voltage_v,
    single_phase_electrode_ohm,
    sum_of_currents_a,
)
from trainer.domain.equipment import ChargerEarthing, SensesOpenPen
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount
from trainer.domain.questions.answering import Reason, number, number_slips, several
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import charger, circuit, house, rcbo, supply
from trainer.domain.questions.judging import drawn_evenly, failing, passing, with_one_less, with_one_more
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import EarthingSystem, Location, Premises

_U0_V: Final = 230.0


def _charging(system: EarthingSystem, *, outdoors: bool, **facts: Any) -> Installation:
    """A charger earthed by the installation's earth unless stated otherwise."""
    given: dict[str, Any] = {"earthing": ChargerEarthing.INSTALLATION_EARTH, "charges_outdoors": outdoors}
    return house(
        rcbo("way1"), circuit("charger", "way1"), charger("charger", "charger", **(given | facts)),
        supply=supply(system), earthing=Earthing(electrode_resistance_ohm=60.0, extraneous_parts=False),
    )  # fmt: skip


def _pitch(*, electrode: bool) -> Installation:
    return house(
        rcbo("way1", rated_current_a=16.0),
        circuit(
            "pitch", "way1", location=Location.CARAVAN_PITCH, socket_outlets=True, socket_outlet_rated_current_a=16.0
        ),
        premises=Premises.CARAVAN_PARK,
        earthing=Earthing(electrode_resistance_ohm=60.0 if electrode else None, extraneous_parts=False),
    )


_PME, _TN_S, _TT = EarthingSystem.TN_C_S, EarthingSystem.TN_S, EarthingSystem.TT


def _situations() -> dict[str, Installation]:
    """Outlets and chargers that take the earth of the installation."""
    return {
        "drive": _charging(_PME, outdoors=True),
        "carport": _charging(_PME, outdoors=True),
        "kerb": _charging(_PME, outdoors=True),
        "pitch": _pitch(electrode=False),
        "hall": _charging(_PME, outdoors=False),
        "tn_s": _charging(_TN_S, outdoors=True),
        "tt": _charging(_TT, outdoors=True),
        "pitch_electrode": _pitch(electrode=True),
    }


_EARTH_RULES: Final = ("EV-04", "LOC-03")


@family(
    id="where_pme_must_not_serve",
    title="Where a PME earth must not serve",
    objectives=("LO08",),
    rules=_EARTH_RULES,
    misconceptions=("M23", "M46", "M88"),
    form=AskForm.SEVERAL,
    level=2,
)
def where_pme_must_not_serve(desk: Desk) -> Draft:
    """Of six places that use the earth named, those where it must not serve."""
    houses = _situations()
    good, bad = passing(desk, houses, _EARTH_RULES), failing(desk, houses, _EARTH_RULES)
    ids = drawn_evenly(desk, good, bad, 3)
    wrong = [name for name in ids if name in bad]
    more: Mapping[str, Reason] = {
        "hall": ("M88", "indoors"),
        "tn_s": ("M88", "not_pme"),
        "tt": ("M88", "not_pme"),
        "pitch_electrode": ("M88", "not_pme"),
    }
    less: Mapping[str, Reason] = {
        "carport": ("M23", "roof"),
        "pitch": ("M46", "pitch"),
        "drive": ("M23", "drive"),
        "kerb": ("M23", "drive"),
    }
    return Draft(
        answers=(several(ids, wrong),),
        slips=(*with_one_less(ids, wrong, less), *with_one_more(ids, wrong, more)),
        choices=desk.choices(ids),
        rules=_EARTH_RULES if "pitch" in ids or "pitch_electrode" in ids else ("EV-04",),
    )


_ROUTES: Final = (
    ChargerEarthing.INSTALLATION_EARTH,
    ChargerEarthing.BALANCED_THREE_PHASE,
    ChargerEarthing.DEVICE_SENSING_PROTECTIVE_CONDUCTOR,
    ChargerEarthing.DEVICE_SENSING_VOLTAGE,
    ChargerEarthing.OWN_TT_ELECTRODE,
    ChargerEarthing.ELECTRICAL_SEPARATION,
)
_SENSES: Final = (SensesOpenPen.PROTECTIVE_CONDUCTOR, SensesOpenPen.VOLTAGE, SensesOpenPen.SILENT)


@family(
    id="routes_of_a_charger_on_pme",
    title="Routes for a charger on PME",
    objectives=("LO09",),
    rules=("EV-04",),
    misconceptions=("M17", "M23", "M25"),
    form=AskForm.SEVERAL,
    level=3,
)
def routes_of_a_charger_on_pme(desk: Desk) -> Draft:
    """The ways to earth a single-phase charger outdoors on PME that its sheet allows."""
    draws = desk.draws
    senses, time_s = draws.choice(_SENSES), draws.stepped(0.5, 4.0, 0.5)
    facts: dict[str, Any] = {"open_pen": senses, "open_pen_disconnects_within_s": time_s}
    houses = {route.value: _charging(_PME, outdoors=True, **{**facts, "earthing": route}) for route in _ROUTES}
    ids = draws.shuffled(tuple(houses))
    right = [name for name in ids if name in passing(desk, houses, ("EV-04",))]
    reasons: Mapping[str, Reason] = {
        "installation_earth": ("M23", "pme"),
        "balanced_three_phase": ("M25", "balance"),
        "device_sensing_voltage": ("M17", "not_sensed"),
        "device_sensing_protective_conductor": ("M17", "not_sensed"),
    }
    return Draft(
        answers=(several(ids, right),),
        slips=with_one_more(ids, right, reasons),
        choices=desk.choices(ids),
        values={
            "sheet": desk.label(f"sheet_{senses}", {"time": amount(time_s, "s", 1)}),
            "maker": draws.choice(desk.data.names.makers),
        },
        why=f"senses_{senses}",
        leaves_hazard=True,
    )


def _lines(desk: Desk) -> LineCurrents:
    """Three currents of a site that are clearly not balanced."""
    draws = desk.draws
    values = draws.shuffled((draws.stepped(34, 60, 2), draws.stepped(14, 28, 2), draws.stepped(4, 12, 2)))
    return LineCurrents(*values)


def _line_values(desk: Desk, lines: LineCurrents) -> dict[str, str]:
    neutral, whole = neutral_current_a(lines), sum_of_currents_a(lines)
    highest = desk.limits.charger.highest_voltage_factor.value * _U0_V
    return {
        "l1": amount(lines.l1_a, "A"),
        "l2": amount(lines.l2_a, "A"),
        "l3": amount(lines.l3_a, "A"),
        "neutral": amount(neutral, "A", 1),
        "sum": amount(whole, "A"),
        "highest": amount(highest, "V"),
        "limit": amount(desk.limits.charger.open_pen_voltage_v.value, "V"),
        "site": desk.label(f"site_{desk.draws.integer(1, 4)}"),
    }


@family(
    id="neutral_current_of_a_site",
    title="Neutral current of an unbalanced site",
    objectives=("LO10",),
    rules=("EV-05",),
    misconceptions=("M25", "M70"),
    form=AskForm.NUMBER,
    level=3,
)
def neutral_current_of_a_site(desk: Desk) -> Draft:
    """The neutral current of three unequal line currents."""
    lines = _lines(desk)
    right = neutral_current_a(lines)
    wrong = {
        ("M70", "sum"): sum_of_currents_a(lines),
        ("M70", "difference"): max(lines) - min(lines),
        ("M25", "mean"): max(lines) - sum_of_currents_a(lines) / 3,
    }
    return Draft(
        answers=(number(right, "A", 1),),
        slips=number_slips(wrong, "A", 1),
        unit="A",
        tolerance=round(0.02 * right, 3),
        values=_line_values(desk, lines),
    )


@family(
    id="voltage_of_an_open_pen",
    title="Voltage of an open PEN",
    objectives=("LO10",),
    rules=("EV-05",),
    misconceptions=("M25", "M67", "M70"),
    form=AskForm.NUMBER,
    level=4,
)
def voltage_of_an_open_pen(desk: Desk) -> Draft:
    """The voltage of the earthing terminal with the PEN open, from three line currents."""
    lines = _lines(desk)
    highest = desk.limits.charger.highest_voltage_factor.value * _U0_V
    right = open_pen_voltage_v(lines, highest)
    spread = max(lines) - min(lines)
    wrong = {
        ("M67", "nominal"): open_pen_voltage_v(lines, _U0_V),
        ("M70", "difference"): highest * spread / sum_of_currents_a(lines),
        ("M25", "all_of_it"): highest,
    }
    return Draft(
        answers=(number(right, "V", 0),),
        slips=number_slips(wrong, "V", 0),
        unit="V",
        tolerance=round(0.02 * right, 2),
        values={**_line_values(desk, lines), "voltage": amount(right, "V", 0)},
        margins=((right, desk.limits.charger.open_pen_voltage_v.value),),
    )


@family(
    id="electrode_on_one_phase",
    title="An electrode on one phase",
    objectives=("LO11",),
    rules=("EV-07",),
    misconceptions=("M24", "M67", "M87"),
    form=AskForm.NUMBER,
    level=3,
)
def electrode_on_one_phase(desk: Desk) -> Draft:
    """The resistance that an additional electrode of a single-phase house must reach."""
    draws = desk.draws
    whole, own = draws.stepped(48, 92, 4), draws.choice((16.0, 20.0, 32.0))
    charging = _charging(
        _PME, outdoors=True, earthing=ChargerEarthing.ADDITIONAL_ELECTRODE, electrode_resistance_ohm=1.0
    )
    of = house(
        *charging.devices.values(),
        *charging.circuits.values(),
        *charging.equipment.values(),
        stated_maximum_demand_a=whole,
    )
    right = float(desk.verdict("EV-07", of, "charger").limit or 0)
    limit = desk.limits.charger.open_pen_voltage_v.value
    factor = desk.limits.charger.highest_voltage_factor.value
    wrong = {
        ("M87", "charger_only"): single_phase_electrode_ohm(own, _U0_V, factor * _U0_V, limit),
        ("M67", "nominal"): single_phase_electrode_ohm(whole, _U0_V, _U0_V, limit),
        ("M24", "ohms_law"): limit / whole,
    }
    return Draft(
        answers=(number(right, "ohm", 2),),
        slips=number_slips(wrong, "ohm", 2),
        unit="ohm",
        tolerance=round(0.02 * right, 3),
        values={
            "whole": amount(whole, "A"),
            "own": amount(own, "A"),
            "limit": amount(limit, "V"),
            "highest": amount(factor * _U0_V, "V"),
            "right": amount(right, "ohm"),
        },
    )


@family(
    id="electrode_on_three_phases",
    title="An electrode on three phases",
    objectives=("LO11",),
    rules=("EV-06",),
    misconceptions=("M24", "M67"),
    form=AskForm.NUMBER,
    level=4,
)
def electrode_on_three_phases(desk: Desk) -> Draft:
    """The resistance that an additional electrode of an unbalanced three-phase site must reach."""
    lines = _lines(desk)
    limit, ceiling = desk.limits.charger.open_pen_voltage_v.value, desk.limits.charger.electrode_ohm.value
    highest = desk.limits.charger.highest_voltage_factor.value * _U0_V
    right = additional_electrode_ohm(lines, _U0_V, highest, limit)
    if not right < 0.2 * ceiling:
        raise RedrawError("no electrode is needed, or hardly one")
    wrong = {
        ("M67", "nominal"): additional_electrode_ohm(lines, _U0_V, _U0_V, limit),
        ("M24", "neutral_only"): limit / neutral_current_a(lines),
    }
    if any(value > ceiling for value in wrong.values()):
        raise RedrawError("a wrong answer is not plausible")
    return Draft(
        answers=(number(right, "ohm", 2),),
        slips=number_slips(wrong, "ohm", 2),
        unit="ohm",
        tolerance=round(0.02 * right, 3),
        values={**_line_values(desk, lines), "right": amount(right, "ohm")},
    )


FAMILIES: tuple[Family, ...] = (
    where_pme_must_not_serve,
    routes_of_a_charger_on_pme,
    neutral_current_of_a_site,
    voltage_of_an_open_pen,
    electrode_on_one_phase,
    electrode_on_three_phases,
)
