"""OC-08 to OC-11: passing, failing, on the limit, undetermined; expected values by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import BOARD, breaker, cable, circuit, house, item, verdicts
from trainer.domain.cables import Cable, CableType
from trainer.domain.devices import Board
from trainer.domain.findings import Verdict
from trainer.domain.rules import cables
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Outcome

DROP, CORRECTED, INSULATED, TERMINALS = cables.RULES
PASS, FAIL, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED


def judged(rule: Rule, run: Cable | None, rated_a: float = 20.0, **facts: Any) -> Verdict | None:
    home = house(breaker("b", rated_current_a=rated_a), circuit("c", "b", cable=run, **facts), item("i", "c"))
    return verdicts(rule, home).get("c")


def the(verdict: Verdict | None) -> Verdict:
    assert verdict is not None
    return verdict


# OC-08


@pytest.mark.parametrize(
    ("length_m", "outcome"),
    [(20.0, PASS), (11500 / 180, PASS), (63.9, FAIL)],
)
def test_five_percent_is_the_limit_for_other_circuits(length_m: float, outcome: Outcome) -> None:
    # 18 mV/A/m x 10 A: 11.5 V after 63.89 m
    verdict = the(judged(DROP, cable(length_m=length_m)))
    assert (verdict.outcome, verdict.case, verdict.limit, verdict.unit) == (outcome, "other", 11.5, "V")
    assert verdict.value == pytest.approx(0.18 * length_m)


def test_three_percent_is_the_limit_for_lighting() -> None:
    verdict = the(judged(DROP, cable(length_m=50.0), luminaires=True))
    assert (verdict.outcome, verdict.case, verdict.limit) == (FAIL, "lighting", 6.9)
    assert the(judged(DROP, cable(length_m=38.0), luminaires=True)).outcome is PASS


def test_a_distribution_circuit_is_judged_with_the_final_circuits() -> None:
    home = house(breaker("b"), circuit("c", "b"), Board(id="garage", fed_by="c"))
    assert verdicts(DROP, home) == {}


def test_the_drop_is_undetermined_without_a_cable() -> None:
    verdict = the(judged(DROP, None))
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, ("circuits.c.cable",))


# OC-09


def test_grouping_that_takes_the_rating_below_the_device_fails() -> None:
    # 27 A x 0.70 = 18.9 A
    verdict = the(judged(CORRECTED, cable(grouped_with=2)))
    assert (verdict.outcome, verdict.case, verdict.value) == (FAIL, "in_air", 20.0)
    assert verdict.limit == pytest.approx(18.9)


def test_grouping_that_leaves_enough_complies() -> None:
    assert the(judged(CORRECTED, cable(grouped_with=1))).outcome is PASS


def test_a_corrected_rating_equal_to_the_device_complies() -> None:
    # 4 mm2, method 100: 27 A; 40 C: x 0.87; 23.49 A against a device of 23.49 A
    verdict = the(judged(CORRECTED, cable(ambient_c=40.0), rated_a=23.49))
    assert (verdict.outcome, verdict.limit) == (PASS, pytest.approx(23.49))


def test_air_below_30_degrees_raises_the_rating() -> None:
    # Table 4B1, from memory: 1.03 at 25 C; 27 A x 1.03 = 27.81 A
    verdict = the(judged(CORRECTED, cable(ambient_c=25.0)))
    assert (verdict.outcome, verdict.case) == (PASS, "in_air")
    assert verdict.limit == pytest.approx(27.81)


def test_a_buried_cable_is_corrected_for_the_ground() -> None:
    run = cable(type=CableType.ARMOURED_THERMOPLASTIC_70, reference_method="D", buried=True)
    verdict = the(judged(CORRECTED, run))
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "in_ground", pytest.approx(26.1))


def test_the_rule_speaks_only_where_correction_decides() -> None:
    assert judged(CORRECTED, cable()) is None
    assert judged(CORRECTED, cable(grouped_with=2), rated_a=32.0) is None
    assert judged(CORRECTED, None) is None
    assert judged(CORRECTED, cable(grouped_with=2), ring=True) is None
    assert judged(CORRECTED, cable(insulation_contact_mm=500.0)) is None
    assert verdicts(CORRECTED, house(circuit("c", BOARD, cable=cable(grouped_with=1)))) == {}


def test_correction_is_undetermined_outside_the_tables() -> None:
    verdict = the(judged(CORRECTED, cable(ambient_c=70.0)))
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, ("circuits.c.cable.ambient_c",))


# OC-10


@pytest.mark.parametrize(
    ("rated_a", "length_mm", "outcome", "limit"),
    [
        (13.0, 500.0, PASS, 13.5),
        (13.5, 500.0, PASS, 13.5),
        (16.0, 500.0, FAIL, 13.5),
        (16.0, 100.0, PASS, 21.06),
        (16.0, 1000.0, FAIL, 13.5),
    ],
)
def test_insulation_reduces_the_rating(rated_a: float, length_mm: float, outcome: Outcome, limit: float) -> None:
    # 27 A x 0.5 from half a metre on (523.9), x 0.78 at 100 mm
    verdict = the(judged(INSULATED, cable(insulation_contact_mm=length_mm), rated_a=rated_a))
    assert (verdict.outcome, verdict.case) == (outcome, "insulation_factor")
    assert verdict.limit == pytest.approx(limit)


def test_a_method_in_insulation_is_not_reduced_twice() -> None:
    verdict = the(judged(INSULATED, cable(insulation_contact_mm=1000.0, reference_method="100")))
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "in_table", 21.0)


def test_the_rule_speaks_only_where_insulation_decides() -> None:
    assert judged(INSULATED, cable()) is None
    assert judged(INSULATED, None) is None
    assert judged(INSULATED, cable(insulation_contact_mm=500.0), rated_a=32.0) is None
    assert judged(INSULATED, cable(insulation_contact_mm=500.0), ring=True) is None
    assert verdicts(INSULATED, house(circuit("c", BOARD, cable=cable(insulation_contact_mm=500.0)))) == {}


def test_insulation_is_undetermined_outside_the_tables() -> None:
    verdict = the(judged(INSULATED, cable(insulation_contact_mm=500.0, reference_method="B")))
    assert verdict.missing == ("circuits.c.cable.reference_method",)


# OC-11


def hot(**facts: Any) -> Cable:
    given: dict[str, Any] = {"type": CableType.ARMOURED_THERMOSETTING_90, "cross_section_mm2": 4.0}
    return cable(**(given | facts))


def test_a_hot_cable_at_ordinary_terminals_fails() -> None:
    # 4 mm2: 49 A at 90 C, 38 A at 70 C; a device of 40 A heats it above 70 C
    verdict = the(judged(TERMINALS, hot(), rated_a=40.0))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (FAIL, "ordinary_terminals", 90.0, 70.0)


@pytest.mark.parametrize(("rated_a", "outcome"), [(32.0, PASS), (38.0, PASS), (38.1, FAIL)])
def test_a_device_within_the_seventy_degree_rating_keeps_it_cool(rated_a: float, outcome: Outcome) -> None:
    verdict = the(judged(TERMINALS, hot(), rated_a=rated_a))
    assert verdict.outcome is outcome
    if outcome is PASS:
        assert (verdict.case, verdict.value, verdict.limit) == ("cool_enough", rated_a, 38.0)


def test_a_design_at_seventy_degrees_suits_ordinary_terminals() -> None:
    verdict = the(judged(TERMINALS, hot(conductor_temperature_c=70.0), rated_a=40.0))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (PASS, "ordinary_terminals", 70.0, 70.0)


def test_terminals_declared_for_ninety_degrees_suit_a_hot_cable() -> None:
    verdict = the(judged(TERMINALS, hot(terminals_temperature_c=90.0), rated_a=40.0))
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "declared_terminals", 90.0)
    lower = the(judged(TERMINALS, hot(terminals_temperature_c=75.0), rated_a=40.0))
    assert (lower.outcome, lower.case) == (FAIL, "declared_terminals")


def test_other_cables_are_not_judged() -> None:
    assert judged(TERMINALS, cable()) is None
    assert judged(TERMINALS, None) is None


def test_terminals_are_undetermined_outside_the_tables() -> None:
    verdict = the(judged(TERMINALS, hot(reference_method="A"), rated_a=40.0))
    assert verdict.missing == ("circuits.c.cable.reference_method",)


def test_without_a_device_the_design_temperature_decides() -> None:
    found = verdicts(TERMINALS, house(circuit("c", BOARD, cable=hot())))
    assert found["c"].outcome is FAIL
