"""Tasks of one archetype and level are alike in length and in the number of decisions."""

from __future__ import annotations

import pytest

from tests.domain.generator.drawn import task
from trainer.domain.generator.evening import STEPS
from trainer.domain.generator.features import features_of
from trainer.domain.generator.reading_load import BAND, ReadingLoadError, filling, words_to_read
from trainer.domain.tasks import Sheet, SheetKind, SheetRow
from trainer.services.scenarios import scenarios

SEEDS = range(300, 306)
FAMILIES = [(each.id, level) for each in scenarios().archetypes.values() for level in each.levels]


@pytest.mark.parametrize(("archetype", "level"), FAMILIES)
def test_the_words_to_read_of_a_family_lie_within_15_percent(archetype, level):
    counts = [features_of(task(seed, level, archetype)).words for seed in SEEDS]
    assert max(counts) - min(counts) <= 0.15 * scenarios().archetypes[archetype].words[level]


@pytest.mark.parametrize("level", sorted(STEPS))
def test_a_level_asks_between_its_fewest_and_its_most_decisions(level):
    few, many = STEPS[level]
    assert all(few <= len(task(seed, level).decisions) <= many for seed in range(400, 430))


def test_words_are_counted_in_title_story_rows_notes_and_options():
    sheet = Sheet(id="s", title="One two", kind=SheetKind.SURVEY, rows=(SheetRow(label="a", value="3", unit="A"),))
    assert words_to_read(("three more words",), (sheet,), ()) == 2 + 3 + 3


def test_short_papers_get_remarks_until_they_are_of_the_usual_length():
    remarks = ["one two three four five"] * 10
    assert len(filling(80, 100, remarks)) == 4


def test_papers_of_the_usual_length_get_no_remark():
    assert filling(100, 100, ["a remark"]) == ()


def test_papers_that_are_too_long_ask_for_fewer_circuits():
    with pytest.raises(ReadingLoadError) as caught:
        filling(round(1000 * (1 + BAND)) + 60, 1000, [])
    assert caught.value.step < 0


def test_papers_that_remarks_cannot_fill_ask_for_more_circuits():
    with pytest.raises(ReadingLoadError) as caught:
        filling(600, 1000, ["one"])
    assert caught.value.step > 0
