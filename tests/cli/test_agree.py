from __future__ import annotations

import json
import re

import pytest
from click.testing import CliRunner, Result

from trainer.cli.main import main
from trainer.explain.caution import CAUTION
from trainer.services.agreement import exceptions


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["agree", *arguments])


def test_the_last_line_counts_what_was_compared_and_exit_0_means_nothing_is_left():
    result = run("--seeds", "0:4", "--proposals", "2")
    assert re.fullmatch(r"[1-9]\d* verdicts compared, 0 unexplained", result.output.splitlines()[-1])
    assert CAUTION in result.output
    assert result.exit_code == 0


def test_what_no_name_explains_is_shown_and_exit_is_1(monkeypatch):
    monkeypatch.setattr(exceptions, "EXCEPTIONS", {})
    result = run("--seeds", "0:12")
    assert result.exit_code == 1
    assert re.search(r"^seed \d+, proposal \d: devices\.\S+ \(\w+\): rules \w+", result.output, re.MULTILINE)
    assert not result.output.splitlines()[-1].endswith(" 0 unexplained")


def test_json_holds_the_same_counts():
    text, machine = run("--seeds", "0:3"), run("--seeds", "0:3", "--format", "json")
    counts = json.loads(machine.output)
    assert f"{counts['compared']} verdicts compared, {len(counts['unexplained'])} unexplained" in text.output
    assert counts["agreed"] + sum(counts["explained"].values()) + len(counts["unexplained"]) == counts["compared"]


def test_the_same_seeds_give_the_same_output():
    assert run("--seeds", "7:10").output == run("--seeds", "7:10").output


@pytest.mark.parametrize("seeds", ["5", "5:5", "9:3", "-1:4", "a:b", "0:99999999999999999999"])
def test_seeds_that_name_no_range_are_refused_with_what_to_write(seeds):
    result = run(f"--seeds={seeds}")
    assert result.exit_code == 2
    assert "two whole numbers A:B with A below B" in result.output
    assert seeds in result.output
