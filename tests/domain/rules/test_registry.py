"""How a rule is written down, and how rules judge a house; houses and docstrings made up here."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, fields
from pathlib import Path
from typing import Any

import pytest

from tests.domain.houses import breaker, circuit, house
from trainer.domain.citations import Status
from trainer.domain.findings import Verdict, holds
from trainer.domain.rules import registry
from trainer.domain.rules.registry import Over, Rule, RuleDefinitionError, judge, rule, subjects
from trainer.domain.vocabulary import Consequence, Edition

WHOLE = """The first line
    and its second.

    Why: because it is so,
    and Note: a colon alone is no heading.
    Formula
    Remedy: mend it.
    Assumes: nothing.
    Formula: a <= b: both in amperes
    """


def written(doc: str | None, rule_id: str = "OC-01") -> Rule:
    """A rule of that docstring, under the citation of an id of the book."""

    def as_it_should_be(_subject: Any, _house: Any, _limits: Any) -> Verdict | None:
        return None

    as_it_should_be.__doc__ = doc
    return rule(rule_id, over=Over.CIRCUITS, consequence=Consequence.FIRE, objectives=["LO26", "LO13"])(as_it_should_be)


def test_a_docstring_is_read_by_its_headings() -> None:
    made = written(WHOLE)
    assert made.statement == "The first line and its second."
    assert made.why == "because it is so, and Note: a colon alone is no heading. Formula"
    assert made.remedy == "mend it."
    assert made.assumes == "nothing."
    assert made.formula == "a <= b: both in amperes"


def test_what_a_rule_need_not_say_is_empty() -> None:
    made = written("It holds.\n\nWhy: so.\nRemedy: mend.")
    assert (made.assumes, made.formula) == ("", "")


def test_a_rule_takes_name_place_and_stakes_from_where_it_is_written() -> None:
    made = written(WHOLE)
    assert (made.id, made.name, made.over) == ("OC-01", "as_it_should_be", Over.CIRCUITS)
    assert (made.consequence, made.objectives) == (Consequence.FIRE, ("LO26", "LO13"))


@pytest.mark.parametrize(
    ("doc", "lacking"),
    [
        (None, "statement"),
        ("", "statement"),
        ("Why: so.\nRemedy: mend.", "statement"),
        ("It holds.\n\nRemedy: mend.", "Why"),
        ("It holds.\n\nWhy: so.", "Remedy"),
    ],
)
def test_a_rule_without_statement_reason_or_remedy_is_refused(doc: str | None, lacking: str) -> None:
    with pytest.raises(RuleDefinitionError, match=f"^OC-01: docstring lacks {lacking}$"):
        written(doc)


def test_a_rule_that_nothing_cites_is_refused() -> None:
    with pytest.raises(RuleDefinitionError, match=r"^XX-99: no entry in citations/\*\.toml$"):
        written(WHOLE, "XX-99")


ENTRY = {"publication": "a book", "clause": "1.2", "status": "from memory"}


def test_a_citation_is_taken_as_it_stands() -> None:
    whole = ENTRY | {"seen_in": "A2:2022", "checked_on": "2026-01-02", "note": "by hand"}
    made = registry._citation(whole, "OC-01")
    assert (made.publication, made.clause, made.status) == ("a book", "1.2", Status.MEMORY)
    assert (made.edition, made.checked_on, made.note) == ("A2:2022", "2026-01-02", "by hand")
    bare = registry._citation(ENTRY, "OC-01")
    assert (bare.edition, bare.checked_on, bare.note) == (None, None, "")


@pytest.mark.parametrize("lacking", ["publication", "clause", "status"])
def test_a_citation_that_lacks_something_is_refused(lacking: str) -> None:
    entry = {key: value for key, value in ENTRY.items() if key != lacking}
    with pytest.raises(RuleDefinitionError, match=f"OC-01: citation lacks or misspells '{lacking}'"):
        registry._citation(entry, "OC-01")


def test_a_citation_of_unknown_status_is_refused() -> None:
    with pytest.raises(RuleDefinitionError, match="OC-01: citation lacks or misspells 'hearsay'"):
        registry._citation(ENTRY | {"status": "hearsay"}, "OC-01")


def sources_in(folder: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    monkeypatch.setattr(registry.resources, "files", lambda _package: folder)
    return dict(registry._sources.__wrapped__())


def test_all_files_of_citations_are_read_and_no_others(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "citations"
    folder.mkdir()
    (folder / "a.toml").write_text('[A-01]\nclause = "1"\n[A-02]\nclause = "2"\n', "utf-8")
    (folder / "b.toml").write_text('[B-01]\nclause = "3"\n', "utf-8")
    (folder / "notes.txt").write_text("not a citation", "utf-8")
    found = sources_in(tmp_path, monkeypatch)
    assert {rule_id: entry["clause"] for rule_id, entry in found.items()} == {"A-01": "1", "A-02": "2", "B-01": "3"}


def test_a_rule_that_is_cited_twice_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "citations"
    folder.mkdir()
    for name in ("a", "b"):
        (folder / f"{name}.toml").write_text('[A-01]\nclause = "1"\n', "utf-8")
    with pytest.raises(RuleDefinitionError, match=r"^A-01: cited twice$"):
        sources_in(tmp_path, monkeypatch)


def test_a_rule_holds_in_all_editions_unless_its_entry_says_which(monkeypatch: pytest.MonkeyPatch) -> None:
    assert written(WHOLE).editions == frozenset(Edition)
    monkeypatch.setattr(registry, "_sources", lambda: {"OC-01": ENTRY | {"editions": ["A4:2026"], "iec": "60364"}})
    made = written(WHOLE)
    assert (made.editions, made.iec) == (frozenset({Edition.A4_2026}), "60364")


# --- judging ----------------------------------------------------------------------------------------------

HOUSE = house(breaker("b"), breaker("d"), circuit("c", "b"))


def test_the_records_of_a_house_come_with_their_paths() -> None:
    assert [path for path, _ in subjects(HOUSE, Over.DEVICES)] == ["devices.main_switch", "devices.b", "devices.d"]
    assert list(subjects(HOUSE, Over.CIRCUITS)) == [("circuits.c", HOUSE.circuits["c"])]
    assert list(subjects(HOUSE, Over.BOARDS)) == [("boards.main", HOUSE.boards["main"])]
    assert list(subjects(HOUSE, Over.EQUIPMENT)) == []
    assert list(subjects(HOUSE, Over.INSTALLATION)) == [("installation", HOUSE)]


def over_devices(judged: Any, rule_id: str = "OC-07") -> Rule:
    judged.__doc__ = WHOLE
    return rule(rule_id, over=Over.DEVICES, consequence=Consequence.FIRE, objectives=())(judged)


def test_findings_come_in_the_order_of_rules_and_records_without_those_that_do_not_apply() -> None:
    breakers = over_devices(lambda device, _house, _limits: holds(True) if device.breaks_overcurrent else None)
    every = over_devices(lambda _device, _house, _limits: holds(False))
    found = judge(HOUSE, [breakers, every])
    assert [(each.subject, each.fails) for each in found] == [
        ("devices.b", False),
        ("devices.d", False),
        ("devices.main_switch", True),
        ("devices.b", True),
        ("devices.d", True),
    ]
    assert [each.rule for each in found] == [breakers] * 2 + [every] * 3


def test_a_rule_of_another_edition_is_passed_over_and_the_next_one_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    sources = {"OC-01": ENTRY | {"editions": ["A4:2026"]}, "OC-07": ENTRY}
    monkeypatch.setattr(registry, "_sources", lambda: sources)
    newer = over_devices(lambda _device, _house, _limits: holds(True), "OC-01")
    plain = over_devices(lambda _device, _house, _limits: holds(True), "OC-07")
    assert {each.rule.id for each in judge(HOUSE, [newer, plain], Edition.A2_2022)} == {"OC-07"}
    assert {each.rule.id for each in judge(HOUSE, [newer, plain], Edition.A4_2026)} == {"OC-01", "OC-07"}
    assert judge(HOUSE, [newer]) == judge(HOUSE, [newer], Edition.A4_2026)


def test_a_rule_judges_by_the_limits_of_the_edition() -> None:
    seen: list[Any] = []
    looking = over_devices(lambda _device, _house, limits: seen.append(limits))
    for edition in Edition:
        judge(HOUSE, [looking], edition)
    assert [each.edition for each in seen[::3]] == list(Edition)


def test_a_rule_is_never_changed_and_is_written_with_names() -> None:
    made = written(WHOLE)
    with pytest.raises(FrozenInstanceError):
        made.id = "OC-02"  # type: ignore[misc]
    assert not hasattr(made, "__dict__")
    with pytest.raises(TypeError):
        Rule(*(getattr(made, each.name) for each in fields(made)))  # type: ignore[misc]


def test_what_a_rule_is_about_is_written_with_names() -> None:
    with pytest.raises(TypeError):
        rule("OC-01", Over.CIRCUITS, consequence=Consequence.FIRE, objectives=())  # type: ignore[misc]
