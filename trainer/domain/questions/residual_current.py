"""Questions on additional protection and on the type of a residual current device."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.cables import Circuit
from trainer.domain.equipment import EquipmentKind
from trainer.domain.generator.judging import RULE_BY_ID
from trainer.domain.questions.amounts import amount
from trainer.domain.questions.answering import Reason, match, others, several, several_slips, slips
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import breaker, cable, circuit, house, item, rcbo
from trainer.domain.vocabulary import Consequence, FrontEnd, Location, RcdType

_ADDITIONAL: Final = ("RCD-01", "RCD-02", "RCD-04", "LOC-01")
_OUTLETS: Final = ("ring", "outdoor")
_ROOMS: Final = ("lights", "towel_rail")
_HIDDEN: Final = ("hidden", "metal_studs")
_WITHOUT: Final = ("immersion", "armoured", "deep", "large_outlet", "conduit")
_SHOWN: Final = 6
TYPES: Final = tuple(each.value for each in RcdType)


def _circuit_of(name: str, depths: Mapping[str, float]) -> Circuit:
    """A circuit of a dwelling behind a circuit-breaker of its own, by what it is."""
    facts: dict[str, dict[str, Any]] = {
        "ring": {"socket_outlets": True, "socket_outlet_rated_current_a": 13.0},
        "outdoor": {"socket_outlets": True, "socket_outlet_rated_current_a": 16.0, "location": Location.OUTDOORS},
        "lights": {"luminaires": True},
        "towel_rail": {"in_bathroom_zone": True, "location": Location.BATHROOM},
        "hidden": {"cable": cable(concealed_depth_mm=depths["depth"])},
        "metal_studs": {"cable": cable(partition_with_metal_parts=True)},
        "immersion": {},
        "armoured": {"cable": cable(concealed_depth_mm=depths["depth"], earthed_metal_covering=True)},
        "deep": {"cable": cable(concealed_depth_mm=depths["deep"])},
        "large_outlet": {"socket_outlets": True, "socket_outlet_rated_current_a": 63.0},
        "conduit": {"cable": cable(concealed_depth_mm=depths["depth"], mechanically_protected=True)},
    }
    return circuit(name, f"way_{name}", **facts[name])


def _asking_rules(desk: Desk, name: str, depths: Mapping[str, float]) -> tuple[str, ...]:
    """The rules by which a circuit behind a circuit-breaker alone lacks additional protection."""
    of = house(
        breaker(f"way_{name}", rated_current_a=63.0 if name == "large_outlet" else 32.0), _circuit_of(name, depths)
    )
    return tuple(rule for rule in _ADDITIONAL if desk.fails(rule, of))


@family(
    id="circuits_with_additional_protection",
    title="Which circuits need 30 mA",
    objectives=("LO01",),
    rules=_ADDITIONAL,
    misconceptions=("M45", "M61", "M62"),
    form=AskForm.SEVERAL,
    level=2,
)
def circuits_with_additional_protection(desk: Desk) -> Draft:
    """Of six circuits of a dwelling, those that must have additional protection."""
    draws = desk.draws
    depths = {"depth": draws.stepped(20, 40, 5), "deep": draws.stepped(60, 80, 5)}
    drawn = [draws.choice(group) for group in (_OUTLETS, _ROOMS, _HIDDEN)]
    # One more of them now and then, so that nobody can count on three.
    drawn += draws.shuffled([each for each in (*_OUTLETS, *_ROOMS) if each not in drawn])[: draws.integer(0, 1)]
    ids = draws.shuffled([*drawn, *draws.shuffled(_WITHOUT)[: _SHOWN - len(drawn)]])
    asking = {name: _asking_rules(desk, name, depths) for name in ids}
    needed = [name for name in ids if asking[name]]
    right = several(ids, needed)
    values = {name: amount(depth, "mm") for name, depth in depths.items()}
    wrong: dict[Reason, Sequence[str]] = {
        ("M45", "outlets_only"): [name for name in needed if name in _OUTLETS],
        ("M61", "hidden_left_out"): [name for name in needed if name not in _HIDDEN],
        ("M62", "every_one"): ids,
    }
    return Draft(
        answers=(right,),
        slips=several_slips(ids, wrong, right),
        choices=desk.choices(ids, values),
        values={**values, "needed": "; ".join(desk.label(name, values) for name in needed)},
        rules=tuple(dict.fromkeys(rule for name in needed for rule in asking[name])),
    )


_SURROUNDINGS: Final = ("ring", "lights", "towel_rail", "hidden")


@family(
    id="regulation_behind_additional_protection",
    title="Why this circuit has 30 mA",
    objectives=("LO01",),
    rules=_ADDITIONAL,
    misconceptions=("M45", "M61"),
    form=AskForm.MATCH,
    level=3,
)
def regulation_behind_additional_protection(desk: Desk) -> Draft:
    """Circuits matched to the regulation that asks for their additional protection."""
    draws = desk.draws
    depths = {"depth": draws.stepped(20, 40, 5), "deep": 60.0}
    ids = draws.shuffled([draws.choice(_OUTLETS), *_SURROUNDINGS[1:3], draws.choice(_HIDDEN)])
    partner = {}
    for name in ids:
        rules = _asking_rules(desk, name, depths)
        if len(rules) != 1:
            raise RedrawError(f"{name} is asked for by {len(rules)} rules")
        partner[name] = rules[0]
    clauses = [(rule, {"clause": RULE_BY_ID[rule].citation.clause}) for rule in _ADDITIONAL]
    right = match(ids, partner)
    hidden = next(name for name in ids if name in _HIDDEN)
    outlets = next(name for name in ids if name in _OUTLETS)
    as_outlets = match(ids, {**partner, hidden: "RCD-01"})
    swapped = match(ids, {**partner, "lights": "RCD-01", outlets: "RCD-02"})
    return Draft(
        answers=(right,),
        slips=slips({as_outlets: ("M61", "hidden_as_outlet"), swapped: ("M45", "swapped")}),
        choices=desk.choices(ids, {"depth": amount(depths["depth"], "mm")}),
        partners=tuple(Choice(id=rule, label=desk.label("clause", values)) for rule, values in clauses),
        rules=tuple(partner.values()),
        consequence=Consequence.DOCUMENTATION,
    )


_FRONT_ENDS: Final[Mapping[FrontEnd, int]] = {
    FrontEnd.RESISTIVE: 3,
    FrontEnd.BRIDGE_CAPACITOR: 3,
    FrontEnd.CONVERTER_SINGLE_PHASE: 3,
    FrontEnd.BRIDGE_POWER_FACTOR_STAGE: 3,
    FrontEnd.SIX_PULSE_CAPACITOR: 3,
}
"""Front ends asked about, each with the number of things in the words that have it."""


def _type_reason(taken: str, right: str) -> Reason:
    """Why somebody takes a type that is not the least one."""
    if RcdType(taken).covers(RcdType(right)):
        return "M60", "more_than_needed"
    if taken == "AC":
        return "M11", "type_ac"
    if taken == "F":
        return "M04", "type_f"
    return ("M35", "type_a_mixed") if right == "F" else ("M13", "type_a_smooth")


@family(
    id="least_type_for_a_load",
    title="The least type for a load",
    objectives=("LO02",),
    rules=("RCD-06",),
    misconceptions=("M04", "M11", "M13", "M35", "M60"),
    form=AskForm.ONE,
    level=2,
)
def least_type_for_a_load(desk: Desk) -> Draft:
    """The least type that complies for a load whose maker names none."""
    draws = desk.draws
    front_end = draws.choice(tuple(_FRONT_ENDS))
    load = desk.label(f"{front_end}_{draws.integer(1, _FRONT_ENDS[front_end])}")
    houses = {
        each: house(
            rcbo("way1", each),
            circuit("load", "way1"),
            item("load", "load", EquipmentKind.MOTOR, front_end=front_end, galvanic_separation=False),
        )
        for each in TYPES
    }
    right = next(each for each in TYPES if not desk.fails("RCD-06", houses[each]))
    return Draft(
        answers=(right,),
        slips=others(TYPES, right, lambda taken: _type_reason(taken, right)),
        choices=desk.choices(TYPES),
        values={
            "load": load,
            "maker": draws.choice(desk.data.names.makers),
            "type": right,
            "front_end": desk.label(front_end),
        },
        why=f"type_{right}",
    )


FAMILIES: tuple[Family, ...] = (
    circuits_with_additional_protection,
    regulation_behind_additional_protection,
    least_type_for_a_load,
)
