"""The way of a fault current through the drawing, followed by hand in a house that is written out."""

from __future__ import annotations

import re

from lxml import etree

from tests.explain.houses import four_sources
from trainer.domain.faults.walk import FaultWalk, Mode, WalkKind
from trainer.domain.faults.walks import fault_walks
from trainer.explain.diagram.fault_path import amount, fault_path
from trainer.explain.diagram.nodes import LIT
from trainer.explain.diagram.outline import Request
from trainer.explain.diagram.render import single_line
from trainer.explain.walks import walk_key

HOUSE = four_sources()


def _walk(circuit: str, kind: WalkKind, mode: Mode = Mode.MAINS, equipment: str | None = None) -> FaultWalk:
    return next(
        each
        for each in fault_walks(HOUSE)
        if (each.place.circuit, each.kind, each.mode, each.place.equipment) == (circuit, kind, mode, equipment)
    )


def _lit(walk: FaultWalk) -> set[str]:
    return {path for path, tone in fault_path(walk, HOUSE, str).tones.items() if tone == LIT}


def test_a_fault_in_the_garage_runs_through_both_boards_to_the_supply_and_its_earth() -> None:
    # By hand: way 2 of the garage board, its switch, the cable from way 5, the RCCB, the main switch, the fuse.
    assert _lit(_walk("gsockets", WalkKind.RESISTIVE)) == {
        "circuits.gsockets",
        "devices.g2",
        "devices.gmain",
        "boards.garage",
        "circuits.garage",
        "devices.way5",
        "devices.rccb",
        "devices.main",
        "boards.cu",
        "supply.fuse",
        "earthing",
    }


def test_in_an_island_the_current_turns_back_at_the_board_that_both_branches_share() -> None:
    # By hand: battery and sockets hang on the same switch of the garage board; above it nothing flows.
    assert _lit(_walk("gsockets", WalkKind.RESISTIVE, Mode.ISLAND)) == {
        "circuits.gsockets",
        "devices.g2",
        "circuits.battery",
        "devices.g1",
        "equipment.store",
    }


def test_every_device_that_answers_carries_its_current_and_its_verdict() -> None:
    walk = _walk("gsockets", WalkKind.RESISTIVE)
    readings = fault_path(walk, HOUSE, str).readings
    assert walk.steps
    for step in walk.steps:
        words = [each.words for each in readings[f"devices.{step.device}"]]
        assert any(word.startswith(f"{step.residual_current_ma:.0f}\u00a0mA: ") for word in words)
    assert readings["circuits.gsockets"][0].words == "fault here"


def test_what_goes_dark_says_so_at_each_circuit() -> None:
    walk = next(each for each in fault_walks(HOUSE) if each.goes_dark)
    readings = fault_path(walk, HOUSE, str).readings
    for circuit in walk.goes_dark:
        assert "goes dark" in [each.words for each in readings[f"circuits.{circuit}"]]


def test_the_drawing_and_its_twin_tell_every_reading_and_the_way_is_one_more_line() -> None:
    walk = _walk("charger", WalkKind.BOLTED)
    shown = fault_path(walk, HOUSE, str)
    diagram = single_line(HOUSE, Request(readings=shown.readings, tones=shown.tones))
    drawn = " ".join(
        "".join(each.itertext()) for each in etree.fromstring(str(diagram.svg)).iter("{http://www.w3.org/2000/svg}text")
    )
    for readings in shown.readings.values():
        for reading in readings:
            assert reading.words in diagram.twin
            assert re.sub(r"\s+", " ", reading.words) in re.sub(r"\s+", " ", drawn)
    assert diagram.svg.count('<path class="lit"') == 1
    on_the_way = [path for path, tone in shown.tones.items() if tone == LIT]
    assert diagram.twin.count("on the way of the current") == len(on_the_way)
    assert single_line(HOUSE).svg.count('class="lit"') == 0


def test_a_large_current_is_told_in_amperes() -> None:
    assert amount(28.4) == "28\u00a0mA"
    assert amount(412_000.0) == "412\u00a0A"


def test_no_two_faults_share_an_address() -> None:
    keys = [walk_key(walk) for walk in fault_walks(HOUSE)]
    assert len(keys) == len(set(keys))
