"""Questions in which two limits hold at once: the mains and the island, the loop and the voltage drop."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from trainer.domain.asks.forms import AskForm, Choice
from trainer.domain.cables import CableType
from trainer.domain.calculations.disconnection import maximum_impedance_ohm
from trainer.domain.calculations.loops import earth_fault_loop_impedance
from trainer.domain.calculations.voltage_drop import allowed_drop_v, tabulated_drop, voltage_drop_v
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import NeutralEarthLink, SourceKind
from trainer.domain.findings import Verdict
from trainer.domain.installation import Installation
from trainer.domain.questions.amounts import amount, plain
from trainer.domain.questions.answering import Reason, match, number, number_slips, slips
from trainer.domain.questions.defining import Family, family
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft, RedrawError
from trainer.domain.questions.houses import breaker, cable, circuit, house, inverter, rcbo, supply
from trainer.domain.questions.trees import second_sheet
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import Curve, Outcome

_WHEN: Final = ("both", "mains", "island", "neither")
_WAYS: Final[Mapping[str, tuple[bool, float, Curve]]] = {
    "sockets": (True, 32.0, Curve.B),
    "freezer": (True, 16.0, Curve.C),
    "alarm": (False, 6.0, Curve.B),
    "cooker": (False, 32.0, Curve.B),
    "boiler": (False, 20.0, Curve.B),
    "fan": (False, 10.0, Curve.C),
    "compressor": (False, 32.0, Curve.C),
    "saw": (False, 20.0, Curve.D),
}
"""Of each circuit whether an RCBO feeds it, and the rating and curve of its device."""
_GROUPS: Final = (("sockets", "freezer", "alarm"), ("cooker", "boiler", "fan"), ("compressor", "saw"))
_COUNTS: Final = ((2, 1, 1), (1, 2, 1), (1, 1, 2))


def _one_way(name: str, loop_ohm: float, island_a: float) -> Installation:
    """A house that can run as an island, with one circuit at whose end the loop has about that impedance."""
    residual, rated, curve = _WAYS[name]
    feeding = rcbo("way1", rated_current_a=rated, curve=curve)
    source = inverter(
        "battery",
        "battery",
        SourceKind.BATTERY,
        island=True,
        island_fault_current_a=island_a,
        neutral_earth_link=NeutralEarthLink.AUTOMATIC,
        island_isolator_opens_all_live=True,
    )
    return house(
        feeding if residual else breaker("way1", rated_current_a=rated, curve=curve),
        rcbo("way2", "B"),
        circuit("way", "way1", cable=cable(length_m=0.1)),
        circuit("battery", "way2"),
        source,
        supply=supply(external_earth_fault_loop_impedance_ohm=loop_ohm),
        earthing=Earthing(island_electrode_resistance_ohm=60.0, extraneous_parts=False),
    )


def _most_ohm(desk: Desk, of: Installation) -> float:
    return maximum_impedance_ohm(of.devices["way1"], 0.4, 230.0, desk.limits)


def _holds(verdict: Verdict) -> bool:
    return verdict.outcome is Outcome.COMPLIES


def _when(desk: Desk, of: Installation) -> str:
    """In which ways of feeding the house the circuit's own device disconnects an earth fault."""
    mains, island = _holds(desk.verdict("OC-02", of, "way")), _holds(desk.verdict("ISL-01", of, "way"))
    return _WHEN[(0 if island else 1) if mains else (2 if island else 3)]


@family(
    id="circuits_on_the_mains_and_in_an_island",
    title="Circuits on the mains and in an island",
    objectives=("LO23", "LO27"),
    rules=("ISL-01", "OC-02"),
    misconceptions=("M07", "M29", "M90"),
    form=AskForm.MATCH,
    level=5,
)
def circuits_on_the_mains_and_in_an_island(desk: Desk) -> Draft:
    """Circuits matched to the ways of feeding the house in which their own device disconnects an earth fault."""
    draws = desk.draws
    island_a = draws.stepped(35, 55, 5)
    counts = draws.choice(_COUNTS)
    names = [name for group, count in zip(_GROUPS, counts, strict=True) for name in draws.shuffled(group)[:count]]
    ids = draws.shuffled(names)
    houses = {name: _one_way(name, draws.stepped(0.45, 1.25, 0.05), island_a) for name in ids}
    partner = {name: _when(desk, of) for name, of in houses.items()}
    if partner != {name: _expected(name) for name in ids}:
        raise RedrawError("a loop is too long or too short for what the circuit stands for")
    loops = {name: earth_fault_loop_impedance(of, of.circuits["way"], desk.limits)[0] for name, of in houses.items()}
    own = {name: _most_ohm(desk, of) for name, of in houses.items()}
    right = match(ids, partner)
    by_curve = {name: "mains" if _WAYS[name][0] else when for name, when in partner.items()}
    wrong: dict[str, Reason] = {
        match(ids, partner | {name: "both" for name in ids if partner[name] == "mains"}): ("M90", "like_the_network"),
        match(ids, by_curve): ("M07", "by_curve"),
        match(ids, partner | {name: "mains" for name in ids if partner[name] == "neither"}): ("M29", "slow_curve"),
    }
    return Draft(
        answers=(right,),
        slips=slips({answer: reason for answer, reason in wrong.items() if answer != right}),
        choices=tuple(Choice(id=name, label=desk.label(name, {"loop": amount(loops[name], "ohm")})) for name in ids),
        partners=desk.choices(_WHEN),
        values={
            "island": amount(island_a, "A"),
            "place": desk.label(f"place_{draws.integer(1, 6)}"),
            "needed": "; ".join(
                f"{desk.label(f'name_{name}')} {amount(own[name], 'ohm')} and {amount(_tripping_a(own[name]), 'A')}"
                for name in ids
                if not _WAYS[name][0]
            ),
        },
        why="one_reaches" if "alarm" in ids else "none_reaches",
        margins=tuple((loops[name], own[name]) for name in ids if not _WAYS[name][0]),
    )


def _tripping_a(most_ohm: float) -> float:
    """The current behind a tabulated impedance, in whole tens as a curve gives it."""
    return round(0.95 * 230.0 / most_ohm, -1)


def _expected(name: str) -> str:
    """What a circuit of its group is in the question for."""
    place = next(number for number, group in enumerate(_GROUPS) if name in group)
    return ("both", "mains", "neither")[place]


_FINALS: Final = (
    (2.5, 1.5, 16.0, Curve.B, (10.0, 14.0)),
    (2.5, 1.5, 16.0, Curve.C, (9.0, 15.0)),
    (2.5, 1.5, 20.0, Curve.C, (12.0, 18.0)),
    (4.0, 1.5, 20.0, Curve.C, (14.0, 19.0)),
    (4.0, 1.5, 25.0, Curve.C, (16.0, 23.0)),
    (6.0, 2.5, 32.0, Curve.C, (20.0, 30.0)),
)
"""Line and protective conductor, rating and curve of the circuit-breaker, bounds of the load."""
SECOND: Final = "second"


def _two_boards(way: Device, run: Any, load: float, before: Mapping[str, float]) -> Installation:
    """A final circuit in a second board at the end of an armoured cable."""
    feeder = cable(
        type=CableType.ARMOURED_THERMOSETTING_90,
        cross_section_mm2=16.0,
        protective_conductor_mm2=16.0,
        length_m=before["length_m"],
    )
    return house(
        breaker("feeding", rated_current_a=63.0),
        circuit("feeder", "feeding", cable=feeder, design_current_a=before["load_a"]),
        Board(id=SECOND, label="Second board", fed_by="feeder"),
        way,
        circuit("final", way.id, cable=run, design_current_a=load),
        supply=supply(external_earth_fault_loop_impedance_ohm=before["external_ohm"]),
    )


class _Limits:
    """The two limits of the length of a final circuit: what is spent before it, and what each metre costs."""

    def __init__(self, desk: Desk, houses: tuple[Installation, Installation], way: Device) -> None:
        """``houses`` have a final circuit of 10 m and one of 20 m."""
        loops = [earth_fault_loop_impedance(of, of.circuits["final"], desk.limits)[0] for of in houses]
        drops = [voltage_drop_v(of, of.circuits["final"], desk.limits)[0] for of in houses]
        self.most_ohm = maximum_impedance_ohm(way, 0.4, 230.0, desk.limits)
        self.most_v = allowed_drop_v(houses[0].circuits["final"], 230.0, desk.limits)
        self.metre_ohm, self.metre_v = (loops[1] - loops[0]) / 10, (drops[1] - drops[0]) / 10
        self.spent_ohm, self.spent_v = 2 * loops[0] - loops[1], 2 * drops[0] - drops[1]
        self.by_loop_m = (self.most_ohm - self.spent_ohm) / self.metre_ohm
        self.by_drop_m = (self.most_v - self.spent_v) / self.metre_v


@family(
    id="longest_run_behind_a_second_board",
    title="The longest run behind a second board",
    objectives=("LO27", "LO31"),
    rules=("OC-02", "OC-08"),
    misconceptions=("M78", "M81", "M105"),
    form=AskForm.NUMBER,
    level=5,
)
def longest_run_behind_a_second_board(desk: Desk) -> Draft:
    """The longest final circuit in a second board that keeps both the loop impedance and the voltage drop."""
    draws = desk.draws
    size, earth, rated, curve, bounds = draws.choice(_FINALS)
    load = draws.stepped(*bounds, 1)
    before = {
        "length_m": draws.stepped(14, 40, 2),
        "load_a": draws.stepped(30, 50, 2),
        "external_ohm": draws.stepped(0.1, 0.3, 0.01),
    }
    way = breaker("way", board=SECOND, fed_by=SECOND, rated_current_a=rated, curve=curve)
    run = {each: cable(cross_section_mm2=size, protective_conductor_mm2=earth, length_m=each) for each in (10.0, 20.0)}
    first, other = (_two_boards(way, each, load, before) for each in run.values())
    both = _Limits(desk, (first, other), way)
    by_loop, by_drop = both.by_loop_m, both.by_drop_m
    right = min(by_loop, by_drop)
    if not 8 < right < 60 or abs(by_loop - by_drop) < 0.15 * right:
        raise RedrawError("the two limits lie too near to each other, or the run is odd")
    bare = min((both.most_ohm - before["external_ohm"]) / both.metre_ohm, both.most_v / both.metre_v)
    wrong: dict[Reason, float] = {
        ("M105", "loop_forgotten" if by_loop < by_drop else "drop_forgotten"): max(by_loop, by_drop),
        ("M78", "feeder_forgotten"): bare,
        ("M81", "there_and_back"): min(by_loop, by_drop / 2),
    }
    rows = _sections(desk, first, both, before, (size, earth, rated, curve.value, load))
    return Draft(
        answers=(number(right, "m", 1),),
        slips=number_slips({key: each for key, each in wrong.items() if abs(each - right) > 0.06 * right}, "m", 1),
        unit="m",
        tolerance=round(0.02 * right, 2),
        values={
            "by_loop": amount(by_loop, "m", 1),
            "by_drop": amount(by_drop, "m", 1),
            "spent": amount(both.spent_ohm, "ohm", 3),
            "most": amount(both.most_ohm, "ohm"),
            "spent_v": amount(both.spent_v, "V"),
            "most_v": amount(both.most_v, "V"),
            "place": desk.label(f"place_{draws.integer(1, 6)}"),
        },
        why="loop" if by_loop < by_drop else "drop",
        pack=(desk.sheet(rows[0]), second_sheet(desk, "final", rows[1])),
    )


Rows = list[tuple[str, str, str]]


def _sections(
    desk: Desk,
    of: Installation,
    both: _Limits,
    before: Mapping[str, float],
    final: tuple[float, float, float, str, float],
) -> tuple[Rows, Rows]:
    """What stands on the two papers: the way to the second board, and the final circuit."""
    size, earth, rated, curve, load = final
    to_board = both.spent_ohm - before["external_ohm"]
    milli = 1000.0
    return [
        (desk.label("row_external"), plain(before["external_ohm"]), "Ω"),
        (desk.label("row_feeder"), plain(to_board, 3), "Ω"),
        (desk.label("row_feeder_drop"), plain(both.spent_v), "V"),
    ], [
        (desk.label("row_way"), f"{amount(rated, 'A')}, curve {curve}", ""),
        (desk.label("row_most"), plain(both.most_ohm), "Ω"),
        (desk.label("row_load"), plain(load), "A"),
        (desk.label("row_cable"), f"{plain(size)}/{plain(earth)}", "mm²"),
        (desk.label("row_metre"), plain(both.metre_ohm * milli), "mΩ/m"),
        (desk.label("row_drop"), plain(tabulated_drop(of.circuits["final"], desk.limits)[0], 1), "mV/A/m"),
        (desk.label("row_allowed"), plain(both.most_v, 1), "V"),
    ]


FAMILIES: tuple[Family, ...] = (circuits_on_the_mains_and_in_an_island, longest_run_behind_a_second_board)
