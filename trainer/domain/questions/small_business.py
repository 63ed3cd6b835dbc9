"""Questions on a small business: the heaviest of three lines, and what must be mended before anything is added."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.calculations.demand import LINES, maximum_demand_a
from trainer.domain.devices import Board
from trainer.domain.equipment import EquipmentKind, SourceKind
from trainer.domain.findings import total
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount, plain, spoken
from trainer.domain.questions.answering import Reason, number, number_slips, several
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import (
    BOARD,
    breaker,
    charger,
    circuit,
    house,
    inverter,
    item,
    main_switch,
    rcbo,
    rccb,
    supply,
)  # fmt: skip
from trainer.domain.questions.judging import passing, with_one_less, with_one_more
from trainer.domain.questions.trees import second_sheet
from trainer.domain.supply import Earthing
from trainer.domain.tasks import Sheet
from trainer.domain.vocabulary import EarthingSystem, Premises


def _site(loads: Mapping[str, Any], safe: Mapping[str, bool]) -> Installation:
    """A business on three phases: loads of each line, a heat pump on all three, a charger on each of two, a battery."""
    records: list[Any] = []
    for line in LINES:
        name = f"general_{line}"
        records += [breaker(f"way_{name}"), circuit(name, f"way_{name}", line=line, design_current_a=loads[line])]
    records += [breaker("way_pump"), circuit("pump", "way_pump", phases=3)]
    records.append(item("pump", "pump", EquipmentKind.HEAT_PUMP, rated_current_a=loads["pump"], phases=3))
    for name, line in loads["cars"].items():
        records += [breaker(f"way_{name}"), circuit(name, f"way_{name}", line=line)]
        unit = charger(name, name, load_limit_a=loads["limit"], load_limit_fail_safe=safe[name])
        records.append(unit)
    records += [breaker("way_battery"), circuit("battery", "way_battery", line=loads["battery_line"])]
    records.append(inverter("battery", "battery", SourceKind.BATTERY, charging_current_a=loads["charging"]))
    return house(*records, premises=Premises.COMMERCIAL, supply=supply(EarthingSystem.TN_S, phases=3))


def _greatest(desk: Desk, of: Installation) -> float:
    return maximum_demand_a(of, of.circuits.values(), desk.limits)[0]


def _on_line(of: Installation, line: str, desk: Desk) -> float:
    """The demand of one line: that of the circuits that load it."""
    circuits = [each for each in of.circuits.values() if each.phases > 1 or each.line == line]
    return maximum_demand_a(of, circuits, desk.limits)[0]


@family(
    id="demand_of_the_heaviest_line",
    title="Demand of the heaviest line",
    objectives=("LO14", "LO33"),
    rules=("OC-12", "EV-02"),
    misconceptions=("M25", "M65", "M93"),
    form=AskForm.NUMBER,
    level=5,
)
def demand_of_the_heaviest_line(desk: Desk) -> Draft:
    """The demand of the most loaded of three lines, with one load limit that counts and one that does not."""
    draws = desk.draws
    first, second, third = draws.shuffled(LINES)
    loads: dict[str, Any] = {each: draws.stepped(8, 36, 1) for each in LINES}
    loads |= {
        "pump": draws.stepped(8, 14, 1),
        "limit": draws.choice((10.0, 13.0, 16.0)),
        "charging": draws.stepped(10, 16, 1),
        "cars": {"left": first, "right": second},
        "battery_line": third,
    }
    safe = dict(zip(("left", "right"), draws.shuffled((True, False)), strict=True))
    of = _site(loads, safe)
    demands = {line: _on_line(of, line, desk) for line in LINES}
    right = _greatest(desk, of)
    limited = _greatest(desk, _site(loads, dict.fromkeys(safe, True)))
    unlimited = _greatest(desk, _site(loads, dict.fromkeys(safe, False)))
    wrong: dict[Reason, float] = {
        ("M25", "mean"): total(demands.values()) / 3,
        ("M93", "both_limits"): limited,
        ("M93", "no_limit"): unlimited,
        ("M65", "no_charger"): max(loads[line] + loads["pump"] for line in LINES),
    }
    wrong = {reason: value for reason, value in wrong.items() if abs(value - right) > 1.0}
    heaviest = max(demands, key=lambda line: demands[line])
    return Draft(
        answers=(number(right, "A", 1),),
        slips=number_slips(wrong, "A", 1),
        unit="A",
        tolerance=0.5,
        values={
            "site": desk.label(f"site_{draws.integer(1, 6)}"),
            "heaviest": heaviest,
            "told": "; ".join(f"{line} {amount(each, 'A', 1)}" for line, each in demands.items()),
            "sum": f"{spoken(_parts(loads, safe, heaviest))} = {amount(right, 'A', 1)}",
        },
        why="by_charger" if heaviest != third else "by_battery",
        pack=_demand_papers(desk, loads, safe),
    )


def _parts(loads: Mapping[str, Any], safe: Mapping[str, bool], line: str) -> list[str]:
    """The currents that add on one line."""
    parts = [loads[line], loads["pump"]]
    parts += [loads["limit"] if safe[name] else 32.0 for name, on in loads["cars"].items() if on == line]
    parts += [loads["charging"]] if loads["battery_line"] == line else []
    return [amount(each, "A", 1) for each in parts]


def _demand_papers(desk: Desk, loads: Mapping[str, Any], safe: Mapping[str, bool]) -> tuple[Sheet, Sheet]:
    rows = [(desk.label("row_general", {"line": line}), plain(loads[line]), "A") for line in LINES]
    rows.append((desk.label("row_pump"), plain(loads["pump"]), "A"))
    rows += [(desk.label(f"row_{name}", {"line": on}), plain(32.0), "A") for name, on in loads["cars"].items()]
    rows.append((desk.label("row_battery", {"line": loads["battery_line"]}), plain(loads["charging"]), "A"))
    limit = amount(loads["limit"], "A")
    told = [
        (desk.label(f"sheet_{name}"), desk.label("safe" if safe[name] else "unsafe", {"limit": limit}), "")
        for name in ("left", "right")
    ]
    return desk.sheet(rows), second_sheet(desk, "limits", told)


_MEND_RULES: Final = ("BON-01", "BON-02", "RAT-01", "RCD-07", "OC-07", "SUP-01")
_SUBJECTS: Final = ("bonding", "earthing", "switch", "rccb", "breaking", "tails")
_WHY_NOT: Final[Mapping[str, Reason]] = {
    "bonding": ("M42", "bonding"),
    "earthing": ("M49", "earthing"),
    "switch": ("M38", "switch"),
    "rccb": ("M11", "rccb"),
    "breaking": ("M44", "breaking"),
    "tails": ("M105", "tails"),
}
_SMALL_MM2: Final = {"bonding": 6.0, "earthing": 6.0}


def _found(subject: str, good: bool, facts: Mapping[str, float]) -> Installation:
    """A house on PME with one finding, as it should be or not."""
    size = 16.0 if subject == "earthing" else 10.0
    earthing = {"bonding": "main_bonding_mm2", "earthing": "earthing_conductor_mm2"}
    sizes = {earthing[subject]: size if good else _SMALL_MM2[subject]} if subject in earthing else {}
    switch = main_switch(rated_current_a=63.0 if subject == "switch" and not good else 100.0)
    above = "upper" if subject == "rccb" and not good else "main_switch"
    tails = facts["long_m"] if subject == "tails" and not good else facts["short_m"]
    return house(
        switch,
        Board(id=BOARD, fed_by="supply", ways=12, tails_mm2=25.0, tails_length_m=tails),
        rccb("upper", "AC", 100.0, rated_current_a=100.0),
        rcbo("new", "A", fed_by=above, breaking_capacity_ka=6.0),
        charger("car", "car"),
        circuit("car", "new"),
        *(breaker(f"way{n}", fed_by="upper", breaking_capacity_ka=6.0) for n in (1, 2, 3)),
        *(circuit(f"old{n}", f"way{n}") for n in (1, 2, 3)),
        supply=supply(
            EarthingSystem.TN_C_S,
            neutral_mm2=35.0,
            fuse_rated_current_a=facts["fuse_a"],
            prospective_fault_current_ka=facts["high_ka" if subject == "breaking" and not good else "low_ka"],
            phases=1,
        ),
        earthing=Earthing(
            **({"main_bonding_mm2": 10.0, "earthing_conductor_mm2": 16.0} | sizes), extraneous_parts=True
        ),
    )


@family(
    id="what_must_be_mended_first",
    title="What must be put right first",
    objectives=("LO30", "LO42", "LO43", "LO44"),
    rules=_MEND_RULES,
    misconceptions=("M11", "M38", "M42", "M44", "M49", "M101", "M105"),
    form=AskForm.SEVERAL,
    level=5,
)
def what_must_be_mended_first(desk: Desk) -> Draft:
    """Of six findings at an old board those that have to be mended before a charger is added."""
    draws = desk.draws
    fuse = draws.choice((80.0, 100.0))
    facts = {
        "fuse_a": fuse,
        "long_m": draws.stepped(3.6, 5.0, 0.2),
        "short_m": draws.stepped(1.2, 2.4, 0.2),
        "low_ka": draws.stepped(2.2, 5.2, 0.2),
        "high_ka": draws.stepped(6.6, 9.0, 0.2),
    }
    bad = draws.shuffled(_SUBJECTS)[: draws.integer(2, 4)]
    ids = draws.shuffled(_SUBJECTS)
    houses = {each: _found(each, each not in bad, facts) for each in ids}
    kept = passing(desk, houses, _MEND_RULES)
    mend = [each for each in ids if each not in kept]
    if set(mend) != set(bad):
        raise RedrawError("a finding is not what its words say")
    shown = {
        "fuse": amount(fuse, "A"),
        "long": amount(facts["long_m"], "m"),
        "short": amount(facts["short_m"], "m"),
        "low": amount(facts["low_ka"], "kA"),
        "high": amount(facts["high_ka"], "kA"),
    }
    labels = {each: desk.label(f"{each}_{'good' if each in kept else 'bad'}", shown) for each in ids}
    return Draft(
        answers=(several(ids, mend),),
        slips=(
            *with_one_less(ids, mend, _WHY_NOT),
            *with_one_more(ids, mend, dict.fromkeys(ids, ("M101", "is_good"))),
        ),
        choices=tuple(Choice(id=each, label=labels[each]) for each in ids),
        values={
            **shown,
            "site": desk.label(f"site_{draws.integer(1, 6)}"),
            "mend": "; ".join(labels[each] for each in mend),
        },
    )


FAMILIES: tuple[Family, ...] = (demand_of_the_heaviest_line, what_must_be_mended_first)
