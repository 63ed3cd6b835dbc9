"""Variants: the same for the same key, another for another number, each with its objectives, marks scaled fairly."""

from __future__ import annotations

import hashlib
import statistics

import pytest

from trainer.domain.generator.exercised import exercised
from trainer.domain.generator.features import features_of
from trainer.domain.tasks import TaskKind
from trainer.services.answering import weights_of
from trainer.services.papers.blueprint import Blueprint, BlueprintError, Slot
from trainer.services.papers.variants import draw_items, scaled_marks, variant_seed
from trainer.services.proving.difficulty import WITHIN_PERCENT

KEY = "a key that only tests use"
BLUEPRINT = Blueprint(
    slots=(
        Slot(kind=TaskKind.CHOOSE, level=1, objectives=("LO02",)),
        Slot(kind=TaskKind.QUESTION, level=2, objectives=("LO02",), count=3, marks=2),
    )
)


def test_the_same_key_and_number_draw_the_same_tasks() -> None:
    assert draw_items(BLUEPRINT, KEY, 3) == draw_items(BLUEPRINT, KEY, 3)


def test_variants_differ_and_so_do_papers() -> None:
    seeds = [{each.seed for each in draw_items(BLUEPRINT, key, n)} for key in (KEY, "other") for n in (1, 2)]
    assert all(not one & other for place, one in enumerate(seeds) for other in seeds[place + 1 :])


def test_each_task_exercises_the_objectives_of_its_slot() -> None:
    for number in range(1, 6):
        for item in draw_items(BLUEPRINT, KEY, number):
            assert "LO02" in exercised(item.task)


def test_variants_of_an_item_share_premises_or_family_kind_and_level() -> None:
    drawn = [draw_items(BLUEPRINT, KEY, number) for number in range(1, 6)]
    for items in zip(*drawn, strict=True):
        assert len({(each.task.archetype, each.task.kind, each.task.level) for each in items}) == 1


def test_the_tasks_of_one_slot_are_of_different_families() -> None:
    items = draw_items(BLUEPRINT, KEY, 1)
    assert len({each.task.archetype for each in items if each.slot == 2}) == 3


def test_a_pinned_seed_is_everybodys_task_and_a_barred_one_nobodys() -> None:
    first = draw_items(BLUEPRINT, KEY, 1)[0]
    barred = Blueprint(slots=BLUEPRINT.slots, barred_seeds=(first.seed,))
    assert draw_items(barred, KEY, 1)[0].seed != first.seed
    pinned = Blueprint(slots=(Slot(kind=TaskKind.CHOOSE, level=1, pinned_seeds=(first.seed,)),))
    assert {draw_items(pinned, KEY, number)[0].seed for number in (1, 2, 3)} == {first.seed}


def test_a_slot_that_cannot_be_drawn_is_named() -> None:
    impossible = Slot(kind=TaskKind.QUESTION, level=1, objectives=("LO39", "LO01", "LO03"))
    with pytest.raises(BlueprintError) as caught:
        draw_items(Blueprint(slots=(BLUEPRINT.slots[0], impossible)), KEY, 1)
    assert [each.path for each in caught.value.problems] == ["part 2: objectives"]


def test_the_seed_is_that_of_a_keyed_blake2b() -> None:
    # A second method: the standard library called as RFC 7693 names the parameters.
    digest = hashlib.blake2b(b"2:5:0", digest_size=8, key=KEY.encode(), person=b"papervariant").digest()
    assert variant_seed(KEY, 2, 5) == int.from_bytes(digest, "big") & (2**63 - 1)


@pytest.mark.parametrize(
    ("earned", "available", "worth", "expected"),
    [
        # By hand: 10 * 12/24 = 5; 10 * 13/24 = 5.42; 10 * 15/24 = 6.25; 4 * 5/8 = 2.5 counts up.
        (12, 24, 10, 5),
        (13, 24, 10, 5),
        (15, 24, 10, 6),
        (5, 8, 4, 3),
        (24, 24, 10, 10),
        # 10 * 23/24 = 9.58 would be all of them, though something was wrong.
        (23, 24, 10, 9),
        (3, 4, 1, 0),
        (0, 24, 10, 0),
    ],
)
def test_marks_are_scaled_to_the_worth_of_the_slot(earned: int, available: int, worth: int, expected: int) -> None:
    assert scaled_marks(earned, available, worth) == expected


@pytest.mark.parametrize(("level", "objective"), [(1, "LO02"), (2, "LO02"), (4, "LO40")])
def test_variants_are_equally_hard(level: int, objective: str) -> None:
    """The features that make a task hard, counted by the generator's own count, over six learners."""
    slot = Slot(kind=TaskKind.CHOOSE, level=level, objectives=(objective,))
    tasks = [draw_items(Blueprint(slots=(slot,)), KEY, number)[0].task for number in range(1, 7)]
    features = [features_of(task) for task in tasks]
    steps = [each.steps for each in features]
    assert max(steps) - min(steps) <= 1
    for values in ([each.words for each in features], [sum(weights_of(task)) for task in tasks]):
        assert max(values) - min(values) <= WITHIN_PERCENT / 100 * statistics.median(values)


def test_seeds_of_other_learners_and_tasks_are_others_and_use_every_bit() -> None:
    """Sixty-three bits, all of them used: half of them set in the mean, as NIST SP 800-22 counts single bits."""
    seeds = [variant_seed(KEY, number, position) for number in range(1, 101) for position in range(1, 11)]
    assert len(set(seeds)) == len(seeds)
    ones = sum(seed.bit_count() for seed in seeds) / (63 * len(seeds))
    # Five standard deviations of the mean of 63,000 fair bits.
    assert abs(ones - 0.5) < 5 * 0.5 / (63 * len(seeds)) ** 0.5
