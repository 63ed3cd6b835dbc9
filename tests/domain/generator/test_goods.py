"""Goods of the trade: sizes of cables and their protective conductors.

*Source*: flat twin and earth to BS 6004 as listed in handbook tables of R1 + R2 (line over
protective conductor in mm2: 1/1, 1.5/1, 2.5/1.5, 4/1.5, 6/2.5, 10/4, 16/6); the small ratings are
those of BS EN 60228, from memory.
"""

from __future__ import annotations

import pytest

from trainer.domain.cables import CableType
from trainer.domain.generator.ranges import modules, protective_conductor_mm2, sizes
from trainer.domain.vocabulary import DeviceKind, RcdType

FLAT = {1.0: 1.0, 1.5: 1.0, 2.5: 1.5, 4.0: 1.5, 6.0: 2.5, 10.0: 4.0, 16.0: 6.0}


@pytest.mark.parametrize(("line", "earth"), FLAT.items())
def test_the_protective_conductor_of_flat_cable_is_reduced_as_in_the_tables(line, earth):
    assert protective_conductor_mm2(CableType.FLAT_THERMOPLASTIC_70, line) == earth


def test_flat_cable_is_made_in_the_sizes_of_the_tables():
    assert sizes(CableType.FLAT_THERMOPLASTIC_70) == tuple(FLAT)


def test_the_earth_core_of_an_armoured_cable_is_as_large_as_its_line():
    assert protective_conductor_mm2(CableType.ARMOURED_THERMOPLASTIC_70, 6.0) == 6.0


def test_a_type_b_rccb_of_two_poles_takes_three_modules_as_is_common_practice():
    assert modules(DeviceKind.RCCB, 2, RcdType.B) == 3
    assert modules(DeviceKind.RCCB, 2, RcdType.A) == 2


def test_a_circuit_breaker_takes_one_module_for_each_pole():
    assert [modules(DeviceKind.CIRCUIT_BREAKER, poles, None) for poles in (1, 2, 3, 4)] == [1, 2, 3, 4]
