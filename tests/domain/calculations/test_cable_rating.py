"""Current-carrying capacity: factors of Appendix 4 multiplied by hand."""

from __future__ import annotations

import pytest

from tests.domain.houses import cable, circuit
from trainer.domain.cables import Cable, CableType
from trainer.domain.calculations.cable_rating import Rating, current_carrying_capacity
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION

LIMITS = limits_for(DEFAULT_EDITION)


def rating(run: Cable | None, *, phases: int = 1, at_most_c: float | None = None) -> Rating:
    return current_carrying_capacity(circuit("c", "b", cable=run, phases=phases), LIMITS, at_most_c=at_most_c)


def armoured(method: str = "C", **facts: object) -> Cable:
    given: dict[str, object] = {
        "type": CableType.ARMOURED_THERMOSETTING_90,
        "cross_section_mm2": 6.0,
        "protective_conductor_mm2": None,
        "reference_method": method,
    }
    return cable(**(given | facts))


def test_a_cable_without_conditions_has_its_tabulated_rating() -> None:
    assert rating(cable()) == Rating(27.0)
    assert rating(cable()).capacity_a == 27.0


def test_all_factors_multiply() -> None:
    # 27 A x Ca 0.94 (35 C) x Cg 0.70 (three circuits bunched) x Ci 0.78 (100 mm) = 13.857 A
    hot = cable(ambient_c=35.0, grouped_with=2, insulation_contact_mm=100.0)
    assert rating(hot).capacity_a == pytest.approx(13.8575, abs=1e-4)
    assert rating(hot).before_insulation_a == pytest.approx(17.766, abs=1e-4)


def test_a_value_between_two_rows_takes_the_stricter_row() -> None:
    assert rating(cable(ambient_c=31.0)).ambient_factor == 0.94
    assert rating(cable(ambient_c=10.0)).ambient_factor == 1.03
    assert rating(cable(insulation_contact_mm=60.0)).insulation_factor == 0.78


@pytest.mark.parametrize("length_mm", [500.0, 501.0, 4000.0])
def test_half_a_metre_of_insulation_or_more_halves_the_rating(length_mm: float) -> None:
    # 523.9
    assert rating(cable(insulation_contact_mm=length_mm)).capacity_a == 13.5


@pytest.mark.parametrize(("method", "amps"), [("100", 21.0), ("101", 17.0), ("102", 21.0), ("103", 13.5), ("A", 20.0)])
def test_methods_in_insulation_already_count_it(method: str, amps: float) -> None:
    assert rating(cable(reference_method=method, insulation_contact_mm=1000.0)).capacity_a == amps


def test_a_single_layer_is_kinder_than_a_bunch() -> None:
    assert rating(cable(grouped_with=1)).grouping_factor == 0.80
    assert rating(cable(grouped_with=1, bunched=False)).grouping_factor == 0.85


def test_three_phases_load_three_conductors() -> None:
    assert rating(armoured(), phases=3).tabulated_a == 53.0
    assert rating(armoured(), phases=1).tabulated_a == 62.0


def test_multicore_cable_has_a_table_of_its_own() -> None:
    # 2.5 mm2, method B: 23 A (4D2); armoured cable has no method B
    assert rating(cable(type=CableType.MULTICORE_THERMOPLASTIC_70, reference_method="B")).tabulated_a == 23.0


def test_a_cool_conductor_has_the_rating_of_the_seventy_degree_table_and_its_factors() -> None:
    cool = rating(armoured(conductor_temperature_c=70.0, ambient_c=40.0))
    warm = rating(armoured(ambient_c=40.0))
    assert (cool.tabulated_a, cool.ambient_factor) == (49.0, 0.87)
    assert (warm.tabulated_a, warm.ambient_factor) == (62.0, 0.91)
    assert rating(armoured(), at_most_c=70.0).tabulated_a == 49.0


def test_a_buried_cable_takes_ground_values_and_never_the_air_factor() -> None:
    # 53 A in the ground x 0.9 for overload protection; ambient air of 40 C does not count.
    buried = rating(armoured("D", buried=True, ambient_c=40.0))
    assert buried == Rating(53.0, 1.0, 1.0, 1.0, 0.9)
    assert buried.capacity_a == pytest.approx(47.7)


def test_ground_and_soil_factors_multiply() -> None:
    # 53 x 0.93 (30 C, 90 C column) x 0.90 (3 K m/W) x 0.75 (two touching) x 0.9
    deep = armoured("D", buried=True, ground_c=30.0, soil_resistivity_k_m_per_w=3.0, grouped_with=1)
    assert rating(deep).capacity_a == pytest.approx(53 * 0.93 * 0.90 * 0.75 * 0.9)
    cool = armoured("D", buried=True, ground_c=30.0, conductor_temperature_c=70.0)
    assert rating(cool).capacity_a == pytest.approx(46 * 0.89 * 0.9)


@pytest.mark.parametrize(
    ("run", "path"),
    [
        (None, "cable"),
        (cable(reference_method="B"), "cable.reference_method"),
        (cable(cross_section_mm2=25.0), "cable.cross_section_mm2"),
        (cable(ambient_c=61.0), "cable.ambient_c"),
        (cable(grouped_with=9), "cable.grouped_with"),
        (armoured("C", buried=True), "cable.reference_method"),
        (armoured("D", buried=True, ground_c=50.0), "cable.ground_c"),
        (armoured("D", buried=True, soil_resistivity_k_m_per_w=4.0), "cable.soil_resistivity_k_m_per_w"),
        (armoured("D", buried=True, grouped_with=6), "cable.grouped_with"),
    ],
)
def test_what_lies_outside_the_tables_is_named(run: Cable | None, path: str) -> None:
    with pytest.raises(MissingFactError) as gap:
        rating(run)
    assert gap.value.paths == (f"circuits.c.{path}",)


def test_flat_cable_has_no_three_phase_rating() -> None:
    with pytest.raises(MissingFactError) as gap:
        rating(cable(), phases=3)
    assert gap.value.paths == ("circuits.c.cable.type",)
