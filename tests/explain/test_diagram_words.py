"""The drawing and its text twin say the same, and neither says what is still to be decided."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest
from lxml import etree

from tests.explain.houses import four_sources, random_house
from trainer.domain.answers.decisions import Edit, apply_edits
from trainer.domain.equipment import ChargerEarthing
from trainer.domain.installation import Installation
from trainer.domain.supply import SurgeDeviceType
from trainer.domain.vocabulary import Curve, DeviceKind, Direction, Outcome, RcdType, ResidualDelay
from trainer.explain.diagram.nodes import Mark
from trainer.explain.diagram.outline import Request, outline
from trainer.explain.diagram.render import every_node, single_line

SVG = "{http://www.w3.org/2000/svg}"

# A path that somebody may have to decide, with values that must not be told apart while it is open.
CHOICES = {
    "devices.way1.kind": (DeviceKind.RCBO, DeviceKind.CIRCUIT_BREAKER, DeviceKind.FUSE),
    "devices.way1.rcd_type": (None, *RcdType),
    "devices.way1.rated_residual_operating_current_ma": (None, 30.0, 300.0),
    "devices.way1.residual_delay": (None, ResidualDelay.GENERAL, ResidualDelay.S),
    "devices.way1.direction": (None, *Direction),
    "devices.way1.poles": (1, 2, 4),
    "devices.way1.curve": (None, *Curve),
    "devices.way1.rated_current_a": (16.0, 40.0),
    "devices.way1.arc_fault_detection": (False, True),
    "devices.way1.fed_by": ("main", "rccb"),
    "devices.way1.breaking_capacity_ka": (None, 6.0, 10.0),
    "devices.way1.direct_current_detection_ma": (None, 6.0),
    "circuits.charger.fed_by": ("way1", "way5"),
    "circuits.charger.cable.cross_section_mm2": (4.0, 16.0),
    "circuits.charger.cable.duplicated_protective_conductor": (False, True),
    "circuits.charger.cable": (None,),
    "equipment.wallbox.charger.earthing": (None, *ChargerEarthing),
    "equipment.store.source.neutral_earth_link": (None,),
    "equipment.store.source.island": (False, True),
    "earthing.island_electrode_resistance_ohm": (None, 40.0),
    "earthing.main_bonding_mm2": (None, 6.0, 16.0),
    "surge.device": (None, *SurgeDeviceType),
}


def _same_words_twice(house: Installation, request: Request) -> tuple[set[str], set[str]]:
    diagram = single_line(house, request)
    root = etree.fromstring(str(diagram.svg))
    drawn = {title.text or "" for title in root.iter(f"{SVG}title")}
    twin = unescape(re.sub(r"<[^>]+>", "\n", str(diagram.twin)))
    return drawn, {line.strip(" :\n") for line in twin.splitlines() if line.strip()}


@pytest.mark.parametrize(("path", "values"), CHOICES.items(), ids=str)
def test_an_undecided_value_does_not_change_the_drawing(path: str, values: tuple[object, ...]) -> None:
    house = four_sources()
    request = Request(undecided=frozenset({path}))
    drawn = {
        (str(diagram.svg), str(diagram.twin))
        for value in values
        for diagram in [single_line(apply_edits(house, [Edit(path=path, value=value)]), request)]
    }
    as_it_is = single_line(house, request)
    drawn.add((str(as_it_is.svg), str(as_it_is.twin)))
    assert len(drawn) == 1
    assert "?" in as_it_is.twin or "Place in the board to be chosen" in as_it_is.twin


@pytest.mark.parametrize(("path", "values"), CHOICES.items(), ids=str)
def test_a_decided_value_shows(path: str, values: tuple[object, ...]) -> None:
    twins = {str(single_line(apply_edits(four_sources(), [Edit(path=path, value=value)])).twin) for value in values}
    assert len(twins | {str(single_line(four_sources()).twin)}) > 1


@pytest.mark.parametrize("seed", range(60))
def test_every_fact_stands_in_the_drawing_and_in_the_list(seed: int) -> None:
    house = random_house(seed)
    diagram = single_line(house)
    drawing, twin = unescape(str(diagram.svg)), unescape(str(diagram.twin))
    for node in every_node(outline(house)):
        for fact in (*node.told, node.name):
            assert fact in drawing
            assert fact in twin


@pytest.mark.parametrize("seed", range(60))
def test_the_list_says_no_more_than_the_drawing(seed: int) -> None:
    house = random_house(seed)
    drawn, listed = _same_words_twice(house, Request())
    known = " ".join(drawn) + " ".join(node.name for node in every_node(outline(house)))
    for line in listed:
        for fact in re.split(r", ", line):
            assert fact in known or fact.startswith("way "), fact


def test_the_drawing_is_named_and_described_and_carries_no_style_of_its_own(house: Installation) -> None:
    svg = str(single_line(house).svg)
    root = etree.fromstring(svg)
    named = root.get("aria-labelledby", "").split()
    assert [root.xpath(f"string(//*[@id='{key}'])") != "" for key in named] == [True, True]
    assert root.get("role") == "img"
    assert "style" not in {name for element in root.iter() for name in element.attrib}
    assert not [*root.iter(f"{SVG}style"), *root.iter(f"{SVG}script")]


def test_every_sign_that_is_used_is_defined() -> None:
    for seed in range(80):
        root = etree.fromstring(str(single_line(random_house(seed)).svg))
        ids = {element.get("id") for element in root.iter() if element.get("id")}
        assert {use.get("href", "")[1:] for use in root.iter(f"{SVG}use")} <= ids


def test_labels_are_escaped(house: Installation) -> None:
    nasty = replace(house.devices["way1"], label='<script>alert("1")</script>')
    changed = replace(house, devices={**house.devices, "way1": nasty})
    diagram = single_line(changed)
    assert "<script" not in diagram.svg + diagram.twin
    etree.fromstring(str(diagram.svg))


def test_a_mark_shows_as_shape_word_and_class(house: Installation) -> None:
    mark = Mark(outcome=Outcome.DOES_NOT_COMPLY, word="does not comply")
    diagram = single_line(house, Request(marks={"devices.way1": mark}))
    assert '<g class="node device does_not_comply "' in diagram.svg
    assert 'href="#house-outcome-does_not_comply"' in diagram.svg
    assert ">does not comply</text>" in diagram.svg
    assert "does not comply</span>" in diagram.twin


def test_a_place_with_a_link_leads_there_and_the_drawing_is_then_a_group(house: Installation) -> None:
    svg = str(single_line(house, Request(links={"devices.way1": "#choose-way1"})).svg)
    assert '<a href="#choose-way1" data-place="devices.way1">' in svg
    assert 'role="group"' in svg
