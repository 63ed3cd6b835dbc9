"""The drawing never lays one thing upon another, whatever the tree.

Checked by plane geometry on the drawn boxes, for trees that no designer would make. That the
estimated text widths are upper bounds is checked in a browser by ``test_diagram_in_browser``.
"""

from __future__ import annotations

from itertools import combinations

import pytest

from tests.explain.houses import random_house
from trainer.domain.installation import Installation
from trainer.domain.vocabulary import Outcome
from trainer.explain.diagram.drawing import Box, Drawing, Wire
from trainer.explain.diagram.layout import drawing_of
from trainer.explain.diagram.nodes import Mark
from trainer.explain.diagram.outline import Request, outline

SEEDS = range(400)


def _paths(house: Installation) -> list[str]:
    records = ("boards", "devices", "circuits", "equipment")
    return ["supply", "earthing"] + [f"{kind}.{key}" for kind in records for key in getattr(house, kind)]


def _drawing(seed: int) -> Drawing:
    house = random_house(seed)
    paths = _paths(house)
    marks = {path: Mark(outcome=list(Outcome)[i % 4], word="does not comply") for i, path in enumerate(paths) if i % 3}
    undecided = frozenset(
        f"{path}.{name}"
        for i, path in enumerate(paths)
        for name in ("kind", "rcd_type", "fed_by", "cable", "direction", "arc_fault_detection")
        if (i + len(name)) % 7 == 0
    )
    request = Request(marks=marks if seed % 2 else {}, undecided=undecided if seed % 3 else frozenset())
    return drawing_of(outline(house, request))


def _thickened(wire: Wire) -> Box:
    return Box(
        x=min(wire.x1, wire.x2) - 0.5,
        y=min(wire.y1, wire.y2) - 0.5,
        width=abs(wire.x2 - wire.x1) + 1.0,
        height=abs(wire.y2 - wire.y1) + 1.0,
    )


def _inked(drawing: Drawing) -> list[tuple[str, Box]]:
    boxes = [(text.words, text.box) for item in drawing.items for text in item.texts]
    return boxes + [(sign.name, sign.box) for item in drawing.items for sign in item.signs]


@pytest.mark.parametrize("block", [SEEDS[i : i + 50] for i in range(0, len(SEEDS), 50)], ids=str)
def test_no_text_and_no_sign_lies_upon_another(block: range) -> None:
    for seed in block:
        boxes = sorted(_inked(_drawing(seed)), key=lambda entry: entry[1].x)
        for (first, a), (second, b) in combinations(boxes, 2):
            assert not a.meets(b), f"seed {seed}: {first!r} lies upon {second!r}"


@pytest.mark.parametrize("seed", range(0, 400, 3))
def test_no_line_runs_through_a_text(seed: int) -> None:
    drawing = _drawing(seed)
    wires = [_thickened(wire) for wire in drawing.wires]
    for item in drawing.items:
        for text in item.texts:
            for wire in wires:
                assert not text.box.meets(wire), f"seed {seed}: a line runs through {text.words!r}"


@pytest.mark.parametrize("seed", range(0, 400, 3))
def test_frames_stand_apart_and_hold_their_heading(seed: int) -> None:
    drawing = _drawing(seed)
    framed = [(item, item.frame) for item in drawing.items if item.frame and item.kind in ("board", "unplaced")]
    for (_, one), (_, other) in combinations(framed, 2):
        assert not one.meets(other), f"seed {seed}: two boards overlap"
    for item, frame in framed:
        assert all(frame.holds(text.box) for text in item.texts), f"seed {seed}: a heading leaves its board"


@pytest.mark.parametrize("seed", range(0, 400, 3))
def test_everything_lies_on_the_sheet(seed: int) -> None:
    drawing = _drawing(seed)
    sheet = Box(x=0.0, y=0.0, width=drawing.width, height=drawing.height)
    for what, box in _inked(drawing):
        assert sheet.holds(box), f"seed {seed}: {what!r} leaves the sheet"


@pytest.mark.parametrize("seed", range(0, 400, 3))
def test_a_text_belongs_to_one_frame_or_to_none(seed: int) -> None:
    drawing = _drawing(seed)
    frames = [item.frame for item in drawing.items if item.frame and item.kind in ("board", "unplaced")]
    for item in drawing.items:
        for text in item.texts:
            for frame in frames:
                assert frame.holds(text.box) or not frame.meets(text.box), f"seed {seed}: {text.words!r}"
