"""``trainer calc``: text with formula and sources, JSON of the documented shape, errors with exit code 2."""

from __future__ import annotations

import json
from typing import Any

import pytest
from click.testing import CliRunner, Result

from trainer.cli.main import main
from trainer.domain.calculations.catalogue import CATALOGUE

ZS = ["calc", "zs", "--ze", "0.35", "--line", "2.5", "--protective", "1.5", "--length", "20", "--curve", "B"]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


def test_text_shows_formula_values_sources_and_the_caution() -> None:
    result = run(*ZS, "--rating", "32")
    assert result.exit_code == 0
    for part in (
        "Zs = Ze + (R1 + R2)",
        "external earth fault loop impedance: 0.35 ohm  [given]",
        "line conductor resistance: 0.17784 ohm  [BS EN 60228:2005, Table 1 (seen in a public text)]",
        "= 0.81824 ohm",
        "compared with 1.37 ohm: complies",
        "Number as in A2:2022: compare with the current book.",
        "not a design, inspection or certification tool",
    ):
        assert part in result.output


def test_json_has_the_documented_shape() -> None:
    result = run(*ZS, "--rating", "32", "--format", "json")
    document: dict[str, Any] = json.loads(result.stdout)
    assert result.exit_code == 0
    assert {"calculation", "value", "unit", "formula", "terms", "limit", "outcome", "citation"} <= set(document)
    assert (document["value"], document["unit"], document["limit"], document["outcome"]) == (
        0.8182,
        "ohm",
        1.37,
        "complies",
    )
    assert document["terms"][0] == {
        "name": "external_earth_fault_loop_impedance",
        "value": 0.35,
        "unit": "ohm",
        "source": "given",
    }
    assert document["citation"]["status"] == "seen in a public text"
    assert result.stdout.endswith("}\n")


def test_a_value_beyond_its_limit_is_still_a_calculation() -> None:
    result = run(*ZS[:3], "3", *ZS[4:], "--rating", "32")
    assert result.exit_code == 0
    assert "does not comply" in result.output


def test_the_list_names_every_calculation() -> None:
    text, machine = run("calc", "--list"), run("calc", "--list", "--format", "json")
    listed = [each["name"] for each in json.loads(machine.stdout)["calculations"]]
    assert listed == list(CATALOGUE)
    assert all(name in text.output for name in CATALOGUE)


@pytest.mark.parametrize("name", CATALOGUE)
def test_every_calculation_tells_its_parameters(name: str) -> None:
    result = run("calc", name, "--help")
    assert result.exit_code == 0
    for each in CATALOGUE[name].parameters:
        assert f"--{each.short}" in result.output


def test_loads_may_be_given_as_often_as_wanted() -> None:
    result = run("calc", "demand", "--load", "cooking=30", "--load", "charger=32")
    assert "= 48 A" in result.output


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["calc", "zz"], "nearest: zs"),
        (["calc", "zs", "--ze", "x", "--line", "2.5", "--length", "1"], "ze: needs a number in ohm (given: x)"),
        (["calc", "zs", "--nothing", "1"], "No such option"),
    ],
)
def test_wrong_use_ends_with_two_and_says_why(arguments: list[str], message: str) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert message in result.output
    assert "Traceback" not in result.output


def test_errors_as_json_come_all_at_once() -> None:
    result = run("calc", "zs", "--ze", "x", "--line", "-1", "--format", "json")
    errors = json.loads(result.stdout)["errors"]
    assert result.exit_code == 2
    assert [each["path"] for each in errors] == ["ze", "line", "length"]


def test_an_unknown_calculation_answers_as_json_where_asked() -> None:
    result = run("calc", "--format", "json", "zz")
    assert result.exit_code == 2
    assert json.loads(result.stdout)["errors"][0]["nearest"] == "zs"
