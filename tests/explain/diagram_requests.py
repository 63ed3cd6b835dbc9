"""Requests for drawings with everything on them: marks, open decisions, faults."""

from __future__ import annotations

from random import Random

from trainer.domain.installation import Installation
from trainer.domain.vocabulary import Outcome
from trainer.explain.diagram.nodes import DARK, LIT, Mark, Reading
from trainer.explain.diagram.outline import Request

_RECORDS = ("boards", "devices", "circuits", "equipment")
_SIGNS = ("fault", "goes-dark", "may-go-dark", "verdict-must_trip", "verdict-not_required_to_trip")
_WORDS = ("28\u00a0mA: is not required to act", "overcurrent part must act in 100 ms", "goes dark", "W" * 60)


def paths_of(house: Installation) -> list[str]:
    """The path of every place that a drawing of the installation may have."""
    electrodes = ["earthing.electrode_resistance_ohm", "earthing.island_electrode_resistance_ohm"]
    whole = ["supply", "supply.fuse", "earthing", "surge", *electrodes]
    return whole + [f"{kind}.{key}" for kind in _RECORDS for key in getattr(house, kind)]


def crowded_request(house: Installation, seed: int) -> Request:
    """Every second place with a mark, every third with one or two readings of a fault, some lit, some open."""
    random = Random(seed)
    paths = paths_of(house)

    def some(share: float) -> list[str]:
        return [path for path in paths if random.random() < share]

    def reading() -> Reading:
        return Reading(sign=random.choice(_SIGNS), words=random.choice(_WORDS), tone="fault")

    undecided = [
        f"{path}.{name}"
        for path in some(0.3)
        for name in ("kind", "rcd_type", "fed_by", "cable", "direction", "arc_fault_detection")
        if random.random() < 0.4
    ]
    return Request(
        marks={path: Mark(outcome=random.choice(list(Outcome)), word="does not comply") for path in some(0.5)},
        undecided=frozenset(undecided if seed % 3 else ()),
        links=dict.fromkeys(some(0.3), "#there"),
        readings={path: tuple(reading() for _ in range(random.choice((1, 1, 2)))) for path in some(0.35)},
        tones={path: random.choice((LIT, LIT, DARK)) for path in some(0.4)},
    )
