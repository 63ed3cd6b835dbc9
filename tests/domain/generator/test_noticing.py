"""What was there before the job: one thing that is wrong, told as found, and kept only by those who do not look."""

from __future__ import annotations

import pytest

from tests.domain.generator.drawn import findings, made, with_choices
from trainer.services.scenarios import scenarios

SEEDS = range(60)
EXISTING = {trap.id for trap in scenarios().traps.values() if trap.existing}


def kept(seed: int):
    one = made(seed, 5).task
    return one, [trap for trap in one.key.traps if trap.id in EXISTING]


def test_every_task_of_level_5_asks_about_what_was_there_and_says_how_it_was_found():
    for seed in SEEDS:
        one, _ = kept(seed)
        survey = next(sheet for sheet in one.pack if sheet.id == "survey")
        told = [row.value for row in survey.rows if "as found:" in row.value]
        assert 1 <= len(told) <= 2, seed


def test_keeping_what_was_wrong_fails_by_the_rule_of_the_trap():
    seen = 0
    for seed in SEEDS:
        one, traps = kept(seed)
        for trap in traps:
            failing = {f.rule.id for f in findings(with_choices(one, {trap.decision: trap.option})) if f.fails}
            assert trap.rule in failing
            seen += 1
    assert seen > 20


def test_a_type_ac_is_found_only_in_a_board_of_the_years_in_which_it_was_fitted():
    for seed in range(400):
        one, traps = kept(seed)
        if any(trap.id == "type_ac_kept" for trap in traps):
            assert one.house.boards["main"].year_installed < 2019
            return
    pytest.fail("no existing type AC in four hundred seeds")


def test_the_honest_house_holds_no_trap():
    for seed in range(600):
        each = made(seed, 2)
        if each.focus == "honest_house":
            assert each.task.key.traps == ()
            return
    pytest.fail("no honest house in six hundred seeds")
