"""The waveform page works as a plain form and tells what cannot be."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient

from trainer.domain.physics.front_ends import FRONT_ENDS


def test_a_power_factor_stage_asks_for_type_b(client: FlaskClient) -> None:
    # Status from memory: IEC 60755 lists rectifiers whose fault current never reaches zero under type B.
    page = client.get("/waveform?front_end=bridge_power_factor_stage&fault=dc_positive").text
    assert "type B at least must detect it" in page
    assert "is not required to act" in page
    assert "cannot act" not in page


@pytest.mark.parametrize("front_end", [each.value for each in FRONT_ENDS])
def test_every_front_end_and_fault_point_has_its_page(client: FlaskClient, front_end: str) -> None:
    entry = next(each for each in FRONT_ENDS.values() if each.front_end == front_end)
    for point in entry.fault_points:
        answer = client.get(f"/waveform?front_end={front_end}&fault={point}&standing_dc=8")
        assert answer.status_code == 200
        assert 'class="curve"' in answer.text


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("load_power_w=1", "load power must lie in"),
        ("fault_resistance_ohm=-5", "fault resistance"),
        ("fault_resistance_ohm=tar", "must be a number"),
        ("standing_dc=-1", "must be from 0"),
        ("rating=0", "must be above zero"),
    ],
)
def test_an_impossible_value_is_told_and_the_form_stays(client: FlaskClient, query: str, said: str) -> None:
    answer = client.get(f"/waveform?front_end=bridge_power_factor_stage&{query}")
    assert answer.status_code == 400
    assert said in answer.text
    assert 'name="load_power_w"' in answer.text


def test_an_unknown_front_end_is_refused_with_the_nearest(client: FlaskClient) -> None:
    answer = client.get("/waveform?front_end=six_puls_choke")
    assert answer.status_code == 400
    assert "six_pulse_choke" in answer.text


def test_the_core_stands_beside_its_caption(client: FlaskClient) -> None:
    assert "most go further, none is promised to" in client.get("/waveform").text
