"""``trainer waveform`` as text, JSON and CSV."""

from __future__ import annotations

import json
import math

import pytest
from click.testing import CliRunner

from trainer.cli.main import main


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["waveform", *words])
    return result.exit_code, result.stdout


def test_a_half_wave_has_the_mean_of_the_closed_form() -> None:
    # Mean of a half-wave: peak / pi; r.m.s.: peak / 2 (hand derivation).
    code, text = run(
        "half_wave", "--set", "fault_resistance_ohm=1000", "--set", "firing_angle_deg=0", "--format", "json"
    )
    document = json.loads(text)
    assert code == 0
    assert document["mean_ma"] == pytest.approx(230 * math.sqrt(2) / math.pi, rel=1e-3)
    assert document["rms_ma"] == pytest.approx(230 * math.sqrt(2) / 2, rel=1e-3)
    assert document["least_type"] == "A"
    assert len(document["time_s"]) == len(document["residual_current_ma"]) == 360


def test_the_list_names_fault_points_and_ranges() -> None:
    document = json.loads(run("--list", "--format", "json")[1])
    first = document["front_ends"][0]
    assert set(first) == {"id", "label", "fault_points", "parameters"}
    assert all(each["minimum"] <= each["default"] <= each["maximum"] for each in first["parameters"])
    assert "dc_positive" in run("--list")[1]


def test_csv_holds_one_line_for_each_sample() -> None:
    lines = run("six_pulse_capacitor", "--format", "csv")[1].splitlines()
    assert lines[0] == "time_s,residual_current_ma"
    assert len(lines) == 361


def test_text_says_not_required_and_the_caution() -> None:
    code, text = run("bridge_power_factor_stage", "--fault", "dc_positive")
    assert code == 0
    assert "is not required to act" in text
    assert "training aid" in text


@pytest.mark.parametrize(
    ("words", "path"),
    [
        (["half_wav"], "front_end"),
        (["half_wave", "--fault", "dc_middle"], "fault"),
        (["half_wave", "--set", "fault_resistance_ohm=0"], "fault_resistance_ohm"),
        (["half_wave", "--set", "colour=3"], "colour"),
        (["half_wave", "--set", "fault_resistance_ohm=x"], "fault_resistance_ohm"),
    ],
)
def test_what_cannot_be_is_refused_with_the_place(words: list[str], path: str) -> None:
    code, text = run(*words, "--format", "json")
    assert code == 2
    assert path in json.loads(text)["errors"][0]["path"]


def test_no_front_end_is_wrong_use() -> None:
    assert run()[0] == 2
