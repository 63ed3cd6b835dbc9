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
