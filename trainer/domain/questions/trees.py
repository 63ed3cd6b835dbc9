"""Questions on what each residual current device of a tree sees: leakage, smooth d.c., and what may stand above it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any, Final

from trainer.domain.asks.forms import AskForm
from trainer.domain.equipment import Equipment, EquipmentKind, SourceKind
from trainer.domain.findings import total
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount, plain
from trainer.domain.questions.answering import Reason, order, others, several, several_slips, slips
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import BOARD, breaker, charger, circuit, house, inverter, item, rcbo, rccb
from trainer.domain.questions.judging import first_passing
from trainer.domain.questions.residual_current import TYPES
from trainer.domain.tasks import Sheet
from trainer.domain.vocabulary import FrontEnd, MakerWord, Outcome, RcdType, ResidualDelay, Stated

HEAD: Final = "head"
_RATINGS_MA: Final[Mapping[str, float]] = {HEAD: 100.0, "left": 30.0, "right": 30.0, "alone": 30.0, "shed": 30.0}
_PLACES: Final = ("left", "left", "left", "right", "right", "right", "alone", "shed")
_LOADS: Final[Mapping[str, tuple[float, float]]] = {
    "hob": (1.0, 3.0),
    "computers": (2.4, 6.0),
    "washer": (1.0, 2.4),
    "dryer": (1.0, 2.4),
    "boiler": (0.6, 1.8),
    "dishwasher": (1.0, 2.2),
    "lighting": (1.4, 5.0),
    "oven": (0.8, 2.4),
}
_LARGE: Final[Mapping[str, tuple[float, float]]] = {"car": (2.4, 5.6), "pump": (4.0, 10.6)}
"""The loads on devices of their own."""


def second_sheet(desk: Desk, key: str, rows: list[tuple[str, str, str]]) -> Sheet:
    """A further sheet of the pack; the label of that key is its title."""
    return replace(desk.sheet(rows, {}), id=key, title=desk.label(key))


def _tree(where: Mapping[str, str], leaks: Mapping[str, float]) -> Installation:
    """A delayed device at the head, two RCCBs below it, and two RCBOs with one load each."""
    records: list[Any] = [rccb(HEAD, "A", _RATINGS_MA[HEAD], residual_delay=ResidualDelay.S)]
    records += [rccb(each, fed_by=HEAD) for each in ("left", "right")]
    records += [rcbo(each, fed_by=HEAD) for each in ("alone", "shed")]
    for name, on in where.items():
        feeding = on
        if on in ("left", "right"):
            feeding = f"way_{name}"
            records.append(breaker(feeding, fed_by=on))
        records += [circuit(name, feeding), item(name, name, protective_conductor_current_ma=leaks[name])]
    return house(*records)


def _leaking(desk: Desk) -> tuple[dict[str, str], dict[str, float]]:
    """Which load hangs on which device, and what each leaks."""
    draws = desk.draws
    names = [*draws.shuffled(tuple(_LOADS))[:6], *draws.shuffled(tuple(_LARGE))]
    bounds = {**_LOADS, **_LARGE}
    return dict(zip(names, _PLACES, strict=True)), {each: draws.stepped(*bounds[each], 0.2) for each in names}


def _shares(desk: Desk, of: Installation) -> dict[str, tuple[float, float, bool]]:
    """Of each device of the tree: what it sees, its measure, and whether that is exceeded."""
    found = {}
    for name in _RATINGS_MA:
        verdict = desk.verdict("RCD-05", of, name)
        exceeds = verdict.outcome is Outcome.DOES_NOT_COMPLY
        found[name] = (float(verdict.value or 0), float(verdict.limit or 0), exceeds)
    return found


def _papers(desk: Desk, where: Mapping[str, str], leaks: Mapping[str, float]) -> tuple[Sheet, Sheet]:
    """The chart of the board, and what the data sheets say of leakage, each in an order of its own."""
    chart = [(desk.label(name), desk.label(f"on_{on}"), "") for name, on in where.items()]
    sheets = [(desk.label(name), plain(leaks[name], 1), "mA") for name in sorted(leaks)]
    return desk.sheet(desk.draws.shuffled(chart)), second_sheet(desk, "leakage", sheets)


def _told(desk: Desk, shares: Mapping[str, tuple[float, float, bool]], ids: list[str]) -> str:
    """What each device sees and its measure, in a row."""
    return "; ".join(
        f"{desk.label(each)}: {amount(shares[each][0], 'mA', 1)} of {amount(shares[each][1], 'mA', 1)}" for each in ids
    )


@family(
    id="devices_beyond_30_percent",
    title="Devices beyond 30 % of their rating",
    objectives=("LO04",),
    rules=("RCD-05",),
    misconceptions=("M36", "M68", "M85"),
    form=AskForm.SEVERAL,
    level=5,
)
def devices_beyond_30_percent(desk: Desk) -> Draft:
    """Of five devices in a tree those whose standing leakage exceeds 30 % of their rating."""
    where, leaks = _leaking(desk)
    shares = _shares(desk, _tree(where, leaks))
    ids = desk.draws.shuffled(tuple(_RATINGS_MA))
    beyond = [each for each in ids if shares[each][2]]
    if not 0 < len(beyond) < len(ids) - 1:
        raise RedrawError("nearly all devices are alike")
    right = several(ids, beyond)
    everything = shares[HEAD][0]
    largest = {each: max((leaks[load] for load, on in where.items() if each in (on, HEAD)), default=0) for each in ids}
    wrong: dict[Reason, list[str]] = {
        ("M36", "largest_only"): [each for each in ids if largest[each] > shares[each][1]],
        ("M36", "head_forgotten"): [each for each in beyond if each != HEAD],
        ("M85", "half_rating"): [each for each in ids if shares[each][0] > _RATINGS_MA[each] / 2],
        ("M68", "everywhere"): [each for each in ids if everything > shares[each][1]],
    }
    return Draft(
        answers=(right,),
        slips=several_slips(ids, wrong, right),
        choices=desk.choices(ids),
        values={"told": _told(desk, shares, ids)},
        pack=_papers(desk, where, leaks),
        margins=tuple((sees, measure) for sees, measure, _ in shares.values()),
    )


@family(
    id="devices_by_their_share_of_leakage",
    title="Devices by their share of leakage",
    objectives=("LO04",),
    rules=("RCD-05",),
    misconceptions=("M36", "M85"),
    form=AskForm.ORDER,
    level=4,
)
def devices_by_their_share_of_leakage(desk: Desk) -> Draft:
    """Four devices of a tree in order of the share of their rating that leaks all the time, the least first."""
    where, leaks = _leaking(desk)
    shares = _shares(desk, _tree(where, leaks))
    ids = desk.draws.shuffled((HEAD, "left", "right", "alone"))
    used = {each: shares[each][0] / shares[each][1] for each in ids}
    ranked = sorted(ids, key=lambda each: used[each])
    if any(used[upper] < 1.15 * used[lower] for lower, upper in pairwise(ranked)):
        raise RedrawError("two devices have nearly the same share")
    if ranked[-1] == HEAD:
        raise RedrawError("the device at the head has the greatest share in both ways")
    single = {each: max(leaks[load] for load, on in where.items() if each in (on, HEAD)) for each in ids}
    wrong: dict[str, Reason] = {
        order(sorted(ids, key=lambda each: shares[each][0])): ("M85", "by_milliamps"),
        order(sorted(ids, key=lambda each: single[each] / shares[each][1])): ("M36", "largest_only"),
    }
    return Draft(
        answers=(order(ranked),),
        slips=slips({answer: reason for answer, reason in wrong.items() if answer != order(ranked)}),
        choices=desk.choices(ids),
        values={
            "told": "; ".join(
                f"{desk.label(each)}: {amount(shares[each][0], 'mA', 1)} of {amount(_RATINGS_MA[each], 'mA')}, "
                f"{plain(30 * used[each], 0)}\u00a0%"
                for each in ranked
            )
        },
        pack=_papers(desk, where, leaks),
    )


_HEAD_RULES: Final = ("RCD-07", "RCD-07B", "EV-12")
_CASES: Final = ("detected", "small_sum", "sum", "sum", "pump_silent", "charger_silent", "two_chargers")
_WITH_BATTERY: Final = ("small_sum", "sum")
"""Cases of currents in service only: no detector that may let 6 mA pass on top of them."""
_REQUIRES_A: Final[Mapping[str, Any]] = {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.REQUIRED}


def _first_unit(case: str, standing: float) -> Equipment:
    """A battery inverter, or a charger as its sheet describes it."""
    if case in _WITH_BATTERY:
        return inverter("first", "first", SourceKind.BATTERY, standing_dc_ma=standing, **_REQUIRES_A)
    told = Stated.SILENT if case == "charger_silent" else Stated.YES
    return charger("first", "first", standing_dc_ma=standing, direct_current_detection=told)


def _third_unit(case: str, standing: float) -> Equipment:
    """A PV inverter, or a second charger with a detector of its own."""
    if case == "two_chargers":
        return charger("third", "third", standing_dc_ma=standing)
    return inverter("third", "third", standing_dc_ma=standing, **_REQUIRES_A)


def _below_the_head(head: str, case: str, standing: Mapping[str, float]) -> Installation:
    """A device at the head above a charger or battery, a heat pump, a PV inverter and socket-outlets."""
    types = _types(case)
    pump: Mapping[str, Any] = {} if case == "pump_silent" else _REQUIRES_A
    front = FrontEnd.BRIDGE_POWER_FACTOR_STAGE
    return house(
        rccb(HEAD, head, 100.0, residual_delay=ResidualDelay.S, fed_by=BOARD),
        *(rcbo(f"way_{name}", each, fed_by=HEAD) for name, each in types.items()),
        *(circuit(name, f"way_{name}", socket_outlets=name == "sockets") for name in types),
        _first_unit(case, standing["first"]),
        item("pump", "pump", EquipmentKind.HEAT_PUMP, front_end=front, standing_dc_ma=standing["pump"], **pump),
        _third_unit(case, standing["third"]),
    )


def _types(case: str) -> dict[str, str]:
    """The type of the RCBO of each circuit."""
    first = "B" if case == "charger_silent" else "A"
    return {"first": first, "pump": "B" if case == "pump_silent" else "A", "third": "A", "sockets": "A"}


def _standing(desk: Desk, case: str) -> dict[str, float]:
    if case not in _WITH_BATTERY:
        return {"first": 0.0, "pump": 0.0, "third": 0.0}
    low, high = (2.0, 3.4) if case == "sum" else (0.4, 2.0)
    return {each: desk.draws.stepped(low, high, 0.2) for each in ("first", "pump", "third")}


def _too_low(name: str, case: str) -> Reason:
    """Why a type of device at the head is too low."""
    if name == "AC":
        return "M11", "type_ac"
    if case == "sum":
        return "M36", "sum"
    if case == "two_chargers":
        return "M09", "two_chargers"
    return ("M04", "type_f") if name == "F" else ("M05", "type_a")


@family(
    id="least_type_at_the_head",
    title="The least type at the head",
    objectives=("LO03", "LO12", "LO34"),
    rules=_HEAD_RULES,
    misconceptions=("M04", "M05", "M09", "M11", "M36", "M50"),
    form=AskForm.ONE,
    level=5,
)
def least_type_at_the_head(desk: Desk) -> Draft:
    """The least type above four circuits, from what their sheets say they may let pass."""
    draws = desk.draws
    case = draws.choice(_CASES)
    standing = _standing(desk, case)
    houses = {each: _below_the_head(each, case, standing) for each in TYPES}
    right = first_passing(desk, houses, _HEAD_RULES)
    known = total(standing.values())
    resting = {"two_chargers": ("EV-12",), "sum": ("RCD-07B",), "small_sum": ("RCD-07B", "RCD-07")}
    return Draft(
        answers=(right,),
        slips=others(
            TYPES,
            right,
            lambda name: ("M50", "more") if RcdType(name).covers(RcdType(right)) else _too_low(name, case),
        ),
        choices=desk.choices(TYPES),
        values={"sum": amount(known, "mA", 1), "site": desk.label(f"site_{draws.integer(1, 6)}")},
        why=case,
        rules=resting.get(case, ("RCD-07",)),
        pack=(desk.sheet(_schedule(desk, case)), second_sheet(desk, "maker_sheets", _statements(desk, case, standing))),
        margins=((known, 6.0), (known, 10.0)),
    )


def _schedule(desk: Desk, case: str) -> list[tuple[str, str, str]]:
    """The board as it is fitted, in a drawn order."""
    rows = [
        (_named(desk, "row", name, case), desk.label("rcbo", {"type": each}), "") for name, each in _types(case).items()
    ]
    return desk.draws.shuffled(rows)


def _statements(desk: Desk, case: str, standing: Mapping[str, float]) -> list[tuple[str, str, str]]:
    pump = "pump_says_nothing" if case == "pump_silent" else "pump_requires_a"
    third = "detects" if case == "two_chargers" else "requires_a"
    told = {"first": f"first_{case}", "pump": pump, "third": f"third_{third}"}
    rows = [(_named(desk, "row", name, case), desk.label(each), "") for name, each in told.items()]
    return rows + [(_named(desk, "standing", name, case), plain(ma, 1), "mA") for name, ma in standing.items()]


def _named(desk: Desk, what: str, name: str, case: str) -> str:
    """The label of a row; what the first and third unit are depends on the case."""
    units = {
        "first": "battery" if case in _WITH_BATTERY else "charger",
        "third": "second_charger" if case == "two_chargers" else "pv",
    }
    return desk.label(f"{what}_{units.get(name, name)}")


FAMILIES: tuple[Family, ...] = (
    devices_beyond_30_percent,
    devices_by_their_share_of_leakage,
    least_type_at_the_head,
)
