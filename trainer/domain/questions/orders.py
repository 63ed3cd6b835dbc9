"""Questions that ask for an order: isolation, tests, break times, disconnection times."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import permutations
from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.calculations.disconnection import TN, TT, maximum_disconnection_time_s
from trainer.domain.devices import Board
from trainer.domain.equipment import SourceKind
from trainer.domain.installation import Installation
from trainer.domain.physics.bands import ResidualRating
from trainer.domain.physics.times import TimeClass, break_time_bounds
from trainer.domain.questions.amounts import amount, listed
from trainer.domain.questions.answering import Reason, order, slips
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import breaker, circuit, house, inverter, rcbo
from trainer.domain.vocabulary import RcdType, ResidualDelay

Before = frozenset[tuple[str, str]]
"""Pairs of steps of which the first must come before the second."""


def orders_that_hold(ids: Sequence[str], before: Before) -> list[tuple[str, ...]]:
    """All orders of steps in which every step comes before those that rest on it."""
    known = [(first, then) for first, then in before if first in ids and then in ids]
    return [each for each in permutations(ids) if all(each.index(first) < each.index(then) for first, then in known)]


def moved(ids: Sequence[str], step: str, before: str) -> tuple[str, ...]:
    """The order with one step moved to the place right before another."""
    rest = [each for each in ids if each != step]
    rest.insert(rest.index(before), step)
    return tuple(rest)


def pairs(*chains: tuple[Iterable[str], Iterable[str]]) -> Before:
    """Every step of the first of each two groups comes before every step of the second."""
    return frozenset((first, then) for firsts, thens in chains for first in firsts for then in thens)


_SOURCES: Final[Mapping[str, SourceKind]] = {
    "hybrid": SourceKind.HYBRID,
    "battery": SourceKind.BATTERY,
    "pv": SourceKind.PV,
    "vehicle": SourceKind.VEHICLE,
}
_STEPS: Final = ("find", "source", "wait", "prove", "test", "again", "begin")
"""All steps in the order in which the trade tells them."""
_PROOF: Final = ("test", "again", "begin")
_ISOLATION: Final = pairs(
    (("find",), ("source", "wait", *_PROOF)),
    (("source",), ("wait", *_PROOF)),
    (("wait", "prove"), _PROOF),
    (("test",), ("again", "begin")),
    (("again",), ("begin",)),
)


def _with_source(name: str) -> Installation:
    return house(
        rcbo("way1"),
        circuit("load", "way1"),
        rcbo("way2", "B"),
        circuit(name, "way2"),
        inverter(name, name, _SOURCES[name], island=True, isolator_ac=True, isolator_dc=True),
    )


@family(
    id="order_of_safe_isolation",
    title="The order of safe isolation",
    objectives=("LO45",),
    rules=("ISO-02",),
    misconceptions=("M75", "M91", "M106"),
    form=AskForm.ORDER,
    level=3,
)
def order_of_safe_isolation(desk: Desk) -> Draft:
    """Five steps that make a board with a source dead, in every order in which each step rests on those before."""
    draws = desk.draws
    name = draws.choice(tuple(_SOURCES))
    of = _with_source(name)
    if not of.sources() or not desk.verdict("ISO-02", of).limit:
        raise RedrawError("nothing but the main switch feeds the board")
    chosen = {"source", "prove", "test", "again", draws.choice(("find", "wait", "begin"))}
    held = orders_that_hold([each for each in _STEPS if each in chosen], _ISOLATION)
    model = held[0]
    ids = draws.shuffled(model)
    wrong: dict[str, Reason] = {
        order(moved(model, "again", "test")): ("M106", "checked_before_only"),
        order(moved(model, "source", "again")): ("M91", "tested_too_early"),
        order([each for each in model if each != "source"] + ["source"]): ("M75", "opened_last"),
    }
    right = {order(each) for each in held}
    return Draft(
        answers=tuple(order(each) for each in held),
        slips=slips({answer: reason for answer, reason in wrong.items() if answer not in right}),
        choices=desk.choices(ids, {"source": desk.label(f"source_{name}")}),
        values={"source": desk.label(f"source_{name}"), "place": desk.label(f"place_{draws.integer(1, 6)}")},
        leaves_hazard=True,
    )


_DEAD: Final = ("continuity", "ring", "insulation", "polarity")
_LIVE: Final = ("loop", "residual", "functional")
_TESTS: Final = pairs(
    (("continuity", "ring"), ("insulation",)),
    (("continuity",), ("polarity",)),
    (_DEAD, _LIVE),
    (("loop",), ("residual", "functional")),
    (("residual",), ("functional",)),
)
"""What each test of Part 6 rests on, as the trade's guidance has it; common practice where no clause says so."""


@family(
    id="order_of_initial_tests",
    title="The order of initial tests",
    objectives=("LO41", "LO47"),
    rules=("VER-02", "OC-03", "VER-01"),
    misconceptions=("M91", "M107"),
    form=AskForm.ORDER,
    level=3,
)
def order_of_initial_tests(desk: Desk) -> Draft:
    """Five tests of a new circuit, in every order in which each rests on those before it."""
    draws = desk.draws
    chosen = {draws.choice(("ring", "polarity")), "continuity", "insulation", *draws.shuffled(_LIVE)[:2]}
    held = orders_that_hold([each for each in (*_DEAD, *_LIVE) if each in chosen], _TESTS)
    model = held[0]
    first_live = next(each for each in model if each in _LIVE)
    right = {order(each) for each in held}
    wrong: dict[str, Reason] = {
        order(moved(model, "insulation", model[0])): ("M107", "insulation_first"),
        order(moved(model, first_live, "insulation")): ("M91", "live_before_dead"),
        order((*model[:3], *reversed(model[3:]))): ("M107", f"{model[4]}_too_early"),
    }
    return Draft(
        answers=tuple(order(each) for each in held),
        slips=slips({answer: reason for answer, reason in wrong.items() if answer not in right}),
        choices=desk.choices(draws.shuffled(model)),
        values={
            "work": desk.label(f"work_{draws.integer(1, 8)}"),
            "dead": listed([desk.label(f"name_{each}") for each in model if each in _DEAD]),
            "live": listed([desk.label(f"name_{each}") for each in model if each in _LIVE]),
        },
    )


_BREAKS: Final[tuple[tuple[float, ResidualDelay, float], ...]] = tuple(
    (rating, delay, round(rating * multiple, 1))
    for rating, delay in (
        (30.0, ResidualDelay.GENERAL),
        (100.0, ResidualDelay.GENERAL),
        (300.0, ResidualDelay.GENERAL),
        (100.0, ResidualDelay.S),
        (300.0, ResidualDelay.S),
    )
    for multiple in (1.0, 2.0, 5.0, 10.0)
)
"""Ratings, delays and residual currents at which devices are asked for their longest time."""


def _longest_ms(desk: Desk, rating: float, delay: ResidualDelay, current: float) -> float:
    kind = ResidualRating(rcd_type=RcdType.A, rated_residual_operating_current_ma=rating, delay=delay)
    most = break_time_bounds(kind, TimeClass.ALTERNATING, current, desk.limits.devices).most_ms
    if most is None:
        raise RedrawError("no standard promises a time")
    return most


@family(
    id="break_times_in_order",
    title="Break times in order",
    objectives=("LO06", "LO47"),
    rules=("RCD-11", "VER-01"),
    misconceptions=("M15", "M20", "M60"),
    form=AskForm.ORDER,
    level=3,
)
def break_times_in_order(desk: Desk) -> Draft:
    """Four devices at a residual current, in order of the longest break time that their standard allows."""
    draws = desk.draws
    taken: dict[float, tuple[float, ResidualDelay, float]] = {}
    for each in draws.shuffled(_BREAKS):
        taken.setdefault(_longest_ms(desk, *each), each)
    times = draws.shuffled(sorted(taken))[:4]
    found = {f"d{number}": (time, *taken[time]) for number, time in enumerate(times)}
    ids = list(found)
    if len({delay for _, _, delay, _ in found.values()}) < 2:
        raise RedrawError("all devices are of one kind")
    ranked = sorted(ids, key=lambda each: found[each][0])
    wrong: dict[str, Reason] = {
        order(sorted(ids, key=lambda each: (found[each][2] is ResidualDelay.S, found[each][0]))): (
            "M20",
            "delayed_last",
        ),
        order(sorted(ids, key=lambda each: (found[each][1], found[each][0]))): ("M60", "by_rating"),
        order(sorted(ids, key=lambda each: -found[each][3])): ("M15", "by_current"),
    }
    labels = {
        each: desk.label(delay.value, {"rating": amount(rating, "mA"), "current": _current(current)})
        for each, (_, rating, delay, current) in found.items()
    }
    return Draft(
        answers=(order(ranked),),
        slips=slips({answer: reason for answer, reason in wrong.items() if answer != order(ranked)}),
        choices=tuple(Choice(id=each, label=labels[each]) for each in ids),
        values={"told": "; ".join(f"{labels[each]}: {amount(found[each][0], 'ms')}" for each in ranked)},
        citations=(desk.limits.devices.break_times_alternating.citation,),
    )


def _current(current_ma: float) -> str:
    return amount(current_ma, "mA") if current_ma < 1000 else amount(current_ma / 1000, "A", 1)


_CIRCUITS: Final[Mapping[str, tuple[str, float, dict[str, Any]]]] = {
    "tt_sockets": (TT, 32.0, {"socket_outlets": True}),
    "tt_shower": (TT, 32.0, {}),
    "tt_industrial": (TT, 63.0, {"socket_outlets": True}),
    "tn_sockets": (TN, 20.0, {"socket_outlets": True}),
    "tn_pump": (TN, 16.0, {}),
    "tn_industrial": (TN, 63.0, {"socket_outlets": True}),
    "tt_heater": (TT, 50.0, {}),
    "tt_feeder": (TT, 63.0, {"feeds": True}),
    "tt_kiln": (TT, 40.0, {}),
    "tn_heater": (TN, 50.0, {}),
    "tn_feeder": (TN, 63.0, {"feeds": True}),
    "tn_kiln": (TN, 40.0, {}),
}
"""Earthing, rating of the device, and what kind of circuit."""


def _longest_s(desk: Desk, name: str) -> float:
    system, rated, facts = _CIRCUITS[name]
    way = circuit("way", "way1", socket_outlets=facts.get("socket_outlets", False))
    second = [Board(id="second", fed_by="way")] if "feeds" in facts else []
    of = house(breaker("way1", rated_current_a=rated), way, *second)
    return maximum_disconnection_time_s(of, way, rated, system, desk.limits)


@family(
    id="disconnection_times_in_order",
    title="Disconnection times in order",
    objectives=("LO27", "LO05"),
    rules=("OC-04",),
    misconceptions=("M15", "M60", "M63"),
    form=AskForm.ORDER,
    level=2,
)
def disconnection_times_in_order(desk: Desk) -> Draft:
    """Four circuits in order of the longest disconnection time allowed, the shortest first."""
    draws = desk.draws
    taken: dict[float, str] = {}
    for name in draws.shuffled(tuple(_CIRCUITS)):
        taken.setdefault(_longest_s(desk, name), name)
    ranked = [taken[time] for time in sorted(taken)]
    if len(ranked) != 4:
        raise RedrawError("not four times")
    in_tn = {name: _CIRCUITS[name][0] == TN for name in ranked}
    rated = {name: _CIRCUITS[name][1] for name in ranked}
    wrong: dict[str, Reason] = {
        order(sorted(ranked, key=lambda name: (in_tn[name], _longest_s(desk, name)))): ("M63", "tt_first"),
        order((ranked[1], ranked[0], ranked[3], ranked[2])): ("M15", "tn_quicker"),
        order(sorted(ranked, key=lambda name: (-rated[name], _longest_s(desk, name)))): ("M60", "largest_first"),
    }
    return Draft(
        answers=(order(ranked),),
        slips=slips({answer: reason for answer, reason in wrong.items() if answer != order(ranked)}),
        choices=desk.choices(draws.shuffled(ranked)),
        values={
            "told": "; ".join(f"{desk.label(taken[time])}: {amount(time, 's')}" for time in sorted(taken)),
            "place": desk.label(f"place_{draws.integer(1, 4)}"),
        },
        citations=(desk.limits.overcurrent.disconnection_times.citation,),
    )


FAMILIES: tuple[Family, ...] = (
    order_of_safe_isolation,
    order_of_initial_tests,
    break_times_in_order,
    disconnection_times_in_order,
)
