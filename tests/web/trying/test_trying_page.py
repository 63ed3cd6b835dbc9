"""The bench as plain forms: an installation, one value, and where the findings flip."""

from __future__ import annotations

import re
from html import unescape

import pytest
from flask import Flask
from flask.testing import FlaskClient

from trainer.resources import folder

LENGTH = "circuits.charger.cable.length_m"
ELECTRODE = {"example": "electrode-too-high-tt", "path": "earthing.electrode_resistance_ohm"}
OVER = {"from": "10", "to": "2000", "step": "100"}


def text(answer) -> str:
    """What a reader sees: no tags, single spaces."""
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", answer.text)).split()).replace("\u00a0", " ")


def written(name: str = "workshop-leakage-sum") -> str:
    return (folder("scenarios") / "examples" / f"{name}.toml").read_text("utf-8")


def test_the_first_page_shows_a_house_a_flip_and_the_caution(client: FlaskClient) -> None:
    answer = client.get("/try")
    seen = text(answer)
    assert answer.status_code == 200
    # 11.5 V / (32 A * 4.4 mV/A/m) = 81.676 m: hand calculation from Table 4D4.
    assert "up to 81.676 m" in seen
    assert "from 81.677 m" in seen
    assert "525.202" in seen
    assert "training aid with invented installations" in seen


def test_the_place_is_beside_the_rule_book_in_the_navigation(client: FlaskClient) -> None:
    page = client.get("/try").text
    assert re.search(r'Rules</a></li>\s*<li><a href="/try" aria-current="page">', page)


def test_an_electrode_flips_at_500_and_1667_ohm_with_limit_and_drawing(client: FlaskClient) -> None:
    """BS 7671 Table 41.5: 500 ohm at 100 mA, 1667 ohm at 30 mA."""
    answer = client.get("/try", query_string={**ELECTRODE, **OVER, "rule": "RCD-09"})
    seen = text(answer)
    assert "up to 500 Ω complies: 50 V, exactly the limit, which is allowed." in seen
    assert "from 1666.6667 Ω does not comply" in seen
    assert "The same at: circuit ‘Sockets" in seen
    assert answer.text.count("<polyline") == 4
    assert "Step by step" in seen
    assert "rules tried: 1." in seen


def test_words_are_chosen_from_their_list(client: FlaskClient) -> None:
    query = {
        "example": "type-a-above-type-b",
        "path": "devices.incomer.rcd_type",
        "value": ["A", "B"],
        "rule": "RCD-07",
    }
    answer = client.get("/try", query_string=query)
    seen = text(answer)
    assert "A does not comply" in seen
    assert "B complies" in seen
    assert re.search(r'value="A" checked', answer.text)
    assert not re.search(r'value="F" checked', answer.text)
    assert "<polyline" not in answer.text


def test_values_written_for_another_path_are_not_carried_over(client: FlaskClient) -> None:
    query = {"path": "supply.fuse_rated_current_a", "for": LENGTH, "from": "5", "to": "60", "step": "5"}
    answer = client.get("/try", query_string=query)
    assert answer.status_code == 200
    assert 'id="to" name="to" type="number" step="any" value="60"' not in answer.text


def test_a_house_of_a_seed_can_be_tried(client: FlaskClient) -> None:
    answer = client.get("/try?seed=7&level=3")
    assert answer.status_code == 200
    assert '<input type="hidden" name="seed" value="7">' in answer.text


def test_an_installation_written_by_hand_is_tried_and_stays_in_the_form(app: Flask, client: FlaskClient) -> None:
    app.config["WTF_CSRF_ENABLED"] = False
    path = "equipment.extractor.protective_conductor_current_ma"
    data = {"text": written(), "path": path, "from": "0.5", "to": "4", "step": "0.5", "rule": "RCD-05"}
    answer = client.post("/try", data=data)
    # 30 % of 30 mA are 9 mA, two machines let 8 mA flow: hand calculation.
    assert "up to 1 mA" in text(answer)
    assert "from 1.001 mA" in text(answer)
    assert answer.text.count("Invented workshop with three machines") >= 3
    assert '<form method="post" action="/try" data-live>' in answer.text


def test_what_is_pasted_is_shown_as_text_and_not_as_markup(app: Flask, client: FlaskClient) -> None:
    app.config["WTF_CSRF_ENABLED"] = False
    evil = written().replace("Invented workshop", "<script>alert(1)</script> workshop")
    answer = client.post("/try", data={"text": evil})
    assert answer.status_code == 200
    assert "<script>alert" not in answer.text
    broken = client.post("/try", data={"text": "</textarea><script>alert(1)</script>"})
    assert broken.status_code == 400
    assert "<script>alert" not in broken.text


def test_a_form_from_elsewhere_is_refused(client: FlaskClient) -> None:
    assert client.post("/try", data={"text": written()}).status_code == 400


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ({"example": "no-such-house"}, "unknown example"),
        ({"seed": "-1"}, "must be a whole number"),
        ({"seed": "9" * 30}, "must be a whole number"),
        ({"seed": "7", "level": "99"}, "level"),
        ({"path": "circuits.charger.cable.lenght_m"}, f"nearest: {LENGTH}"),
        ({"path": "circuits.charger.cable"}, "names a record"),
        ({"path": LENGTH, "from": "60", "to": "5", "step": "5"}, "from the smaller number"),
        ({"path": LENGTH, "from": "5", "to": "", "step": ""}, "FROM:TO"),
        ({"path": LENGTH, "from": "5", "to": "60", "step": "0"}, "step must be at least 0.001 m"),
        ({"path": LENGTH, "from": "5", "to": "many"}, "FROM:TO"),
        ({"path": LENGTH, "values": "5000"}, "too high to be plausible"),
        ({"path": LENGTH, "from": "1", "to": "199", "step": "1"}, "too many steps for a page"),
        ({"path": "supply.looped", "value": "maybe"}, "unknown value"),
        ({"rule": "OC-80"}, "unknown rule"),
    ],
)
def test_what_cannot_be_is_told_beside_the_form_which_stays(
    client: FlaskClient, query: dict[str, str], said: str
) -> None:
    answer = client.get("/try", query_string=query)
    assert answer.status_code == 400
    assert said in text(answer)
    assert 'role="alert"' in answer.text
    assert 'name="example"' in answer.text


def test_every_problem_of_a_file_is_told_at_once(app: Flask, client: FlaskClient) -> None:
    app.config["WTF_CSRF_ENABLED"] = False
    wrong = (
        written().replace('earthing_system = "TN-S"', 'earthing_system = "TN-X"').replace("poles = 2", "poles = 9", 1)
    )
    answer = client.post("/try", data={"text": wrong.replace('kind = "rccb"', 'kind = "rcbb"')})
    assert answer.status_code == 400
    assert "rcbb" in text(answer)
    assert "poles" in text(answer)
    assert wrong.splitlines()[0][2:40] in answer.text


def test_a_rule_page_leads_to_the_bench(client: FlaskClient) -> None:
    assert 'href="/try?rule=OC-08&amp;' in client.get("/rules/OC-08").text


def test_values_that_the_installation_cannot_have_are_listed(client: FlaskClient) -> None:
    answer = client.get("/try", query_string={"path": "supply.phases", "values": "1,2"})
    assert "Not possible in this installation" in text(answer)
    assert "one or three phases" in text(answer)
