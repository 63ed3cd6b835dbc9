"""Energy let through and the conductor that withstands it, by hand."""

from __future__ import annotations

import pytest

from tests.domain.houses import breaker, cable, circuit, fuse
from trainer.domain.cables import CableType
from trainer.domain.calculations import adiabatic
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION, Curve

LIMITS = limits_for(DEFAULT_EDITION)


def test_the_cross_section_is_the_root_of_the_energy_over_k() -> None:
    # The usual classroom example: 1 kA for 0.1 s, k = 115: 1000 x sqrt(0.1) / 115 = 2.75 mm2
    assert adiabatic.withstanding_mm2(1000.0**2 * 0.1, 115.0) == pytest.approx(2.7498, abs=1e-4)


@pytest.mark.parametrize(("amps", "energy"), [(300.0, 9000.0), (160.0, 2560.0)])
def test_a_breaker_lets_through_its_instantaneous_time(amps: float, energy: float) -> None:
    assert adiabatic.let_through_a2s(breaker("b"), amps, LIMITS) == pytest.approx(energy)


def test_a_breaker_below_its_instantaneous_current_promises_nothing() -> None:
    # B 32: 5 x 32 = 160 A; the printed 1.37 ohm stands for 159.5 A
    assert adiabatic.let_through_a2s(breaker("b"), 159.0, LIMITS) is None


def test_a_fuse_lets_through_the_energy_of_the_quickest_time_it_reaches() -> None:
    # BS 88-3, 32 A: Ia(0.4 s) = 218.5 / 0.91 = 240.1 A, 23 061 A2s; Ia(5 s) = 218.5 / 1.6 = 136.6 A, 93 246 A2s
    device = fuse("f", standard="BS 88-3")
    assert adiabatic.let_through_a2s(device, 1000.0, LIMITS) == pytest.approx(23061, abs=1)
    assert adiabatic.let_through_a2s(device, 200.0, LIMITS) == pytest.approx(93246, abs=1)
    assert adiabatic.let_through_a2s(device, 130.0, LIMITS) is None


@pytest.mark.parametrize(
    ("facts", "path"),
    [({}, "devices.f.standard"), ({"standard": "BS 88-3", "rated_current_a": 31.0}, "devices.f.rated_current_a")],
)
def test_an_unknown_fuse_is_named(facts: dict[str, object], path: str) -> None:
    with pytest.raises(MissingFactError) as gap:
        adiabatic.let_through_a2s(fuse("f", **facts), 100.0, LIMITS)
    assert gap.value.paths == (path,)


@pytest.mark.parametrize(
    ("line_mm2", "protective_mm2"), [(2.5, 2.5), (16.0, 16.0), (16.1, 16.0), (25.0, 16.0), (35.0, 16.0), (50.0, 25.0)]
)
def test_table_54_7_of_bs_7671(line_mm2: float, protective_mm2: float) -> None:
    # Seen in a public text: S up to 16 mm2, 16 mm2 up to 35 mm2, half above.
    assert adiabatic.tabulated_protective_conductor_mm2(line_mm2, LIMITS) == protective_mm2


@pytest.mark.parametrize(
    ("curve", "rated_a", "least"),
    [(Curve.B, 6.0, 1.0), (Curve.B, 16.0, 1.0), (Curve.B, 20.0, 1.5), (Curve.B, 40.0, 1.5), (Curve.C, 16.0, 1.5)],
)
def test_least_sizes_below_a_breaker_are_those_of_the_on_site_guide(curve: Curve, rated_a: float, least: float) -> None:
    # Table B7, energy limiting class 3, faults up to 3 kA; from memory
    assert adiabatic.least_by_breaker_mm2(breaker("b", curve=curve, rated_current_a=rated_a), LIMITS) == least


@pytest.mark.parametrize(
    "device", [breaker("b", rated_current_a=50.0), breaker("b", curve=Curve.D), breaker("b", curve=None), fuse("f")]
)
def test_guidance_is_silent_on_other_devices(device: object) -> None:
    assert adiabatic.least_by_breaker_mm2(device, LIMITS) is None  # type: ignore[arg-type]


def test_the_class_3_energy_of_bs_en_60898_stands_behind_the_guidance() -> None:
    # BS EN 60898-1 Annex ZA, class 3, 3 kA: 15 000 A2s up to 16 A, 18 000 A2s up to 32 A for curve B (from memory);
    # over k = 115: 1.06 and 1.17 mm2, which the guide rounds to 1.0 and 1.5 mm2.
    assert adiabatic.withstanding_mm2(15000.0, 115.0) == pytest.approx(1.065, abs=5e-4)
    assert adiabatic.withstanding_mm2(18000.0, 115.0) == pytest.approx(1.167, abs=5e-4)


def test_the_armour_is_taken_at_its_own_area_and_k() -> None:
    # 4 mm2, 2 cores: 138 / 7.9 = 17.5 mm2 of steel (a handbook gives 21 mm2 gross, from memory)
    run = cable(type=CableType.ARMOURED_THERMOPLASTIC_70, cross_section_mm2=4.0, protective_conductor_mm2=None)
    size, k = adiabatic.protective_conductor(circuit("c", "b", cable=run), run, LIMITS)
    assert (size, k) == (pytest.approx(17.468, abs=1e-3), 51.0)


@pytest.mark.parametrize(
    ("kind", "core_mm2", "k_protective", "k_live"),
    [
        (CableType.FLAT_THERMOPLASTIC_70, 1.5, 115.0, 115.0),
        (CableType.ARMOURED_THERMOSETTING_90, 1.5, 143.0, 143.0),
        (CableType.ARMOURED_THERMOSETTING_90, None, 46.0, 143.0),
    ],
)
def test_k_follows_the_cable(kind: CableType, core_mm2: float | None, k_protective: float, k_live: float) -> None:
    run = cable(type=kind, protective_conductor_mm2=core_mm2)
    assert adiabatic.protective_conductor(circuit("c", "b", cable=run), run, LIMITS)[1] == k_protective
    assert adiabatic.live_conductor_k(run, LIMITS) == k_live


def test_a_cable_without_protective_conductor_names_it() -> None:
    run = cable(protective_conductor_mm2=None)
    with pytest.raises(MissingFactError) as gap:
        adiabatic.protective_conductor(circuit("c", "b", cable=run), run, LIMITS)
    assert gap.value.paths == ("circuits.c.cable.protective_conductor_mm2",)
