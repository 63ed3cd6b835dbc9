"""Questions that happen to ask what a published example or a hand calculation answers, by subject.

The seed is searched for, the expected answer is written down here with its source.
"""

from __future__ import annotations

import pytest

from tests.domain.questions.asked import drafted, question
from trainer.domain.asks.answers import canonical, is_right
from trainer.domain.tasks import Task


def asking(family: str, *parts: str) -> Task:
    """The first question of a family that holds all parts, in words or in the rows of its sheet."""
    for seed in range(4000):
        task = question(family, seed)
        text = " ".join([task.asks[0].question, *(row.value for sheet in task.pack for row in sheet.rows)])
        if all(part.replace(" ", "\u00a0", 1) in text or part in text for part in parts):
            return task
    raise AssertionError(f"no seed asks {parts}")


EXAMPLES = [
    # Table 41.3, seen in a public text: 32 A, curve B 1.37 ohm; 16 A, curve C 1.37; 10 A, curve D 1.09.
    pytest.param("largest_loop_of_a_breaker", ("32 A", "curve B"), "1.37 ohm", id="loop of B32"),
    pytest.param("largest_loop_of_a_breaker", ("16 A", "curve C"), "1370 mΩ", id="loop of C16 in another unit"),
    pytest.param("largest_loop_of_a_breaker", ("10 A", "curve D"), "1.09", id="loop of D10 without unit"),
    # Annex A722, single phase, from memory: 70 x 230 / (60 x (253 - 70)) = 1.466 ohm.
    pytest.param("electrode_on_one_phase", ("60 A in all",), "1.47", id="electrode at 60 A"),
    # 3.68 kW at 230 V are 16 A; two points of 16 A without load management are 32 A (722.311.201, public text).
    pytest.param("current_of_a_chargers_circuit", ("two", "16 A"), "32", id="two points of 16 A"),
    # Table 4D5, seen in a public text for 1.0 and 1.5 only: 2.5 mm2 clipped direct 27 A, from memory.
    pytest.param("rating_of_a_flat_cable", ("2.5 mm²", "masonry wall"), "27 A", id="2.5 clipped direct"),
    # Table 4E4A, from memory: 6 mm2 in the ground 53 A.
    pytest.param("rating_of_an_armoured_cable", ("6 mm²", "buried"), "53 A", id="6 buried"),
    # A trade body's list of maximum measured Zs gives 1.1 ohm for B32 (0.8 x 1.37, rounded up to 1.10).
    pytest.param("largest_reading_of_a_cold_loop", ("32 A", "curve B"), "1.09", id="cold reading of B32"),
    # Table 41.5, seen in a public text: 1667 ohm for 30 mA, so 1200 ohm comply but are worth an advice.
    pytest.param("electrode_against_200_ohm", ("1200 Ω",), "advise", id="1200 ohm at 30 mA"),
    # Table 41.5: 500 ohm for 100 mA, 167 for 300 mA; 250 ohm takes 100 mA.
    pytest.param("largest_device_for_an_electrode", ("250 Ω",), "r100", id="250 ohm"),
    # Table 54.8, from memory: 10 mm2 up to 35 mm2 of neutral, 16 up to 50, 25 up to 95.
    pytest.param("size_of_main_bonding", ("PME", "35 mm²"), "s10", id="bonding at 35"),
    pytest.param("size_of_main_bonding", ("PME", "70 mm²"), "s25", id="bonding at 70"),
    # Table 54.7: 16 mm2 for lines of 25 and 35 mm2.
    pytest.param("protective_conductor_by_the_table", ("35 mm²",), "s16", id="table 54.7 at 35"),
    # Table 52.3 shares of 230 V: 3 % are 6.9 V; 1.5 mm2 drops 29 mV/A/m, at 10 A that is 23.8 m.
    pytest.param("longest_run_within_the_drop", ("lighting", "10 A", "1.5 mm²"), "23.8", id="lighting 10 A on 1.5"),
    # 722.531.3.101, from memory: a detector at 6 mA beside type A; a silent sheet takes type B.
    pytest.param(
        "device_by_the_chargers_sheet", ("see the instructions of the vehicle maker",), "b", id="silent sheet"
    ),
    # G98, seen in a public text: each inverter counts, 16 A a line in all.
    pytest.param("registered_capacity", ("16 A", "8 A"), None, id="sum of inverters"),
]


@pytest.mark.parametrize(("family", "parts", "expected"), EXAMPLES)
def test_the_answer_is_that_of_the_published_or_worked_example(family, parts, expected):
    task = asking(family, *parts)
    ask, key = drafted(task)
    if expected is None:
        expected = f"{sum(float(each) for each in _amps(ask.question)):g} A"
    assert is_right(ask, key, canonical(ask, expected)), (ask.question, key.answers)


def _amps(text: str) -> list[str]:
    import re

    return re.findall(r"(\d+)\u00a0A", text)
