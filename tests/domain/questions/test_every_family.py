"""What must hold of every question of every family, over many seeds."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from tests.domain.questions.asked import ask_and_key, made, question, words
from trainer.domain.asks.answers import canonical, is_right, told
from trainer.domain.asks.forms import AskForm, FigureKind
from trainer.domain.asks.marking import grade_asks, recognised_wrong
from trainer.domain.asks.units import is_unit
from trainer.domain.generator.judging import RULE_BY_ID
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.questions.houses import plain
from trainer.domain.questions.making import ASK
from trainer.domain.tasks import TaskKind
from trainer.services.scenarios import scenarios

SEEDS = range(40)
FAMILIES = [pytest.param(each, id=each.id) for each in ALL_FAMILIES]
SIDE_BY_SIDE = 0.8
"""No place among the choices may hold the right answer in more than this share of seeds."""


@pytest.mark.parametrize("family", FAMILIES)
def test_the_right_answer_is_marked_right_and_every_foreseen_wrong_one_wrong(family):
    for seed in SEEDS:
        task = question(family.id, seed)
        _, key = ask_and_key(task)
        for answer in key.answers:
            grade = grade_asks(task, {ASK: answer})
            assert grade.marks == grade.marks_available > 0, (seed, answer)
        for wrong in key.wrongs:
            grade = grade_asks(task, {ASK: wrong.answer})
            assert grade.marks == 0, (seed, wrong)
            assert grade.decisions[0].misconception == wrong.misconception, (seed, wrong)


@pytest.mark.parametrize("family", FAMILIES)
def test_answers_have_one_spelling_and_can_be_told(family):
    for seed in SEEDS:
        ask, key = ask_and_key(question(family.id, seed))
        for answer in (*key.answers, *(each.answer for each in key.wrongs)):
            assert canonical(ask, answer) == answer
            assert told(ask, answer)


@pytest.mark.parametrize("family", FAMILIES)
def test_no_two_choices_read_alike_and_no_two_wrong_answers_coincide(family):
    for seed in SEEDS:
        ask, key = ask_and_key(question(family.id, seed))
        for side in (ask.choices, ask.partners):
            assert len({each.label.casefold() for each in side}) == len(side), seed
        for wrong in key.wrongs:
            assert not is_right(ask, key, wrong.answer)
            assert recognised_wrong(ask, key, wrong.answer) is wrong


@pytest.mark.parametrize("family", FAMILIES)
def test_every_choice_that_is_not_right_has_its_reason(family):
    if family.form not in (AskForm.ONE, AskForm.POINT):
        return
    for seed in SEEDS:
        ask, key = ask_and_key(question(family.id, seed))
        assert {each.id for each in ask.choices} == {key.model, *(each.answer for each in key.wrongs)}


@pytest.mark.parametrize("family", FAMILIES)
def test_wrong_answers_come_from_known_misconceptions_and_each_of_them_occurs(family):
    met = {wrong.misconception for seed in range(150) for wrong in ask_and_key(question(family.id, seed))[1].wrongs}
    assert met == set(family.misconceptions)
    assert met <= set(scenarios().misconceptions)


@pytest.mark.parametrize("family", FAMILIES)
def test_the_reason_names_the_regulation_with_its_status(family):
    for seed in SEEDS:
        _, key = ask_and_key(question(family.id, seed))
        assert set(key.rules) <= set(family.rules)
        for rule in key.rules:
            assert RULE_BY_ID[rule].citation.clause in key.why
        assert "Status:" in key.why


@pytest.mark.parametrize("family", FAMILIES)
def test_the_ids_of_choices_tell_nothing(family):
    for seed in SEEDS:
        ask, _ = ask_and_key(question(family.id, seed))
        if family.form is not AskForm.POINT:
            assert [each.id for each in ask.choices] == list("abcdef"[: len(ask.choices)])
            assert [each.id for each in ask.partners] == list("123456"[: len(ask.partners)])


@pytest.mark.parametrize("family", FAMILIES)
def test_a_house_is_delivered_only_where_it_is_drawn(family):
    task = question(family.id, 0)
    figure = task.asks[0].figure
    is_drawn = figure is not None and figure.kind is FigureKind.DIAGRAM
    assert (task.house == plain()) is not is_drawn


@pytest.mark.parametrize("family", FAMILIES)
def test_texts_are_finished_sentences(family):
    for seed in SEEDS:
        task = question(family.id, seed)
        ask, key = ask_and_key(task)
        texts = [ask.question, key.why, *(each.why for each in key.wrongs)]
        labels = [each.label for each in (*ask.choices, *ask.partners)]
        for text in (*texts, *labels, *(row.label for sheet in task.pack for row in sheet.rows)):
            assert text.strip(), seed
            assert not re.search(r"[{}]|  |\.\.|,,| [,.;?]|nan\b|inf\b", text), (seed, text)
        for text in texts:
            assert re.search(r"[.?)]\"?$", text), (seed, text)
            assert text[0].isupper() or text[0].isdigit() or text[0] == "√", (seed, text)


@pytest.mark.parametrize("family", FAMILIES)
def test_a_number_has_a_unit_and_says_in_which_it_is_wanted(family):
    if family.form is not AskForm.NUMBER:
        return
    for seed in SEEDS:
        ask, key = ask_and_key(question(family.id, seed))
        assert is_unit(ask.unit)
        assert ask.unit or key.model.strip().isdigit(), "only what is counted has no unit"


@pytest.mark.parametrize("family", FAMILIES)
def test_all_seeds_of_a_family_are_equally_long_and_ask_the_same_number_of_things(family):
    tasks = [question(family.id, seed) for seed in range(150)]
    counts = [words(each) for each in tasks]
    mean = sum(counts) / len(counts)
    assert max(counts) <= 1.15 * mean
    assert min(counts) >= 0.85 * mean
    shapes = {
        (len(each.asks[0].choices), len(each.asks[0].partners), tuple(len(sheet.rows) for sheet in each.pack))
        for each in tasks
    }
    assert len(shapes) == 1


@pytest.mark.parametrize("family", FAMILIES)
def test_neither_the_place_nor_the_length_of_a_choice_gives_the_answer_away(family):
    if family.form not in (AskForm.ONE, AskForm.POINT):
        return
    places: Counter[int] = Counter()
    longest = 0
    for seed in range(150):
        ask, key = ask_and_key(question(family.id, seed))
        lengths = {each.id: len(each.label) for each in ask.choices}
        places[[each.id for each in ask.choices].index(key.model)] += 1
        alone = max(lengths.values()) > sorted(lengths.values())[-2]
        longest += alone and lengths[key.model] == max(lengths.values())
    assert max(places.values()) <= SIDE_BY_SIDE * 150, places
    assert longest <= SIDE_BY_SIDE * 150


@pytest.mark.parametrize("family", FAMILIES)
def test_a_family_has_more_than_a_handful_of_questions(family):
    seen = {
        (task.asks[0].question, task.asks[0].choices, task.pack, str(task.asks[0].figure), task.house.title)
        for seed in range(150)
        for task in (question(family.id, seed),)
    }
    assert len(seen) >= 30


@pytest.mark.parametrize("family", FAMILIES)
def test_a_question_is_a_task_of_its_own_kind(family):
    task = question(family.id, 0)
    assert (task.kind, task.archetype, task.level, task.decisions) == (TaskKind.QUESTION, family.id, family.level, ())
    assert task.asks[0].objectives == family.objectives
    assert 3 <= len(task.title.split()) <= 9


@pytest.mark.parametrize("family", [each for each in FAMILIES if each.values[0].form is AskForm.POINT])
def test_places_to_point_at_are_in_the_house_or_on_the_time_axis(family):
    for seed in SEEDS:
        task = question(family.id, seed)
        assert task.asks[0].figure is not None
        for choice in task.asks[0].choices:
            collection, _, name = choice.id.partition(".")
            assert name in getattr(task.house, collection) if name else re.fullmatch(r"t\d+", choice.id)


def test_a_waveform_is_drawn_from_what_the_figure_says():
    from trainer.services.waveforms import watch

    drawn = [each for each in ALL_FAMILIES if question(each.id, 0).asks[0].figure]
    for family in drawn:
        for seed in range(20):
            figure = question(family.id, seed).asks[0].figure
            if figure is not None and figure.kind is FigureKind.WAVEFORM:
                values = dict(figure.values)
                front_end, fault = values.pop("front_end"), values.pop("fault")
                watched = watch(front_end, fault, {name: float(value) for name, value in values.items()})
                assert watched.waveform.rms_ma > 0


def test_sentences_are_short_enough_to_be_read_once():
    # Plain English guides ask for 15 to 20 words a sentence on average; common practice, no standard.
    for family in ALL_FAMILIES:
        lengths = []
        for seed in range(20):
            task = question(family.id, seed)
            text = task.asks[0].question.replace("d.c.", "dc").replace("a.c.", "ac").replace("r.m.s.", "rms")
            lengths += [len(each.split()) for each in re.split(r"(?<=[.?:])\s", text)]
        assert sum(lengths) / len(lengths) <= 22, family.id


@pytest.mark.slow
@pytest.mark.parametrize("family", FAMILIES)
def test_thousands_of_seeds_make_a_fair_question(family):
    for seed in range(1000, 4000):
        made.__wrapped__(family.id, seed)
