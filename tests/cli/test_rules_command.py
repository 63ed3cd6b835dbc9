"""``trainer rules``: the book as text and as JSON."""

from __future__ import annotations

import json

from click.testing import CliRunner

from trainer.cli.main import main
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.version import rule_set_version


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["rules", *words])
    return result.exit_code, result.output


def test_the_list_names_every_rule_and_the_rule_set() -> None:
    code, text = run()
    assert code == 0
    assert all(rule.id in text for rule in ALL_RULES)
    assert rule_set_version() in text


def test_one_rule_says_what_why_where_and_how_well_known() -> None:
    code, text = run("oc-02")
    assert code == 0
    for part in ("OC-02", "Why:", "Remedy:", "411.4", "not yet compared with the printed clause"):
        assert part in " ".join(text.split())


def test_the_search_needs_every_word() -> None:
    assert "OC-02" in run("--search", "loop impedance")[1]
    assert run("--search", "loop zebra")[1].startswith("0 of ")


def test_json_holds_the_citation_of_each_rule() -> None:
    document = json.loads(run("--format", "json")[1])
    assert len(document["rules"]) == len(ALL_RULES)
    assert all(rule["citation"]["publication"] and rule["citation"]["status"] for rule in document["rules"])


def test_an_unknown_rule_is_refused_with_the_nearest() -> None:
    code, text = run("OC-99", "--format", "json")
    assert code == 2
    problem = json.loads(text)["errors"][0]
    assert problem["value"] == "OC-99"
    assert problem["nearest"].startswith("OC-")


def test_one_rule_says_what_it_demands_what_it_leaves_out_and_shows_its_table() -> None:
    said = " ".join(run("OC-02")[1].split())
    for part in ("Demands:", "Not covered:", "Maximum earth fault loop impedance, circuit-breakers"):
        assert part in said
    # Table 41.3 of BS 7671 (A2:2022, seen in public texts): B, C and D of 32 A.
    assert "32 1.37 0.68 0.34" in said


def test_a_change_of_an_edition_is_told_with_its_status() -> None:
    assert "Changed by A3:2024:" in run("GEN-04")[1]


def test_the_trades_word_finds_rules_that_use_another() -> None:
    assert "RCD-09" in run("--search", "earth rod")[1]


def test_what_no_rule_judges_can_be_listed() -> None:
    assert "medical locations (710)" in run("--not-covered")[1]


def test_json_holds_the_condition_and_the_gaps_of_each_rule() -> None:
    document = json.loads(run("--format", "json")[1])
    assert document["not_covered"]
    assert all(rule["condition"] and rule["not_covered"] for rule in document["rules"])
