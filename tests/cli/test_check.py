from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from trainer.cli.main import main
from trainer.explain.caution import CAUTION
from trainer.interop.canonical import canonical_bytes
from trainer.resources import folder

EXAMPLES = folder("scenarios") / "examples"
CLEAN = EXAMPLES / "terraced-house-charger-heat-pump.toml"
FAILING = EXAMPLES / "electrode-too-high-tt.toml"


def run(*arguments: str, given: bytes | None = None) -> Result:
    return CliRunner().invoke(main, ["check", *arguments], input=given)


def open_house(tmp_path: Path) -> Path:
    """The clean house whose loop impedance nobody knows."""
    text = CLEAN.read_text("utf-8").replace("external_earth_fault_loop_impedance_ohm = 0.20\n", "")
    kept = [line for line in text.splitlines() if not line.startswith("measured_earth_fault_loop")]
    path = tmp_path / "open.toml"
    path.write_text("\n".join(kept), "utf-8")
    return path


def test_nothing_that_fails_and_nothing_open_is_exit_0():
    assert run(str(CLEAN)).exit_code == 0


def test_a_ring_says_by_which_condition_its_cable_is_protected():
    """Value 27 A above limit 20 A complies: the text says why, and names the regulation on rings (433.1.204)."""
    report = run(str(CLEAN)).stdout
    found = report[report.index("OC-05  Sockets, ring") :].split("\n\n")[0].replace("\u00a0", " ")
    assert "Value 27 A, limit 20 A (device_rating 32 A)" in found
    assert "protects the ring against overload" in found
    assert "433.1.204" in found


def test_something_that_does_not_comply_is_exit_1():
    assert run(str(FAILING)).exit_code == 1


def test_nothing_that_fails_but_something_undetermined_is_exit_3(tmp_path):
    answer = run(str(open_house(tmp_path)), "--format", "json")
    told = json.loads(answer.stdout)
    assert (answer.exit_code, told["verdict"]) == (3, "undetermined")
    missing = [name for finding in told["findings"] for name in finding["missing"]]
    assert "supply.external_earth_fault_loop_impedance_ohm" in missing


def test_a_file_that_is_not_there_is_exit_2_and_says_what_to_do():
    answer = run("/no/such/house.toml")
    assert (answer.exit_code, answer.stdout) == (2, "")
    assert "/no/such/house.toml" in answer.stderr
    assert "standard input" in answer.stderr
    assert "Traceback" not in answer.stderr


def test_a_folder_is_no_file(tmp_path):
    assert run(str(tmp_path)).exit_code == 2


def test_every_problem_of_a_file_is_told_in_one_go(tmp_path):
    text = CLEAN.read_text("utf-8")
    text = text.replace('kind = "rcbo"', 'kind = "rcbbo"', 1).replace('fed_by = "way4"', 'fed_by = "wey4"')
    answer = run("-", given=text.replace("impedance_ohm = 0.20", "impedance_ohm = 200").encode())
    assert answer.exit_code == 2
    assert len(answer.stderr.splitlines()) == 3
    assert "devices.way1.kind: unknown word (given: rcbbo); nearest: rcbo" in answer.stderr
    assert "circuits.charger.fed_by" in answer.stderr
    assert "looks like milliohms (given: 200); nearest: 0.2" in answer.stderr


def test_errors_for_machines_are_one_object_on_standard_output():
    answer = run("-", "--format", "json", given=b'{"format": 3}')
    told = json.loads(answer.stdout)
    assert answer.exit_code == 2
    assert list(told) == ["errors"]
    assert all(set(error) == {"path", "value", "problem", "possible", "nearest"} for error in told["errors"])
    assert {error["path"] for error in told["errors"]} >= {"format", "format_version", "title", "devices"}
    assert answer.stderr == ""


def test_a_file_for_machines_that_is_not_there_is_an_object_too():
    told = json.loads(run("/no/such/house.toml", "--format", "json").stdout)
    assert told["errors"][0]["path"] == "/no/such/house.toml"


def test_standard_input_is_read_for_a_dash():
    assert run("-", given=CLEAN.read_bytes()).stdout == run(str(CLEAN)).stdout


def test_an_unknown_edition_is_wrong_use():
    answer = run(str(CLEAN), "--edition", "A5:2030")
    assert answer.exit_code == 2
    assert "A4:2026" in answer.stderr


def test_the_edition_of_the_file_counts_unless_another_is_asked_for():
    early = CLEAN.read_text("utf-8").replace('edition = "A4:2026"', 'edition = "A2:2022"').encode()
    assert json.loads(run("-", "--format", "json", given=early).stdout)["edition"] == "A2:2022"
    asked = run("-", "--format", "json", "--edition", "A3:2024", given=early)
    assert json.loads(asked.stdout)["edition"] == "A3:2024"


@pytest.fixture(scope="module")
def told() -> dict:
    return json.loads(run(str(FAILING), "--format", "json").stdout)


def test_the_object_has_the_keys_of_its_shape(told):
    head = {"format", "format_version", "edition", "rule_set_version", "caution"}
    assert set(told) == {"verdict", "rules_judged", "not_covered", "findings"} | head
    assert (told["format"], told["verdict"]) == ("protection-trainer/check", "does_not_comply")
    assert told["caution"] == CAUTION


def test_every_finding_has_the_keys_of_its_shape(told):
    keys = {"rule", "subject", "outcome", "value", "limit", "unit", "terms", "missing", "consequence", "citation"}
    assert all(set(finding) == keys for finding in told["findings"])
    cited = {"publication", "edition", "clause", "status", "checked_on"}
    assert all(set(finding["citation"]) == cited for finding in told["findings"])


def test_the_rules_judged_are_those_that_said_something(told):
    assert told["rules_judged"] == len({finding["rule"] for finding in told["findings"]})


def test_what_is_not_covered_names_subjects_and_idle_rules(told):
    assert "medical locations (710)" in told["not_covered"]
    idle = [entry for entry in told["not_covered"] if entry.endswith("nothing here for this rule to judge")]
    assert idle
    assert not {entry.partition(":")[0] for entry in idle} & {finding["rule"] for finding in told["findings"]}


def test_standard_output_holds_nothing_but_canonical_json(told):
    answer = run(str(FAILING), "--format", "json")
    assert answer.stdout_bytes == canonical_bytes(told)
    assert answer.stderr == ""


def test_the_last_line_counts_rules_and_names_what_is_not_covered():
    last = run(str(CLEAN)).stdout.splitlines()[-1]
    told = json.loads(run(str(CLEAN), "--format", "json").stdout)
    assert last.startswith(f"no failing finding among {told['rules_judged']} rules judged; not covered: ")
    assert "medical locations (710)" in last


def test_the_last_line_counts_what_fails(told):
    last = run(str(FAILING)).stdout.splitlines()[-1]
    failing = sum(finding["outcome"] == "does_not_comply" for finding in told["findings"])
    assert last.startswith(f"failing findings: {failing}, among {told['rules_judged']} rules judged; not covered: ")


def test_the_last_line_says_that_something_is_open(tmp_path):
    last = run(str(open_house(tmp_path))).stdout.splitlines()[-1]
    assert last.startswith("no failing finding among ")
    assert "undetermined" in last.partition(";")[0]


@pytest.mark.parametrize("path", [CLEAN, FAILING])
def test_the_report_carries_the_caution_and_never_says_that_the_whole_complies(path):
    text = run(str(path)).stdout
    assert "training aid with invented installations" in text
    assert "PV conductors stay live in light" in text
    assert "complies\n" not in text.casefold()


def test_a_failing_finding_is_told_with_number_limit_source_and_remedy():
    # By hand: 620 ohm x 0.1 A = 62 V at the device of 100 mA, against 50 V (411.5.3).
    text = run(str(FAILING)).stdout
    part = text[text.index("Does not comply") : text.index("Nothing against it")]
    assert "RCD-09" in part
    assert "62\u00a0V" in part
    assert "limit 50\u00a0V" in part
    assert "411.5" in part
    assert "Remedy:" in part


def test_a_report_is_the_same_every_time():
    assert run(str(FAILING)).stdout == run(str(FAILING)).stdout
