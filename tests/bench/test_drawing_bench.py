"""How long the drawing of a large board takes; measured on demand, never asserted.

``pytest tests/bench/test_drawing_bench.py --benchmark-enable``
"""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.explain.houses import random_house
from trainer.domain.installation import Installation
from trainer.explain.diagram import cells
from trainer.explain.diagram.layout import drawing_of
from trainer.explain.diagram.outline import outline
from trainer.explain.diagram.render import single_line
from trainer.explain.engine import plain_engine

pytestmark = pytest.mark.bench


@pytest.fixture(scope="module")
def thirty() -> Installation:
    """A random installation of thirty circuits or little more."""
    return min((h for h in map(random_house, range(400)) if len(h.circuits) >= 30), key=lambda h: len(h.circuits))


def _drawn(house: Installation) -> str:
    return plain_engine().render("diagrams/single_line.svg", {"drawing": drawing_of(outline(house)), "prefix": "x"})


def test_thirty_circuits_as_svg(benchmark: BenchmarkFixture, thirty: Installation) -> None:
    assert benchmark(_drawn, thirty).startswith("<svg")


def test_thirty_circuits_as_svg_when_no_part_was_drawn_before(
    benchmark: BenchmarkFixture, thirty: Installation
) -> None:
    benchmark.pedantic(_drawn, (thirty,), setup=cells._cell.cache_clear, rounds=50)


def test_thirty_circuits_as_svg_and_in_words(benchmark: BenchmarkFixture, thirty: Installation) -> None:
    assert benchmark(single_line, thirty).twin
