"""Questions on surge protection, arc fault detection and enclosures."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount
from trainer.domain.questions.answering import Reason, others, several
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import breaker, circuit, house
from trainer.domain.questions.judging import drawn_evenly, failing, passing, with_one_less, with_one_more
from trainer.domain.supply import SurgeDeviceType, SurgeProtection
from trainer.domain.vocabulary import Outcome, Premises

_SITUATIONS: Final[Mapping[str, dict[str, bool]]] = {
    "house_declined": {"serious_consequence": False, "owner_declines": True},
    "workshop_declined": {"serious_consequence": False, "owner_declines": True},
    "shed_declined": {"serious_consequence": False, "owner_declines": True},
    "house_silent": {"serious_consequence": False, "owner_declines": False},
    "surgery_declined": {"serious_consequence": True, "owner_declines": True},
    "exchange_declined": {"serious_consequence": True, "owner_declines": True},
    "care_declined": {"serious_consequence": True, "owner_declines": True},
    "shop_silent": {"serious_consequence": False, "owner_declines": False},
}


@family(
    id="where_surge_protection_is_needed",
    title="Where surge protection is needed",
    objectives=("LO37",),
    rules=("SPD-01",),
    misconceptions=("M41", "M60"),
    form=AskForm.SEVERAL,
    level=2,
)
def where_surge_protection_is_needed(desk: Desk) -> Draft:
    """Of six buildings without surge protection, those that must get it."""
    houses = {
        name: house(surge=SurgeProtection(device=SurgeDeviceType.NONE, **facts)) for name, facts in _SITUATIONS.items()
    }
    ids = drawn_evenly(desk, passing(desk, houses, ("SPD-01",)), failing(desk, houses, ("SPD-01",)), 3)
    needed = [name for name in ids if name in failing(desk, houses, ("SPD-01",))]
    less: Mapping[str, Reason] = {
        name: ("M41", "nobody_declined" if name.endswith("silent") else "serious") for name in needed
    }
    more: Mapping[str, Reason] = {name: ("M60", "declined") for name in ids if name not in needed}
    return Draft(
        answers=(several(ids, needed),),
        slips=(*with_one_less(ids, needed, less), *with_one_more(ids, needed, more)),
        choices=desk.choices(ids),
    )


def _surge(kind: SurgeDeviceType, length: float, *, lightning: bool) -> Installation:
    return house(surge=SurgeProtection(device=kind, lead_length_m=length, external_lightning_protection=lightning))


@family(
    id="surge_device_and_its_leads",
    title="A surge device and its leads",
    objectives=("LO37",),
    rules=("SPD-02",),
    misconceptions=("M41", "M105"),
    form=AskForm.ONE,
    level=2,
)
def surge_device_and_its_leads(desk: Desk) -> Draft:
    """Of four surge protective devices the one of the right type on short leads."""
    draws = desk.draws
    lightning = draws.chance(0.5)
    short, middle, long = draws.stepped(0.2, 0.4, 0.05), draws.stepped(0.6, 0.9, 0.05), draws.stepped(1.2, 2.0, 0.1)
    fitting = SurgeDeviceType.TYPE_1_AND_2 if lightning else SurgeDeviceType.TYPE_2
    devices: dict[str, tuple[SurgeDeviceType, float]] = {
        "short": (fitting, short),
        "middle": (fitting, middle),
        "long": (fitting, long),
        "other": (SurgeDeviceType.TYPE_2, short) if lightning else (SurgeDeviceType.TYPE_2, 2 * long),
    }
    houses = {name: _surge(*each, lightning=lightning) for name, each in devices.items()}
    best = [name for name, of in houses.items() if desk.verdict("SPD-02", of).outcome is Outcome.COMPLIES]
    if len(best) != 1:
        raise RedrawError("not exactly one device is right")
    right = best[0]
    reason: dict[str, Reason] = {
        "middle": ("M105", "not_preferred"),
        "long": ("M105", "too_long"),
        "other": ("M41", "type") if lightning else ("M105", "too_long"),
    }
    return Draft(
        answers=(right,),
        slips=others(houses, right, lambda name: reason[name]),
        choices=tuple(
            Choice(id=name, label=desk.label(devices[name][0].value, {"length": amount(devices[name][1], "m")}))
            for name in draws.shuffled(tuple(devices))
        ),
        values={
            "exposure": desk.label("lightning" if lightning else "no_lightning"),
            "place": desk.label(f"place_{draws.integer(1, 4)}"),
            "preferred": amount(desk.limits.property.surge_lead_preferred_m.value, "m"),
            "longest": amount(desk.limits.property.surge_lead_length_m.value, "m"),
        },
        why="lightning" if lightning else "no_lightning",
        margins=((short, 0.5), (middle, 0.5), (middle, 1.0), (long, 1.0)),
    )


_OUTLETS: Final[Mapping[str, tuple[Premises, dict[str, Any]]]] = {
    "hmo_room": (Premises.HMO, {}),
    "student_room": (Premises.STUDENT_ACCOMMODATION, {}),
    "care_room": (Premises.CARE_HOME, {}),
    "tower_flat": (Premises.HIGHER_RISK_RESIDENTIAL, {}),
    "house": (Premises.DWELLING, {}),
    "office": (Premises.COMMERCIAL, {}),
    "hmo_heater": (Premises.HMO, {"socket_outlets": False}),
    "care_large": (Premises.CARE_HOME, {"socket_outlet_rated_current_a": 63.0}),
    "student_three_phase": (Premises.STUDENT_ACCOMMODATION, {"phases": 3, "socket_outlet_rated_current_a": 16.0}),
}


def _outlet(premises: Premises, facts: Mapping[str, Any]) -> Installation:
    given: dict[str, Any] = {"socket_outlets": True, "socket_outlet_rated_current_a": 13.0}
    return house(breaker("way1"), circuit("way", "way1", **(given | dict(facts))), premises=premises)


@family(
    id="where_arc_fault_detection_is_required",
    title="Where arc fault detection is required",
    objectives=("LO38",),
    rules=("AFDD-01",),
    misconceptions=("M48", "M60"),
    form=AskForm.SEVERAL,
    level=2,
)
def where_arc_fault_detection_is_required(desk: Desk) -> Draft:
    """Of six circuits those that must have arc fault detection."""
    houses = {name: _outlet(*each) for name, each in _OUTLETS.items()}
    ids = drawn_evenly(desk, passing(desk, houses, ("AFDD-01",)), failing(desk, houses, ("AFDD-01",)), 3)
    needed = [name for name in ids if name in failing(desk, houses, ("AFDD-01",))]
    less: Mapping[str, Reason] = dict.fromkeys(needed, ("M48", "required"))
    more: Mapping[str, Reason] = {
        name: ("M60", "other_building" if name in ("house", "office") else "other_circuit")
        for name in ids
        if name not in needed
    }
    return Draft(
        answers=(several(ids, needed),),
        slips=(*with_one_less(ids, needed, less), *with_one_more(ids, needed, more)),
        choices=desk.choices(ids),
    )


FAMILIES: tuple[Family, ...] = (
    where_surge_protection_is_needed,
    surge_device_and_its_leads,
    where_arc_fault_detection_is_required,
)
