"""Cable tables of the product against the rows as printed, and against the formulas behind some of them."""

from __future__ import annotations

import math

import pytest

from tests.domain.published import published
from trainer.domain.calculations.lookup import lookup
from trainer.domain.limits import Table, limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION

LIMITS = limits_for(DEFAULT_EDITION)
CABLES = LIMITS.overcurrent


def _flat() -> tuple[dict[tuple[object, ...], float], dict[tuple[object, ...], float]]:
    ratings: dict[tuple[object, ...], float] = {}
    drops: dict[tuple[object, ...], float] = {}
    for row in published("cable_ratings_4d5"):
        size = float(row.pop("cross_section_mm2"))
        drops[(size, 2.0)] = float(row.pop("drop"))
        ratings |= {(float(m) if m.isdigit() else m, size, 2.0): float(value) for m, value in row.items()}
    return ratings, drops


def _multicore(name: str) -> tuple[dict[tuple[object, ...], float], dict[tuple[object, ...], float]]:
    ratings: dict[tuple[object, ...], float] = {}
    drops: dict[tuple[object, ...], float] = {}
    for row in published(name):
        size = float(row.pop("cross_section_mm2"))
        for column, value in row.items():
            if column.startswith("drop"):
                drops[(size, float(column[-1]))] = float(value)
            else:
                ratings[(column[0], size, float(column[1]))] = float(value)
    return ratings, drops


TABLES = [
    ("4D5", _flat(), CABLES.rating_4d5, CABLES.drop_4d5),
    ("4D2", _multicore("cable_ratings_4d2"), CABLES.rating_4d2, CABLES.drop_4d2),
    ("4D4", _multicore("cable_ratings_4d4"), CABLES.rating_4d4, CABLES.drop_4d4),
    ("4E4", _multicore("cable_ratings_4e4"), CABLES.rating_4e4, CABLES.drop_4e4),
]


@pytest.mark.parametrize(("name", "printed", "ratings", "drops"), TABLES, ids=[each[0] for each in TABLES])
def test_ratings_and_drops_are_those_printed(
    name: str,
    printed: tuple[dict[tuple[object, ...], float], dict[tuple[object, ...], float]],
    ratings: Table,
    drops: Table,
) -> None:
    assert lookup(ratings).rows == printed[0]
    assert lookup(drops).rows == printed[1]
    assert name in ratings.citation.clause.upper()


FACTORS = {
    "ambient_70": CABLES.ambient_factor_70,
    "ambient_90": CABLES.ambient_factor_90,
    "soil": CABLES.soil_factor,
    "bunched": CABLES.grouping_bunched,
    "single_layer": CABLES.grouping_single_layer,
    "in_ground": CABLES.grouping_buried,
}


@pytest.mark.parametrize("name", FACTORS)
def test_correction_factors_are_those_printed(name: str) -> None:
    printed = {(float(r["at"]),): float(r["value"]) for r in published("correction_factors") if r["factor"] == name}
    assert lookup(FACTORS[name]).rows == printed


def test_ground_factors_are_those_printed() -> None:
    printed = {
        (float(r["factor"].removeprefix("ground_")), float(r["at"])): float(r["value"])
        for r in published("correction_factors")
        if r["factor"].startswith("ground")
    }
    assert lookup(CABLES.ground_factor).rows == printed


def test_insulation_factors_are_those_printed_and_one_without_insulation() -> None:
    printed = {
        (float(r["at"]),): float(r["value"]) for r in published("correction_factors") if r["factor"] == "insulation"
    }
    assert lookup(CABLES.insulation_factor).rows == printed | {(0.0,): 1.0}


def _heat_balance_rows() -> list[tuple[float, float, float, float]]:
    base = {"ambient": 30.0, "ground": 20.0}
    rows = []
    for row in published("correction_factors"):
        medium, _, conductor = row["factor"].partition("_")
        if medium in base:
            rows.append((float(conductor), base[medium], float(row["at"]), float(row["value"])))
    return rows


@pytest.mark.parametrize(("conductor_c", "base_c", "medium_c", "printed"), _heat_balance_rows())
def test_temperature_factors_follow_the_heat_balance(
    conductor_c: float, base_c: float, medium_c: float, printed: float
) -> None:
    # Second route, IEC 60364-5-52 Annex B: Ca = sqrt((t_conductor - t) / (t_conductor - t_base)). Below the
    # base temperature of air the British table allows less than that.
    balance = math.sqrt((conductor_c - medium_c) / (conductor_c - base_c))
    assert printed <= balance + 0.02
    if medium_c >= base_c or base_c < 30:
        assert printed == pytest.approx(balance, abs=0.02)


@pytest.mark.parametrize("row", published("r1_r2"))
def test_r1_plus_r2_per_metre_is_that_of_the_handbook(row: dict[str, str]) -> None:
    resistance = lookup(LIMITS.earthing.conductor_resistance).rows
    both = resistance[(float(row["line_mm2"]),)] + resistance[(float(row["protective_mm2"]),)]
    assert both == pytest.approx(float(row["r1_r2_milliohm_per_m"]), abs=0.005)


def test_resistance_falls_nearly_as_the_cross_section_grows() -> None:
    # Second route: annealed copper of 17.241 nanoohm m (IEC 60028); class 1 and 2 conductors may be drawn
    # up to some 8 % above it, BS EN 60228 sets the maximum.
    for (size,), milliohm in lookup(LIMITS.earthing.conductor_resistance).rows.items():
        assert 1.0 <= milliohm * float(size) / 17.241 < 1.08


@pytest.mark.parametrize("row", published("armour_resistance"))
def test_armour_has_the_resistance_of_the_handbook(row: dict[str, str]) -> None:
    size = float(row.pop("cross_section_mm2"))
    earthing = LIMITS.earthing
    held = lookup(earthing.armour_resistance).rows | lookup(earthing.armour_resistance_large).rows
    for cores, milliohm in row.items():
        assert held[(float(cores), size)] == float(milliohm)


@pytest.mark.parametrize("row", published("k_factors"))
def test_k_is_that_printed(row: dict[str, str]) -> None:
    assert LIMITS.earthing.k_factor[row["use"]].value == float(row["k"])


@pytest.mark.parametrize("row", published("k_factors"))
def test_k_follows_the_adiabatic_heating_of_the_conductor(row: dict[str, str]) -> None:
    # Second route, BS 7671 543.1.3 and IEC 60949: k = c * sqrt(ln(1 + (final - initial) / (beta + initial)))
    # with c = 226, beta = 234.5 C for copper and c = 78, beta = 202 C for steel.
    constant, beta = (78, 202) if row["use"].startswith("armour") else (226, 234.5)
    initial, final = float(row["initial_c"]), float(row["final_c"])
    k = constant * math.sqrt(math.log(1 + (final - initial) / (beta + initial)))
    assert k == pytest.approx(float(row["k"]), abs=0.6)


def test_multipliers_at_operating_temperature_are_those_of_the_handbook() -> None:
    # Handbook: 1.20 at 70 C, 1.28 at 90 C, seen in a public text.
    rise = LIMITS.earthing.copper_temperature_coefficient_per_k.value
    assert 1 + rise * 50 == pytest.approx(1.20)
    assert 1 + rise * 70 == pytest.approx(1.28)


def test_the_steel_coefficient_agrees_with_the_constants_of_543_1_3() -> None:
    # 1 / (202 C + 20 C)
    assert LIMITS.earthing.steel_temperature_coefficient_per_k.value == pytest.approx(1 / 222, abs=5e-5)
