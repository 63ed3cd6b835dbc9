"""What a learner is told of wrong answers, read by machine: who it is about, how much, how long, and what to do."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable

from tests.explain.reading import MOST_WORDS, VERBS
from tests.explain.wrong_answers import Told, told_by_case, told_of_asks, told_of_choices
from trainer.domain.tasks import TaskKind
from trainer.domain.vocabulary import Outcome
from trainer.explain.explanation import as_text
from trainer.explain.names import capitalised, name_of, within_sentence

_RULE_ID = re.compile(r"\b[A-Z][A-Z0-9]{1,3}-\d{2}[A-Z]?\b")
_RECORD_PATH = re.compile(r"\b(devices|equipment|circuits|boards|notices|earthing|supply)\.\w")
_DOUBLED = re.compile(r"\b([A-Za-z]+) \1\b", re.IGNORECASE)
_WRONG_ARTICLE = re.compile(r"(?<!\u00a0)\b(a [aeio]\w+|an [bcdfgjkpqtvwyz]\w+)")
_RIGHT_ARTICLE = re.compile(r"a one\w*|a euro\w*")
_TOO_CERTAIN = re.compile(
    r"\b(kills|dies|is dead|blinds|blinded|burns out|is lost|will (trip|act|burn|fail)|cannot (trip|act))\b"
)
_STRAY = re.compile(r"[a-z]\.[A-Z]| [,.;:]|\.\.|,,|\(\)|\(.*\(.*\)\)|\bNone\b|[{}_]")


def _parts(told: Told) -> Iterable[str]:
    said = told.said
    return (as_text(part) for part in (said.headline, said.happens, said.number, said.working, said.remedy))


def _failing() -> list[Told]:
    return [told for told in told_of_choices() if told.finding.outcome is Outcome.DOES_NOT_COMPLY]


def test_wrong_choices_in_every_archetype_and_at_every_level_are_read() -> None:
    told = told_of_choices()
    assert len({each.task.archetype for each in told}) >= 25
    assert {each.task.level for each in told} == {1, 2, 3, 4, 5}
    assert len(told_by_case()) >= 30
    assert {each.task.kind for each in told_of_asks()} == set(TaskKind) - {TaskKind.CHOOSE}


def test_no_word_stands_twice_in_a_row() -> None:
    for told in told_of_choices():
        for text in _parts(told):
            assert not _DOUBLED.search(text), told.where
    for asked in told_of_asks():
        assert not _DOUBLED.search(asked.whole), asked.where


def test_no_id_and_no_path_stands_in_running_text() -> None:
    for told in told_of_choices():
        for text in _parts(told):
            assert not any(each.search(text) for each in (_RULE_ID, _RECORD_PATH, _STRAY)), told.where


def test_articles_fit_the_word_that_follows() -> None:
    for told in told_of_choices():
        for text in _parts(told):
            wrong = [found for found in _WRONG_ARTICLE.findall(text) if not _RIGHT_ARTICLE.fullmatch(found)]
            assert not wrong, (wrong, told.where)


TYPE_BEFORE_IT = frozenset({"EV-08", "HP-02", "PV-01"})
"""Rules whose headline gives equipment and type; the device is the one whose type the decision asks for."""


def test_a_failing_finding_names_what_it_is_about_in_this_house() -> None:
    for told in _failing():
        name = name_of(told.house, told.finding.subject, str)
        assert as_text(told.said.headline).startswith(capitalised(name)), told.where
        for path in told.finding.verdict.related:
            if path.partition(".")[0] in ("devices", "equipment", "circuits", "boards"):
                named = within_sentence(told.house, path, str)
                own = path == told.finding.subject or told.finding.rule.id in TYPE_BEFORE_IT
                assert own or named.casefold() in told.said.text.casefold(), told.where


def test_a_rule_that_computes_states_value_and_limit_with_their_units() -> None:
    seen = 0
    for told in _failing():
        scale = told.said.scale
        if scale is None or scale.unit in ("poles", "circuits", "sources", "notices", "modules", ""):
            continue
        text = f"{told.said.happens} {told.said.number}"
        assert all(each in text for each in (scale.value_text, scale.limit_text)), told.where
        assert re.search(r"\d\u00a0\S", scale.value_text), told.where
        seen += 1
    assert seen >= 20


def test_no_finding_takes_more_than_120_words() -> None:
    for told in told_of_choices():
        words = f"{as_text(told.said.happens)} {as_text(told.said.remedy)}".split()
        assert len(words) <= MOST_WORDS, (len(words), told.where)


def test_a_failing_finding_ends_with_what_to_do_and_begins_it_with_a_verb() -> None:
    for told in _failing():
        remedy = as_text(told.said.remedy)
        assert remedy.split()[0] in VERBS, told.where
        assert remedy.endswith("."), told.where


def test_beside_every_misconception_stands_what_to_do_instead() -> None:
    by_decision: dict[int, list[Told]] = defaultdict(list)
    for told in told_of_choices():
        by_decision[id(told.graded)].append(told)
    found = [told for told in by_decision.values() if told[0].graded.misconception]
    assert len(found) >= 40
    for tellings in found:
        assert any(as_text(told.said.remedy) for told in tellings), tellings[0].where
        assert tellings[0].graded.nearest_option != tellings[0].graded.chosen
    for asked in told_of_asks():
        if asked.graded.misconception:
            assert asked.wrong, asked.where
            assert asked.task.key.asks[asked.ask.id].why.endswith((".", ")")), asked.where


def test_what_may_happen_is_not_said_to_happen() -> None:
    for told in _failing():
        for text in _parts(told):
            assert not _TOO_CERTAIN.search(text), told.where


def test_different_causes_of_one_rule_are_not_told_in_the_same_words() -> None:
    by_words: dict[tuple[str, str, str], set[str]] = defaultdict(set)
    for (rule, outcome, case), told in told_by_case().items():
        by_words[(rule, outcome, as_text(told.said.happens))].add(case)
    for (rule, outcome, words), cases in by_words.items():
        assert len(cases) == 1, (rule, outcome, cases, words)


def test_a_reading_is_explained_by_what_was_found_at_its_own_place() -> None:
    own = {"VER-01", "VER-02", "OC-03"}
    seen = 0
    for asked in told_of_asks():
        if asked.task.kind is not TaskKind.MEASURE or asked.ask.subject.partition(".")[0] not in (
            "circuits",
            "devices",
        ):
            continue
        name = capitalised(name_of(asked.task.house, asked.ask.subject, str))
        for said in asked.said:
            if said.rule_id in own:
                assert as_text(said.headline).startswith(name), asked.where
                seen += 1
    assert seen
