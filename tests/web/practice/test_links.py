"""Every place of the drawing where something is to be chosen leads to its choice."""

from __future__ import annotations

from trainer.domain.answers.decisions import Decision, Edit, Option
from trainer.web.practice.groups import links_of


def _decision(key: str, subject: str, *paths: str) -> Decision:
    edits = tuple(Edit(path=path, value=None) for path in paths)
    return Decision(id=key, subject=subject, question="?", options=(Option(id="o", label="o", edits=edits),))


def test_a_place_leads_to_the_first_decision_about_it() -> None:
    links = links_of(
        [
            _decision("type", "devices.way1", "devices.way1.rcd_type"),
            _decision("curve", "devices.way1", "devices.way1.curve"),
        ]
    )
    assert links["devices.way1"] == "#decision-type"


def test_what_a_decision_about_the_whole_sets_somewhere_leads_there_too() -> None:
    links = links_of(
        [
            _decision("surge", "installation", "surge.device"),
            _decision("rod", "installation", "earthing.island_electrode_resistance_ohm"),
            _decision("bonding", "installation", "earthing.main_bonding_mm2"),
        ]
    )
    assert links["surge"] == "#decision-surge"
    assert links["earthing.island_electrode_resistance_ohm"] == "#decision-rod"
    assert links["earthing"] == "#decision-bonding"
