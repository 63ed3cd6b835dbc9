"""Questions on tests of devices: times, methods, what a reading says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.equipment import SensesOpenPen
from trainer.domain.installation import Installation
from trainer.domain.notices import Procedure
from trainer.domain.questions.amounts import amount
from trainer.domain.questions.answering import Reason, match, several, slips
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import charger, circuit, house, inverter, rcbo, rccb
from trainer.domain.questions.judging import with_one_less, with_one_more
from trainer.domain.vocabulary import Outcome, ResidualDelay, Stated

_READINGS_MS: Final[Mapping[str, tuple[float, ResidualDelay, tuple[float, float]]]] = {
    "general_good": (30.0, ResidualDelay.GENERAL, (18.0, 120.0)),
    "general_slow": (30.0, ResidualDelay.GENERAL, (205.0, 280.0)),
    "general_late": (30.0, ResidualDelay.GENERAL, (320.0, 480.0)),
    "large_good": (100.0, ResidualDelay.GENERAL, (18.0, 120.0)),
    "large_late": (100.0, ResidualDelay.GENERAL, (320.0, 480.0)),
    "delayed_good": (100.0, ResidualDelay.S, (150.0, 280.0)),
    "delayed_slow": (300.0, ResidualDelay.S, (320.0, 470.0)),
    "delayed_early": (100.0, ResidualDelay.S, (24.0, 110.0)),
    "delayed_late": (300.0, ResidualDelay.S, (530.0, 700.0)),
}


@family(
    id="break_times_that_fail",
    title="Break times that fail",
    objectives=("LO47", "LO41"),
    rules=("VER-01",),
    misconceptions=("M15", "M20"),
    form=AskForm.SEVERAL,
    level=2,
)
def break_times_that_fail(desk: Desk) -> Draft:
    """Of six readings of the a.c. test at the rated residual operating current, those that fail."""
    draws = desk.draws
    times = {name: draws.stepped(*span, 2) for name, (_, _, span) in _READINGS_MS.items()}
    verdicts = {name: desk.verdict("VER-01", _tested(name, time), "rccb") for name, time in times.items()}
    failed = [name for name, verdict in verdicts.items() if verdict.outcome is Outcome.DOES_NOT_COMPLY]
    good = [name for name in times if name not in failed]
    bad = draws.choice((1, 2, 2, 3))
    ids = draws.shuffled([*draws.shuffled(good)[: 6 - bad], *draws.shuffled(failed)[:bad]])
    right = [name for name in ids if name in failed]
    more: Mapping[str, Reason] = {"general_slow": ("M15", "within_300"), "delayed_slow": ("M20", "delayed_may")}
    less: Mapping[str, Reason] = {
        "delayed_early": ("M20", "too_early"),
        "general_late": ("M15", "too_late"),
        "large_late": ("M15", "too_late"),
        "delayed_late": ("M20", "delayed_too_late"),
    }
    if not any(name in ids for name in more):
        raise RedrawError("no reading tempts")
    return Draft(
        answers=(several(ids, right),),
        slips=(*with_one_more(ids, right, more), *with_one_less(ids, right, less)),
        choices=tuple(Choice(id=name, label=_reading_label(desk, name, times[name])) for name in ids),
        margins=tuple((times[name], float(verdicts[name].limit or 0)) for name in ids),
    )


def _tested(name: str, time_ms: float) -> Installation:
    rating, delay, _ = _READINGS_MS[name]
    return house(
        rccb("rccb", "A", rating, residual_delay=delay, measured_break_time_ms=time_ms), circuit("way", "rccb")
    )


def _reading_label(desk: Desk, name: str, time_ms: float) -> str:
    rating, delay, _ = _READINGS_MS[name]
    values = {"rating": amount(rating, "mA"), "time": amount(time_ms, "ms")}
    return desk.label("reading_delayed" if delay is ResidualDelay.S else "reading", values)


_EQUIPMENT: Final = ("detecting", "sensing", "both", "inverter")


def _house_of(kind: str) -> Installation:
    """A house with measured break times and one kind of equipment that asks for tests of its own."""
    facts: dict[str, dict[str, Any]] = {
        "detecting": {"direct_current_detection": Stated.YES, "open_pen": SensesOpenPen.NONE},
        "sensing": {"direct_current_detection": Stated.NO, "open_pen": SensesOpenPen.VOLTAGE},
        "both": {"direct_current_detection": Stated.YES, "open_pen": SensesOpenPen.VOLTAGE},
    }
    item = inverter("item", "way") if kind == "inverter" else charger("item", "way", **facts[kind])
    return house(rcbo("way1", "B", measured_break_time_ms=40.0), circuit("way", "way1"), item)


_PROCEDURES: Final = (
    Procedure.LOADS_DISCONNECTED,
    Procedure.LEAKAGE_BY_CLAMP,
    Procedure.DIRECT_CURRENT_DETECTION_TESTED,
    Procedure.OPEN_PEN_DETECTION_TESTED,
    Procedure.LOSS_OF_MAINS_TESTED,
)


@family(
    id="tests_that_the_equipment_asks_for",
    title="Tests that the equipment asks for",
    objectives=("LO47", "LO41"),
    rules=("VER-04",),
    misconceptions=("M08", "M60"),
    form=AskForm.SEVERAL,
    level=2,
)
def tests_that_the_equipment_asks_for(desk: Desk) -> Draft:
    """What has to be done beside the usual a.c. test, by what is installed."""
    kind = desk.draws.choice(_EQUIPMENT)
    of = _house_of(kind)
    every = frozenset(each.value for each in _PROCEDURES)
    needed = [
        each.value
        for each in _PROCEDURES
        if desk.verdict("VER-04", replace(of, notices=every - {each.value})).outcome is not Outcome.COMPLIES
    ]
    ids = desk.draws.shuffled(tuple(each.value for each in _PROCEDURES))
    right = [each for each in ids if each in needed]
    more: Mapping[str, Reason] = {each.value: ("M60", "nothing_to_test") for each in _PROCEDURES}
    less: Mapping[str, Reason] = {
        Procedure.DIRECT_CURRENT_DETECTION_TESTED: ("M08", "own_method"),
        Procedure.OPEN_PEN_DETECTION_TESTED: ("M08", "own_method"),
        Procedure.LOSS_OF_MAINS_TESTED: ("M08", "own_method"),
        Procedure.LOADS_DISCONNECTED: ("M08", "leakage"),
        Procedure.LEAKAGE_BY_CLAMP: ("M08", "leakage"),
    }
    return Draft(
        answers=(several(ids, right),),
        slips=(
            *with_one_less(ids, right, {str(name): why for name, why in less.items()}),
            *with_one_more(ids, right, more),
        ),
        choices=desk.choices(ids),
        values={"equipment": desk.label(kind), "maker": desk.draws.choice(desk.data.names.makers)},
    )


_DC_STEPS_MA: Final = (6.0, 60.0, 200.0)


@family(
    id="times_of_direct_current_detection",
    title="Times of d.c. detection",
    objectives=("LO47", "LO12"),
    rules=("VER-04",),
    misconceptions=("M02", "M104"),
    form=AskForm.MATCH,
    level=2,
)
def times_of_direct_current_detection(desk: Desk) -> Draft:
    """Smooth direct currents matched to the time within which a detector must have acted."""
    table = desk.limits.devices.direct_current_detection_times
    steps = {f"d{step:g}": (step, table.get(step)) for step in _DC_STEPS_MA}
    ids = desk.draws.shuffled(tuple(steps))
    times = {f"t{time:g}": float(time) for _, time in steps.values() if time is not None}
    decoy = desk.draws.choice((500.0, 1000.0, 5000.0))
    times[f"t{decoy:g}"] = decoy
    partner = {name: f"t{time:g}" for name, (_, time) in steps.items()}
    right = match(ids, partner)
    at_once = match(ids, {**partner, "d6": partner["d60"]})
    one_for_all = match(ids, dict.fromkeys(ids, partner["d60"]))
    return Draft(
        answers=(right,),
        slips=slips({at_once: ("M02", "at_six"), one_for_all: ("M104", "one_for_all")}),
        choices=tuple(Choice(id=name, label=amount(steps[name][0], "mA")) for name in ids),
        partners=tuple(
            Choice(
                id=name, label=amount(times[name] / 1000, "s", 2) if times[name] >= 1000 else amount(times[name], "ms")
            )
            for name in sorted(times, key=lambda each: times[each])
        ),
        values={
            "place": desk.label(f"place_{desk.draws.integer(1, 4)}"),
            "maker": desk.draws.choice(desk.data.names.makers),
        },
        citations=(table.citation,),
    )


FAMILIES: tuple[Family, ...] = (
    break_times_that_fail,
    tests_that_the_equipment_asks_for,
    times_of_direct_current_detection,
)
