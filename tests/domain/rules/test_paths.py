"""What lies beyond a circuit, and what flows on one line; by hand on a house with two boards in line and one beside."""

from __future__ import annotations

import pytest

from tests.domain.houses import breaker, cable, circuit, house, item
from trainer.domain.devices import Board
from trainer.domain.rules.paths import equipment_beyond
from trainer.domain.rules.sources import _on_one_line


@pytest.mark.parametrize(
    ("name", "beyond"),
    [
        ("to-garage", {"heater", "saw", "pump"}),
        ("to-shed", {"saw"}),
        ("to-barn", {"kettle"}),
        ("heating", {"heater"}),
        ("cooking", {"oven"}),
    ],
)
def test_beyond_a_circuit_lies_what_its_boards_feed_and_nothing_beside(name: str, beyond: set[str]) -> None:
    # main: to-garage, to-barn, cooking; garage: heating, pumping, to-shed; shed: sawing; barn: brewing.
    fed = {
        "to-garage": ("main", "garage"),
        "to-barn": ("main", "barn"),
        "cooking": ("main", ""),
        "heating": ("garage", ""),
        "pumping": ("garage", ""),
        "to-shed": ("garage", "shed"),
        "sawing": ("shed", ""),
        "brewing": ("barn", ""),
    }
    records = [Board(id=to, fed_by=each) for each, (_, to) in fed.items() if to]
    for each, (board, _) in fed.items():
        head = {} if board == "main" else {"fed_by": board}
        records += [breaker(f"way-{each}", board=board, **head), circuit(each, f"way-{each}", cable=cable())]
    for thing, end in (
        ("heater", "heating"),
        ("pump", "pumping"),
        ("saw", "sawing"),
        ("kettle", "brewing"),
        ("oven", "cooking"),
    ):
        records.append(item(thing, end))
    of = house(*records)
    assert {each.id for each in equipment_beyond(of, of.circuits[name])} == beyond


@pytest.mark.parametrize(
    ("phases", "lines", "together"),
    [
        ((1, 1), ("L1", "L1"), True),
        ((1, 1), ("L1", "L2"), False),
        ((1, 1), ("L3", "L2"), False),
        ((3, 1), ("L1", "L2"), True),
        ((1, 3), ("L3", "L2"), True),
        ((3, 3), ("L1", "L2"), True),
    ],
)
def test_two_circuits_meet_on_a_line_where_it_is_the_same_or_one_has_all_three(
    phases: tuple[int, int], lines: tuple[str, str], *, together: bool
) -> None:
    # a line is the same by its name: those of a file are read one by one, and are not one object
    named = ("".join(list(line)) for line in lines)
    one, other = (circuit(n, "way", phases=p, line=line) for n, p, line in zip("ab", phases, named, strict=True))
    assert _on_one_line(one, other) is together
