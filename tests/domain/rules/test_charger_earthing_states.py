"""Which loads count when the PEN is open, and what leaves the figures about it open.

Figures by hand from the formula of Annex A722 (compared with print in ``tests/domain/calculations``): the voltage is
253 V x neutral current / sum of the line currents.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import charger, circuit, house, item, rcbo, verdicts
from trainer.domain.equipment import ChargerEarthing
from trainer.domain.findings import Verdict
from trainer.domain.rules.charger_earthing import (
    additional_electrode_on_three_phases,
    charger_not_earthed_by_pme_alone,
    neutral_current_in_the_worst_state,
)
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Location, Outcome

COMPLIES = Outcome.COMPLIES
BALANCED, ELECTRODE = ChargerEarthing.BALANCED_THREE_PHASE, ChargerEarthing.ADDITIONAL_ELECTRODE


def three_phase(rule: Rule, *records: Any, earthing: ChargerEarthing = BALANCED, **facts: Any) -> Verdict:
    """The verdict on a three-phase charger on a three-phase supply, beside further records."""
    point = charger("ev", "c", phases=3, earthing=earthing, **facts)
    of = house(rcbo("way1", poles=4), circuit("c", "way1", phases=3), point, *records, phases=3)
    return verdicts(rule, of)["ev"]


@pytest.mark.parametrize("place", [each for each in Location if each is not Location.OUTDOORS])
def test_only_outdoors_the_place_of_the_unit_settles_where_it_charges(place: Location) -> None:
    point = charger("ev", "c", earthing=ChargerEarthing.INSTALLATION_EARTH, charges_outdoors=False, location=place)
    verdict = verdicts(charger_not_earthed_by_pme_alone, house(rcbo("way1"), circuit("c", "way1"), point))["ev"]
    assert (verdict.outcome, verdict.case) == (COMPLIES, "indoors_only")


def test_a_load_on_three_phases_is_off_in_the_worst_state() -> None:
    # 34/34/34 A without it; if its 40 A were counted on one line, 253 x 40 / 142 = 71 V.
    loaded = (rcbo("way2", poles=4), circuit("d", "way2", phases=3, design_current_a=40.0))
    verdict = three_phase(charger_not_earthed_by_pme_alone, *loaded)
    assert verdict.outcome is COMPLIES
    assert verdict.value == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("name", ["a", "d"])
def test_a_load_counts_whatever_the_name_of_its_circuit(name: str) -> None:
    # 40 A beside 32 A on each line and 2 A of base load: 72/34/34 A, 253 x 38 / 140 = 68.67 V
    loaded = (rcbo("way2"), circuit(name, "way2", design_current_a=40.0))
    verdict = three_phase(charger_not_earthed_by_pme_alone, *loaded)
    assert verdict.value == pytest.approx(68.67, abs=0.005)


def test_a_load_that_nobody_knows_leaves_the_electrode_of_three_phases_open() -> None:
    unknown = (rcbo("way2"), circuit("d", "way2"), item("load", "d", rated_current_a=None))
    for rule in (additional_electrode_on_three_phases, neutral_current_in_the_worst_state):
        verdict = three_phase(rule, *unknown, earthing=ELECTRODE, electrode_resistance_ohm=1.0)
        assert (verdict.outcome, verdict.missing) == (Outcome.UNDETERMINED, ("equipment.load.rated_current_a",))


def test_an_electrode_that_nobody_measured_leaves_three_phases_open() -> None:
    verdict = three_phase(additional_electrode_on_three_phases, earthing=ELECTRODE)
    assert verdict.outcome is Outcome.UNDETERMINED
    assert verdict.missing == ("equipment.ev.charger.electrode_resistance_ohm",)
