"""Questions on the codes of a condition report and on the action that follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from trainer.domain.asks.forms import AskForm
from trainer.domain.cables import Circuit
from trainer.domain.devices import Board
from trainer.domain.equipment import ChargerEarthing
from trainer.domain.findings import Finding
from trainer.domain.generator.judging import RULE_BY_ID, records
from trainer.domain.inspections.codes import Code, code_of, most_pressing
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount
from trainer.domain.questions.answering import Reason, match, others, slips
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import (
    BOARD,
    breaker,
    cable,
    charger,
    circuit,
    house,
    item,
    rcbo,
    rccb,
    tt_earth,
    with_device,
)
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import Location

Drawn = Mapping[str, float]
Seen = tuple[str, Installation]
"""The rule that judges what was seen, and the house in which it was seen."""


def _seen(drawn: Drawn) -> dict[str, Seen]:
    """What an inspector may see, by name."""
    outlets: dict[str, Any] = {"socket_outlets": True, "socket_outlet_rated_current_a": 13.0}
    outdoors = {**outlets, "location": Location.OUTDOORS}
    old_board = Board(id=BOARD, noncombustible=False, year_installed=2009, standard="BS EN 61439-3")
    on_pme = charger("car", "way", earthing=ChargerEarthing.INSTALLATION_EARTH)
    return {
        "sockets_outdoors": ("RCD-01", house(breaker("way1"), circuit("way", "way1", **outdoors))),
        "tt_bare": ("RCD-09", house(breaker("way1"), circuit("way", "way1"), **tt_earth(80.0))),
        "cable_thin": ("OC-01", house(breaker("way1", rated_current_a=drawn["rating"]), _thin_circuit())),
        "charger_bare": ("EV-08", house(breaker("way1"), circuit("way", "way1"), charger("car", "way"))),
        "charger_pme": ("EV-04", house(rcbo("way1"), circuit("way", "way1"), on_pme)),
        "board_plastic": ("CU-01", house(old_board)),
        "leakage": ("RCD-05", _leaking(drawn["leak"])),
        "electrode": ("RCD-10", house(rccb("rccb"), circuit("way", "rccb"), **tt_earth(drawn["ohm"]))),
        "notice": ("LAB-01", house()),
        "chart": ("LAB-02", house()),
        "whole_house": ("RCD-08", house(rccb("rccb"), *_two_ways())),
        "system_unknown": ("BON-01", _unknown_system()),
        "bonding_unseen": ("BON-01", house(earthing=Earthing(extraneous_parts=True))),
        "board_type_unknown": ("RCD-06", _unread_type(outlets)),
    }


def _thin_circuit() -> Circuit:
    run = cable(cross_section_mm2=2.5, protective_conductor_mm2=1.5)
    return circuit("way", "way1", cable=run, design_current_a=20.0)


def _leaking(leak: float) -> Installation:
    return house(rccb("rccb"), circuit("way", "rccb"), item("desk", "way", protective_conductor_current_ma=leak))


def _two_ways() -> tuple[Any, ...]:
    return (
        breaker("way1", fed_by="rccb"),
        breaker("way2", fed_by="rccb"),
        circuit("one", "way1"),
        circuit("two", "way2"),
    )


def _unknown_system() -> Installation:
    of = house(earthing=Earthing(extraneous_parts=True, main_bonding_mm2=10.0))
    return replace(of, supply=replace(of.supply, earthing_system=None))


def _unread_type(outlets: dict[str, Any]) -> Installation:
    return with_device(house(rcbo("way1"), circuit("way", "way1", **outlets)), "way1", rcd_type=None)


def _code(desk: Desk, seen: Seen) -> Code:
    """The most pressing code that a rule's verdicts on a house earn."""
    rule = RULE_BY_ID[seen[0]]
    found = []
    for record in records(seen[1], rule.over):
        verdict = rule.judge(record, seen[1], desk.limits)
        if verdict is not None:
            found.append(code_of(Finding(rule, "", verdict)))
    return most_pressing(found)


_RATINGS_A: Final = (32.0, 40.0, 50.0)
_CODES: Final = (Code.C1, Code.C2, Code.C3, Code.FI)
_RULES: Final = (
    "RCD-01",
    "RCD-09",
    "OC-01",
    "EV-08",
    "EV-04",
    "BON-01",
    "RCD-05",
    "RCD-06",
    "RCD-10",
    "LAB-01",
    "LAB-02",
    "RCD-08",
    "CU-01",
)


def _drawn(desk: Desk) -> Drawn:
    draws = desk.draws
    return {"rating": draws.choice(_RATINGS_A), "leak": draws.stepped(10, 14, 1), "ohm": draws.stepped(240, 900, 20)}


def _told(drawn: Drawn) -> dict[str, str]:
    units = {"rating": "A", "leak": "mA", "ohm": "ohm"}
    return {name: amount(value, units[name]) for name, value in drawn.items()}


def _sorted_by_code(desk: Desk, drawn: Drawn) -> dict[Code, list[str]]:
    found: dict[Code, list[str]] = {}
    for name, seen in _seen(drawn).items():
        found.setdefault(_code(desk, seen), []).append(name)
    return found


@family(
    id="codes_of_observations",
    title="Codes of observations",
    objectives=("LO48",),
    rules=_RULES,
    misconceptions=("M101", "M102"),
    form=AskForm.MATCH,
    level=2,
)
def codes_of_observations(desk: Desk) -> Draft:
    """Three observations of an installation in service matched to their codes."""
    draws = desk.draws
    drawn = _drawn(desk)
    by_code = _sorted_by_code(desk, drawn)
    picked = {draws.choice(by_code[code]): code for code in (Code.C2, Code.C3, Code.FI)}
    ids = draws.shuffled(tuple(picked))
    right = match(ids, {name: picked[name].value for name in ids})
    guess = match(ids, {name: "C3" if picked[name] is Code.FI else picked[name].value for name in ids})
    all_bad = match(ids, {name: "C2" if picked[name] is Code.C3 else picked[name].value for name in ids})
    return Draft(
        answers=(right,),
        slips=slips({guess: ("M102", "not_known"), all_bad: ("M101", "improvement")}),
        choices=desk.choices(ids, _told(drawn)),
        partners=desk.choices([each.value for each in _CODES]),
        rules=tuple(dict.fromkeys(_seen(drawn)[name][0] for name in ids)),
    )


@family(
    id="code_of_one_observation",
    title="The code of one observation",
    objectives=("LO48",),
    rules=_RULES,
    misconceptions=("M101", "M102", "M103"),
    form=AskForm.ONE,
    level=1,
)
def code_of_one_observation(desk: Desk) -> Draft:
    """The code of one observation of an installation in service, with the action that goes with it."""
    draws = desk.draws
    drawn = _drawn(desk)
    by_code = _sorted_by_code(desk, drawn)
    code = draws.choice((Code.C2, Code.C2, Code.C3, Code.FI))
    if not by_code.get(code):
        raise RedrawError(f"nothing earns {code}")
    name = draws.choice(by_code[code])
    reason: Mapping[str, Reason] = {
        "C1": ("M103", "no_danger_now"),
        "C2": ("M101", "not_potentially"),
        "C3": ("M101", "more_than_improvement") if code is Code.C2 else ("M102", "cannot_say"),
        "FI": ("M102", "is_known"),
    }
    ids = tuple(each.value for each in _CODES)
    return Draft(
        answers=(code.value,),
        slips=others(ids, code.value, lambda taken: reason[taken]),
        choices=desk.choices(ids),
        values={"seen": desk.label(name, _told(drawn))},
        why=code.value,
        rules=(_seen(drawn)[name][0],),
    )


FAMILIES: tuple[Family, ...] = (codes_of_observations, code_of_one_observation)
