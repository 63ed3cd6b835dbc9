"""Nothing in a drawing lies upon anything else: plane geometry on ten thousand random installations.

The trees hold one to some forty circuits on one or three phases, with the longest names, open decisions,
findings and the readings of a simulated fault all at once. What is checked is geometry alone; that the
estimated widths of texts are upper bounds is measured in a browser.
"""

from __future__ import annotations

import pytest

from tests.explain.diagram_requests import crowded_request
from tests.explain.houses import random_house
from trainer.explain.diagram.drawing import Box, Drawing
from trainer.explain.diagram.layout import drawing_of
from trainer.explain.diagram.outline import outline

SAMPLE, ALL, BLOCK = 400, 10_000, 500
_SLACK_PX = 0.01


def _crowded(seed: int) -> Drawing:
    house = random_house(seed)
    return drawing_of(outline(house, crowded_request(house, seed)))


def _boxes(drawing: Drawing) -> list[tuple[str, Box]]:
    """Texts and signs; those of frames that hold others are left out."""
    return [(text.words, text.box) for item in drawing.items for text in item.texts] + [
        (sign.name, sign.box) for item in drawing.items for sign in item.signs
    ]


def _wires(drawing: Drawing) -> list[tuple[str, Box]]:
    return [
        ("line", Box(x=min(w.x1, w.x2), y=min(w.y1, w.y2), width=abs(w.x2 - w.x1), height=abs(w.y2 - w.y1)))
        for w in drawing.wires
    ]


def _meets(a: Box, b: Box) -> bool:
    return (
        a.x < b.x + b.width - _SLACK_PX
        and b.x < a.x + a.width - _SLACK_PX
        and a.y < b.y + b.height - _SLACK_PX
        and b.y < a.y + a.height - _SLACK_PX
    )


def overlaps(drawing: Drawing) -> list[tuple[str, str]]:
    """Pairs of texts and signs that share area, found by a sweep from left to right."""
    found = []
    active: list[tuple[str, Box]] = []
    for name, box in sorted(_boxes(drawing), key=lambda each: each[1].x):
        active = [(other, each) for other, each in active if each.x + each.width > box.x + _SLACK_PX]
        found += [(other, name) for other, each in active if _meets(each, box)]
        active.append((name, box))
    return found


def crossed(drawing: Drawing) -> list[str]:
    """Texts through which a line runs."""
    wires = _wires(drawing)
    return [
        text.words
        for item in drawing.items
        for text in item.texts
        for _, wire in wires
        if text.box.x < wire.x + wire.width + 0.5
        and wire.x - 0.5 < text.box.x + text.box.width
        and text.box.y < wire.y + wire.height + 0.5
        and wire.y - 0.5 < text.box.y + text.box.height
    ]


def outside(drawing: Drawing) -> list[str]:
    """What does not lie on the sheet."""
    sheet = Box(x=0.0, y=0.0, width=drawing.width, height=drawing.height)
    return [name for name, box in _boxes(drawing) if not sheet.holds(box)]


def lit_apart_from_wires(drawing: Drawing) -> list[tuple[float, float]]:
    """Corners of the lit way that lie on no line and no sign of the drawing."""
    held = [*_wires(drawing), *((sign.name, sign.box) for item in drawing.items for sign in item.signs)]
    frames = [item.frame for item in drawing.items if item.frame]
    held += [("frame", frame) for frame in frames]
    return [
        (x, y)
        for line in drawing.lit
        for x, y in line
        if not any(b.x - 1 <= x <= b.x + b.width + 1 and b.y - 1 <= y <= b.y + b.height + 1 for _, b in held)
    ]


def _faults_of(seed: int) -> dict[str, object]:
    drawing = _crowded(seed)
    found = {
        "overlaps": overlaps(drawing),
        "crossed": crossed(drawing),
        "outside": outside(drawing),
        "lit beside the lines": lit_apart_from_wires(drawing),
    }
    return {name: wrong for name, wrong in found.items() if wrong}


@pytest.mark.parametrize("start", range(0, SAMPLE, 100))
def test_nothing_lies_upon_anything_else(start: int) -> None:
    assert {seed: wrong for seed in range(start, start + 100) if (wrong := _faults_of(seed))} == {}


@pytest.mark.slow
@pytest.mark.parametrize("start", range(SAMPLE, ALL, BLOCK))
def test_nothing_lies_upon_anything_else_in_ten_thousand(start: int) -> None:
    seeds = range(start, min(start + BLOCK, ALL))
    assert {seed: wrong for seed in seeds if (wrong := _faults_of(seed))} == {}


def test_the_sample_reaches_from_one_circuit_to_more_than_thirty_on_one_and_three_phases() -> None:
    houses = [random_house(seed) for seed in range(SAMPLE)]
    sizes = {len(house.circuits) for house in houses}
    assert min(sizes) <= 1
    assert max(sizes) >= 30
    assert {house.supply.phases for house in houses} == {1, 3}


def test_the_check_sees_an_overlap() -> None:
    drawing = next(each for each in map(_crowded, range(20)) if each.items and each.items[0].texts)
    twice = Drawing(
        title="",
        description="",
        width=drawing.width,
        height=drawing.height,
        items=drawing.items + drawing.items[:1],
        wires=drawing.wires,
        dots=drawing.dots,
    )
    assert overlaps(twice)
