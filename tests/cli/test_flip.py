"""``trainer flip``, run as people run it."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from trainer.cli.main import main
from trainer.resources import folder

HOUSE = str(folder("scenarios") / "examples" / "detached-house-four-sources.toml")
LENGTH = "circuits.charger.cable.length_m"


def run(*arguments: str, **more: bytes) -> Result:
    return CliRunner().invoke(main, ["flip", *arguments], **more)


def test_people_read_both_sides_of_the_flip_with_limit_unit_and_source() -> None:
    answer = run(HOUSE, "--vary", f"{LENGTH}=5:100:5", "--rule", "OC-08")
    assert answer.exit_code == 0
    # 11.5 V / (32 A * 4.4 mV/A/m) = 81.676 m: hand calculation from Table 4D4.
    assert "up to 81.676\u00a0m: complies" in answer.stdout
    assert "from 81.677\u00a0m: does not comply" in answer.stdout
    assert "against a limit of 11.5\u00a0V" in answer.stdout
    assert "BS 7671:2018 525.202" in answer.stdout
    assert "training aid" in answer.stdout
    assert answer.stdout.rstrip().endswith("among 1 rules tried")


def test_machines_get_one_canonical_object() -> None:
    answer = run(HOUSE, "--vary", f"{LENGTH}=5:100:5", "--format", "json")
    told = json.loads(answer.stdout)
    assert told["format"] == "protection-trainer/sweep"
    assert told["moved"]["unit"] == "m"
    assert len(told["steps"]) == 20
    drop = next(each for each in told["flips"] if each["rule"] == "OC-08")
    assert (drop["below"]["at"], drop["above"]["at"]) == (81.676, 81.677)
    assert drop["below"]["finding"]["outcome"] == "complies"
    assert drop["above"]["finding"]["outcome"] == "does_not_comply"
    assert drop["citation"]["clause"].startswith("525.202")
    assert answer.stdout == json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False) + "\n"


def test_the_paths_are_listed_with_units_and_words() -> None:
    answer = run(HOUSE, "--places")
    assert f"{LENGTH}: 22\u00a0m" in answer.stdout
    assert "supply.earthing_system: TN-C-S  [TN-S, TN-C-S, TT]" in answer.stdout
    told = json.loads(run(HOUSE, "--places", "--format", "json").stdout)
    assert {"path", "kind", "now", "unit", "optional", "choices"} == set(told["places"][0])


def test_a_house_of_a_seed_can_be_tried() -> None:
    answer = run("--seed", "7", "--level", "3", "--vary", "supply.external_earth_fault_loop_impedance_ohm")
    assert answer.exit_code == 0
    assert "supply.external_earth_fault_loop_impedance_ohm moved over" in answer.stdout


def test_an_installation_comes_from_standard_input_too() -> None:
    content = (folder("scenarios") / "examples" / "workshop-leakage-sum.toml").read_bytes()
    answer = run("-", "--vary", "supply.looped", "--rule", "RCD-05", input=content)
    assert answer.exit_code == 0
    assert "yes, no, left out" in answer.stdout


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((HOUSE,), "name what moves"),
        (("--vary", LENGTH), "name either a file"),
        ((HOUSE, "--seed", "1", "--vary", LENGTH), "name either a file"),
        ((HOUSE, "--vary", "circuits.charger.cable.lenght_m=1:2"), f"nearest: {LENGTH}"),
        ((HOUSE, "--vary", f"{LENGTH}=one"), "must be a number of m"),
        ((HOUSE, "--vary", f"{LENGTH}=1:2", "--rule", "OC-80"), "unknown rule (given: OC-80)"),
        ((HOUSE, "--vary", f"{LENGTH}=5000"), "too high to be plausible"),
        (("no-such-file.toml", "--vary", LENGTH), "cannot be read"),
        (("--seed", "-1", "--vary", LENGTH), "seed"),
    ],
)
def test_wrong_use_ends_with_exit_code_2_and_the_way_out(arguments: tuple[str, ...], said: str) -> None:
    answer = run(*arguments)
    assert answer.exit_code == 2
    assert said in answer.stderr
    assert answer.stdout == ""
    as_json = run(*arguments, "--format", "json")
    assert as_json.exit_code == 2
    assert json.loads(as_json.stdout)["errors"]
