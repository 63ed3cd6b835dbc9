"""The installations written by hand: which rules each one fails, with the reason worked out by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer.domain.vocabulary import Edition
from trainer.interop.installations import InstallationFile, read_installation
from trainer.resources import folder
from trainer.services.checking import Check, CheckVerdict, check

EXAMPLES = {path.stem: path for path in sorted((folder("scenarios") / "examples").glob("*.toml"))}

CLEAN = ["cottage-tt-charger-pv", "detached-house-four-sources", "terraced-house-charger-heat-pump"]

# Rule and subject of everything that must fail, and why. Clause numbers as in the rule book's
# citations (A2:2022, seen in public texts or from memory; not compared with the print).
FAILING = {
    "charger-outdoors-on-pme": {
        # PME terminal, outdoors, none of the five routes of 722.411.4.1.
        ("EV-04", "equipment.wallbox"),
    },
    "electrode-too-high-tt": {
        # 620 ohm x 0.1 A = 62 V > 50 V (411.5.3) for the one circuit that has no 30 mA device.
        ("RCD-09", "circuits.pv"),
        # Measured 622.1 ohm > 50 V / 0.1 A = 500 ohm (Table 41.5, 100 mA).
        ("OC-03", "circuits.pv"),
    },
    "pv-behind-shared-rcbo": {
        # 712.411.3.2.1.1: the source joins on the load side of the device of a final circuit.
        ("PV-02", "equipment.pv"),
        # A 30 mA device shared by a source and socket-outlets.
        ("GEN-03", "equipment.pv"),
        # 530.3.201: a source on the load side of a device with marked sides.
        ("GEN-04", "devices.way3"),
    },
    "type-a-above-type-b": {
        # Type B 30 mA may pass up to 60 mA of smooth d.c. (IEC 62423: must act by 2 x I-delta-n);
        # type A is promised to work with 6 mA.
        ("RCD-07", "devices.way5"),
    },
    "workshop-leakage-sum": {
        # 4 + 4 + 3.5 = 11.5 mA > 30 % of 30 mA = 9 mA (531.3.2).
        ("RCD-05", "devices.rccb"),
    },
}

# What puts each of them right, as a change of the file's text.
REMEDIES = {
    "charger-outdoors-on-pme": [
        ('earthing = "installation_earth"', 'earthing = "device_sensing_voltage"'),
        ('open_pen = "none"', 'open_pen = "voltage"\nopen_pen_disconnects_within_s = 5'),
        ('"direct_current_detection_tested"', '"direct_current_detection_tested", "open_pen_detection_tested"'),
    ],
    "electrode-too-high-tt": [(" = 620", " = 150"), (" = 622", " = 152")],
    "pv-behind-shared-rcbo": [
        ('circuit = "garage"\nkind = "pv_inverter"', 'circuit = "pv"\nkind = "pv_inverter"'),
        (
            "[[circuits]]\n",
            (
                '[[devices]]\nid = "way7"\nboard = "cu"\nfed_by = "main"\nkind = "circuit_breaker"\nway = 7\n'
                "modules = 2\nrated_current_a = 16\npoles = 2\n"
                'curve = "B"\nbreaking_capacity_ka = 6\ndirection = "bidirectional"\n\n'
                '[[circuits]]\nid = "pv"\nfed_by = "way7"\nmeasured_earth_fault_loop_impedance_ohm = 0.6\n'
                "measured_insulation_mohm = 150\n"
                'cable = { type = "4D4", cross_section_mm2 = 4, protective_conductor_mm2 = 4, length_m = 12, '
                'reference_method = "C", earthed_metal_covering = true, mechanically_protected = true }\n\n'
                "[[circuits]]\n"
            ),
        ),
    ],
    "type-a-above-type-b": [('standard = "BS EN 61008-1"\nrcd_type = "A"', 'standard = "BS EN 62423"\nrcd_type = "B"')],
    "workshop-leakage-sum": [
        ("protective_conductor_current_ma = 4.0", "protective_conductor_current_ma = 2.7"),
        ("protective_conductor_current_ma = 3.5", "protective_conductor_current_ma = 3.6"),
    ],
}


def read(path: Path) -> InstallationFile:
    return read_installation(path.read_bytes())


def failing(result: Check) -> set[tuple[str, str]]:
    return {(finding.rule.id, finding.subject) for finding in result.findings if finding.fails}


def test_every_example_is_either_clean_or_fails_for_a_stated_reason():
    assert set(EXAMPLES) == {*CLEAN, *FAILING}


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_says_in_its_first_line_that_it_is_invented(name):
    first = EXAMPLES[name].read_text("utf-8").splitlines()[0]
    assert first.startswith("# An invented ")


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_says_in_its_title_that_it_is_invented(name):
    assert read(EXAMPLES[name]).installation.title.startswith("Invented ")


@pytest.mark.parametrize("edition", Edition)
@pytest.mark.parametrize("name", CLEAN)
def test_nothing_fails_and_nothing_is_open_in_a_clean_example(name, edition):
    assert check(read(EXAMPLES[name]).installation, edition).verdict is CheckVerdict.NO_FAILING_FINDING


@pytest.mark.parametrize("name", FAILING)
def test_exactly_what_is_wrong_fails(name):
    assert failing(check(read(EXAMPLES[name]).installation)) == FAILING[name]


def test_no_two_examples_fail_the_same_rule():
    rules = [{rule for rule, _ in reasons} for reasons in FAILING.values()]
    assert sum(len(each) for each in rules) == len(set().union(*rules))


@pytest.mark.parametrize("name", REMEDIES)
def test_the_remedy_leaves_nothing_that_fails_and_nothing_open(name):
    text = EXAMPLES[name].read_text("utf-8")
    for old, new in REMEDIES[name]:
        assert old in text
        text = text.replace(old, new, 1) if old == "[[circuits]]\n" else text.replace(old, new)
    assert check(read_installation(text.encode()).installation).verdict is CheckVerdict.NO_FAILING_FINDING


def test_the_sum_of_leakage_is_the_one_worked_out_by_hand():
    result = check(read(EXAMPLES["workshop-leakage-sum"]).installation)
    (finding,) = [each for each in result.findings if each.rule.id == "RCD-05" and each.fails]
    assert (finding.verdict.value, finding.verdict.limit, finding.verdict.unit) == (11.5, 9.0, "mA")
    assert not finding.is_hazard


def test_the_touch_voltage_is_the_one_worked_out_by_hand():
    result = check(read(EXAMPLES["electrode-too-high-tt"]).installation)
    (finding,) = [each for each in result.findings if each.rule.id == "RCD-09" and each.fails]
    assert (finding.verdict.value, finding.verdict.limit, finding.verdict.unit) == (62.0, 50.0, "V")
    assert finding.is_hazard
