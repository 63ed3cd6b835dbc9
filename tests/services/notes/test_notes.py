"""The notes say nothing that the rule book does not have."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

import pytest

from trainer.domain.asks.answers import is_right
from trainer.domain.limits import Limit, Table, limits_for
from trainer.domain.physics.front_ends import FRONT_ENDS
from trainer.domain.questions.registry import families_for_objective
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.vocabulary import DEFAULT_EDITION
from trainer.services.notes.examples import examples
from trainer.services.notes.gaps import Gap
from trainer.services.notes.reading import Note, notes
from trainer.services.objectives import objectives
from trainer.services.scenarios import scenarios

RULES = {each.id: each for each in ALL_RULES}
PUBLICATIONS = ("BS", "HD", "IEC", "IET", "ENA", "EREC", "PAS", "Guid")
LONGEST = {"matters": 110, "why": 70, "trap_seen": 50}
SIGNS = {
    "ohm": "Ω",
    "Mohm": "MΩ",
    "mm2": "mm²",
    "deg C": "°C",
    "C": "°C",
    "1": "",
    "V": "V",
    "A": "A",
    "mA": "mA",
    "kA": "kA",
    "s": "s",
    "ms": "ms",
    "mm": "mm",
    "m": "m",
    "%": "%",
}
UNITS = "|".join(sorted(filter(None, SIGNS.values()), key=len, reverse=True))
NUMBER = re.compile(rf"(?<![\w.-])(\d+(?:\.\d+)?)\s?({UNITS})(?![\w²])")
CLAUSE = re.compile(r"\b\d{3}(?:\.\d+)+\b|\bTable \d+\.\d+\b|\bG\d{2,3}\b")
IDS = re.compile(r"\b[A-Z][A-Z0-9]{1,4}-\d{2}[A-Z]?\b")
FACTOR = re.compile(rf"(?<![\w.-])(\d+\.\d+|\d{{3,}})(?!\s?(?:{UNITS})(?![\w²])|[\w.°-])")
# A thousand turns millivolts into volts.
NO_LIMIT = {"1000"}
# Parts of rule statements that stand in words of rules and not in a limit.
IN_A_RULE = {("13", "A"): "HP-03", ("60", "mA"): "RCD-07"}


def limits(record: object) -> Iterator[tuple[float, str]]:
    """Every value of the edition in force with its unit as it is printed; shares also as per cent."""
    if isinstance(record, Limit):
        yield record.value, SIGNS.get(record.unit, record.unit)
        if record.value < 1:
            yield round(100 * record.value, 3), "%"
    elif isinstance(record, Table):
        yield from ((value, SIGNS.get(record.unit, record.unit)) for value in record.rows.values())
    elif is_dataclass(record):
        for each in fields(record):
            yield from limits(getattr(record, each.name))
    elif hasattr(record, "values"):
        for value in record.values():
            yield from limits(value)


KNOWN = set(limits(limits_for(DEFAULT_EDITION)))


def strange_numbers(text: str) -> set[tuple[str, str]]:
    """Numbers with units that no limit has, sentences that say they are examples left out."""
    told = [each for each in re.split(r"(?<=[.?!])\s", text) if "example" not in each]
    found = {pair for each in told for pair in NUMBER.findall(each)}
    return {(number, unit) for number, unit in found if (float(number), unit) not in KNOWN}


def cited(note: Note) -> str:
    """Everything that the rules of a note cite, in one text."""
    return " ".join(f"{RULES[each].citation.publication} {RULES[each].citation.clause}" for each in note.rules)


@pytest.fixture(params=sorted(objectives()))
def note(request: pytest.FixtureRequest) -> Note:
    return notes()[request.param]


def test_every_objective_has_its_note_and_no_other_has_one() -> None:
    assert set(notes()) == set(objectives())
    assert len(notes()) == 48


def test_a_note_rests_on_rules_of_the_book_that_belong_to_its_objective(note: Note) -> None:
    assert [each for each in note.rules if each not in RULES] == []
    of_questions = {rule for each in families_for_objective(note.objective_id) for rule in each.rules}
    strange = [
        each for each in note.rules if note.objective_id not in RULES[each].objectives and each not in of_questions
    ]
    assert len(strange) < len(note.rules) / 2, f"{strange} have nothing to do with {note.objective_id}"


def test_the_trap_of_a_note_is_a_known_misconception(note: Note) -> None:
    assert note.trap in scenarios().misconceptions


def test_a_value_with_its_unit_is_one_of_the_edition_in_force(note: Note) -> None:
    strange = {pair for text in note.texts for pair in strange_numbers(text)}
    unexplained = {pair for pair in strange if IN_A_RULE.get(pair) not in note.rules}
    assert unexplained == set()


def test_a_factor_or_a_large_number_is_one_of_the_edition_in_force(note: Note) -> None:
    values = {value for value, _unit in KNOWN}
    text = CLAUSE.sub(" ", " ".join(note.texts))
    assert {each for each in FACTOR.findall(text) if float(each) not in values} <= NO_LIMIT


def test_a_clause_that_is_named_is_cited_by_a_rule_of_the_note(note: Note) -> None:
    named = {clause for text in note.texts for clause in CLAUSE.findall(text)}
    assert {each for each in named if each not in cited(note)} == set()


def test_a_rule_that_is_named_in_a_text_is_one_of_the_note(note: Note) -> None:
    assert {rule for text in note.texts for rule in IDS.findall(text)} <= set(note.rules)


def test_a_note_is_read_in_about_a_minute(note: Note) -> None:
    """Common practice: people read some 200 to 250 words a minute."""
    for part, most in LONGEST.items():
        assert len(getattr(note, part).split()) <= most, part
    assert 3 <= len(note.steps) <= 5
    assert max(len(each.split()) for text in note.texts for each in re.split(r"[.?!]\s", text)) <= 45


def test_a_waveform_beside_a_note_is_one_of_the_front_ends(note: Note) -> None:
    assert note.figure in ("", "waveform", "diagram")
    assert (note.figure == "waveform") == bool(note.front_end)
    assert not note.front_end or note.front_end in {each.value for each in FRONT_ENDS}


def test_the_checks_see_a_value_and_a_clause_that_nobody_has() -> None:
    assert strange_numbers("It must stay within 51 V, or 20.5 Ω.") == {("51", "V"), ("20.5", "Ω")}
    assert strange_numbers("For example 51 V. It is 50 V.") == set()
    assert CLAUSE.findall("722.411.4.1, Table 41.1 and G98") == ["722.411.4.1", "Table 41.1", "G98"]


@pytest.mark.parametrize("seed", [1, 2, 31])
def test_the_examples_of_a_note_are_of_its_objective_and_unlike_one_another(note: Note, seed: int) -> None:
    made = examples(note.objective_id, seed)
    three = (*made.worked, made.half_from)
    assert all(note.objective_id in each.ask.objectives for each in three)
    assert len({(each.ask.question, each.why, str(each.ask.choices), str(each.task.pack)) for each in three}) == 3
    assert all(
        each.why and each.where.startswith(("BS", "HD", "IEC", "IET", "ENA", "EREC", "PAS", "Guid")) for each in three
    )


@pytest.mark.parametrize("seed", [1, 2, 31])
def test_a_half_worked_question_takes_the_right_answers_and_refuses_others(note: Note, seed: int) -> None:
    made = examples(note.objective_id, seed)
    assert made.half.gaps
    for gap in made.half.gaps:
        assert gap.takes(gap.right)
        assert not gap.takes("")
        assert not gap.takes("no number" if not gap.options else next(x.id for x in gap.options if x.id != gap.right))
    assert all(is_right(each.ask, each.key, each.key.model) for each in made.worked)


def test_a_gap_forgives_the_rounding_of_its_last_place() -> None:
    gap = Gap(id="gap-0", label="", right="9.0", tolerance=0.1)
    assert gap.takes("9")
    assert gap.takes("9.1")
    assert not gap.takes("9.3")


def test_the_half_worked_leakage_leaves_the_sum_open() -> None:
    """By hand: the leakages that the question gives, added, are the first gap; 30 % less the sum is the last."""
    made = examples("LO04", 1)
    given = [float(each) for each in re.findall(r"(\d+(?:\.\d+)?)\s*mA", made.half_from.ask.question)]
    rating = max(given)
    leaks = [each for each in given if each != rating]
    numbers = [float(each.right) for each in made.half.gaps]
    assert numbers[0] == pytest.approx(math.fsum(leaks), abs=0.06)
    assert numbers[-1] == pytest.approx(0.3 * rating - math.fsum(leaks), abs=0.06)
