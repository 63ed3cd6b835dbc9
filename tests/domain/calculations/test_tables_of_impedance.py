"""Maximum earth fault loop impedance against Tables 41.2 to 41.5 and 41.1 of BS 7671, and their formula."""

from __future__ import annotations

import pytest

from tests.domain.houses import breaker, circuit, fuse, house
from tests.domain.published import half_a_digit, published
from trainer.domain.calculations import disconnection
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.devices import Board
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION, Curve

LIMITS = limits_for(DEFAULT_EDITION)
BREAKERS = [
    (curve, float(row["rated_current_a"]), row[curve])
    for row in published("maximum_impedance_breakers")
    for curve in "BCD"
]
FUSES = [
    (row["standard"], float(row["rated_current_a"]), float(time), row[time])
    for row in published("maximum_impedance_fuses")
    for time in ("0.4", "5")
    if row[time]
]
TABLES = {
    "BS 88-2": LIMITS.overcurrent.maximum_impedance_bs_88_2,
    "BS 88-3": LIMITS.overcurrent.maximum_impedance_bs_88_3,
    "BS 3036": LIMITS.overcurrent.maximum_impedance_bs_3036,
}
MULTIPLE = {"B": 5, "C": 10, "D": 20}  # BS EN 60898-1: upper ends of the instantaneous ranges


@pytest.mark.parametrize(("curve", "rated_a", "printed"), BREAKERS)
def test_a_breaker_has_the_printed_maximum_impedance(curve: str, rated_a: float, printed: str) -> None:
    device = breaker("b", curve=Curve(curve), rated_current_a=rated_a)
    assert disconnection.maximum_impedance_ohm(device, 0.4, 230, LIMITS) == float(printed)


@pytest.mark.parametrize(("curve", "rated_a", "printed"), BREAKERS)
def test_the_printed_impedance_of_a_breaker_is_cmin_times_u0_over_ia(curve: str, rated_a: float, printed: str) -> None:
    by_formula = 230 * 0.95 / (MULTIPLE[curve] * rated_a)
    assert by_formula == pytest.approx(float(printed), abs=half_a_digit(printed))


def test_all_twenty_seven_cells_are_compared() -> None:
    assert len(BREAKERS) == 27


@pytest.mark.parametrize(("standard", "rated_a", "time_s", "printed"), FUSES)
def test_a_fuse_has_the_printed_maximum_impedance(standard: str, rated_a: float, time_s: float, printed: str) -> None:
    device = fuse("f", standard=standard, rated_current_a=rated_a)
    assert disconnection.maximum_impedance_ohm(device, time_s, 230, LIMITS) == float(printed)


def test_no_fuse_of_the_product_is_missing_from_the_published_rows() -> None:
    printed = {(standard, rated, time) for standard, rated, time, _ in FUSES}
    held = {(standard, float(rated), float(time)) for standard in TABLES for rated, time in TABLES[standard].rows}
    assert held == printed


@pytest.mark.parametrize("row", published("maximum_impedance_curve_d_5_s"))
def test_curve_d_at_five_seconds_has_a_more_lenient_reading(row: dict[str, str]) -> None:
    device = breaker("b", curve=Curve.D, rated_current_a=float(row["rated_current_a"]))
    assert disconnection.lenient_impedance_ohm(device, 5, 230, LIMITS) == float(row["impedance_ohm"])
    assert disconnection.lenient_impedance_ohm(device, 0.4, 230, LIMITS) is None


def test_a_rating_that_no_table_prints_follows_the_formula() -> None:
    # By hand: 230 x 0.95 / (5 x 45) = 0.9711 ohm
    device = breaker("b", curve=Curve.B, rated_current_a=45.0)
    assert disconnection.maximum_impedance_ohm(device, 5, 230, LIMITS) == pytest.approx(0.97111, abs=1e-5)


def test_another_voltage_scales_the_impedance() -> None:
    # By hand: 1.37 x 240/230
    device = breaker("b", rated_current_a=32.0)
    assert disconnection.maximum_impedance_ohm(device, 0.4, 240, LIMITS) == pytest.approx(1.42957, abs=1e-5)


def test_the_five_second_column_of_a_fuse_is_not_used_for_less_time() -> None:
    with pytest.raises(MissingFactError, match=r"devices\.f\.rated_current_a"):
        disconnection.maximum_impedance_ohm(fuse("f", standard="BS 88-3", rated_current_a=80.0), 0.4, 230, LIMITS)


@pytest.mark.parametrize(
    ("facts", "path"),
    [
        ({"standard": None}, "devices.f.standard"),
        ({"standard": "BS 1361"}, "devices.f.standard"),
        ({"standard": "BS 88-3", "rated_current_a": 31.0}, "devices.f.rated_current_a"),
    ],
)
def test_a_fuse_outside_the_tables_names_what_is_missing(facts: dict[str, object], path: str) -> None:
    with pytest.raises(MissingFactError) as gap:
        disconnection.maximum_impedance_ohm(fuse("f", **facts), 5, 230, LIMITS)
    assert gap.value.paths == (path,)


def test_a_breaker_without_a_stated_curve_names_it() -> None:
    with pytest.raises(MissingFactError) as gap:
        disconnection.maximum_impedance_ohm(breaker("b", curve=None), 5, 230, LIMITS)
    assert gap.value.paths == ("devices.b.curve",)


@pytest.mark.parametrize("row", published("maximum_impedance_residual"))
def test_fifty_volts_over_the_rating_gives_table_41_5(row: dict[str, str]) -> None:
    by_formula = LIMITS.earthing.touch_voltage_v.value / (float(row["rated_residual_operating_current_ma"]) / 1000)
    assert by_formula == pytest.approx(float(row["impedance_ohm"]), abs=0.5)


@pytest.mark.parametrize("system", ["TN", "TT"])
@pytest.mark.parametrize("row", published("disconnection_times"))
def test_final_circuits_have_the_times_of_table_41_1(row: dict[str, str], system: str) -> None:
    from tests.domain.houses import changed, everyday_supply

    voltage = row["nominal_voltage_to_earth_v"]
    rated_a = 63.0 if voltage == "other" else 32.0
    supply = changed(everyday_supply(), nominal_voltage_to_earth_v=230.0 if voltage == "other" else float(voltage))
    home = house(breaker("b"), circuit("c", "b"), supply=supply)
    time = disconnection.maximum_disconnection_time_s(home, home.circuits["c"], rated_a, system, LIMITS)
    assert time == float(row[system])


def test_only_curve_d_has_a_more_lenient_reading() -> None:
    for device in (breaker("b", curve=Curve.C), fuse("f", standard="BS 88-3")):
        assert disconnection.lenient_impedance_ohm(device, 5, 230, LIMITS) is None


def test_a_distribution_circuit_has_the_longer_time_whatever_its_device() -> None:
    home = house(breaker("b"), circuit("c", "b"), Board(id="garage", fed_by="c"))
    assert disconnection.maximum_disconnection_time_s(home, home.circuits["c"], 20.0, "TN", LIMITS) == 5


@pytest.mark.parametrize(("ohm", "time_s"), [(0.94, 0.4), (0.96, 5.0), (1.67, None)])
def test_a_fuse_at_another_voltage_acts_in_time_at_a_scaled_impedance(ohm: float, time_s: float | None) -> None:
    # BS 88-3, 32 A at 240 V: 0.91 x 240/230 = 0.9496 ohm, 1.6 x 240/230 = 1.6696 ohm
    assert disconnection.overcurrent_time_s(fuse("f", standard="BS 88-3"), ohm, 240, LIMITS) == time_s


@pytest.mark.parametrize(
    ("rated_a", "outlets", "time_s"),
    [(32.0, False, 0.4), (32.5, False, 5), (63.0, True, 0.4), (64.0, True, 5)],
)
def test_the_short_times_cover_63_a_with_outlets_and_32_a_without(rated_a: float, outlets: bool, time_s: float) -> None:
    # 411.3.2.2 of BS 7671:2018, from memory
    home = house(breaker("b"), circuit("c", "b", socket_outlets=outlets))
    found = disconnection.maximum_disconnection_time_s(home, home.circuits["c"], rated_a, "TN", LIMITS)
    assert found == time_s
