"""Every front end and fault point against general-purpose circuit simulation (Debian package ngspice).

The limits are those of the task: r.m.s. error of the waveform under 1 % without pulse-width
modulation, under 1.5 % below 2 kHz with it, direct current within 1.5 mA at 1 kilohm.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.domain.physics.comparing import SWITCHED, compare
from trainer.domain.physics.front_ends import FRONT_ENDS, FaultPoint
from trainer.domain.vocabulary import FrontEnd

FAULTS = [
    pytest.param(front_end, point, id=f"{front_end.value}-{point.value}")
    for front_end, entry in FRONT_ENDS.items()
    for point in entry.fault_points
]

OTHER_QUANTITIES = [
    (FrontEnd.PHASE_ANGLE, FaultPoint.CONTROLLED_LINE, {"firing_angle_deg": 135.0}),
    (FrontEnd.HALF_WAVE, FaultPoint.DC_POSITIVE, {"firing_angle_deg": 90.0}),
    (FrontEnd.HALF_WAVE, FaultPoint.DC_POSITIVE, {"firing_angle_deg": 135.0}),
    (FrontEnd.BURST, FaultPoint.CONTROLLED_LINE, {"burst_on_periods": 1.0, "burst_off_periods": 4.0}),
    (FrontEnd.HALF_WAVE_CAPACITOR, FaultPoint.DC_POSITIVE, {"link_capacitance_uf": 50.0}),
    (FrontEnd.BRIDGE_CAPACITOR, FaultPoint.DC_MIDDLE, {"link_capacitance_uf": 150.0}),
    (FrontEnd.BRIDGE_CAPACITOR, FaultPoint.DC_MIDDLE, {"load_power_w": 7400.0}),
    # Here the fault itself shifts the two halves of the link against each other.
    (
        FrontEnd.BRIDGE_CAPACITOR,
        FaultPoint.DC_MIDDLE,
        {"link_capacitance_uf": 100.0, "load_power_w": 500.0, "fault_resistance_ohm": 100.0},
    ),
    (FrontEnd.BRIDGE_HALF_CONTROLLED, FaultPoint.DC_POSITIVE, {"firing_angle_deg": 30.0}),
    (FrontEnd.BRIDGE_HALF_CONTROLLED, FaultPoint.DC_POSITIVE, {"firing_angle_deg": 150.0}),
    (FrontEnd.BRIDGE_CHOKE, FaultPoint.DC_POSITIVE, {"choke_inductance_mh": 2.0}),
    (FrontEnd.BRIDGE_CHOKE, FaultPoint.DC_POSITIVE, {"choke_inductance_mh": 200.0}),
    (FrontEnd.BRIDGE_CHOKE, FaultPoint.DC_MIDDLE, {"choke_inductance_mh": 2.0}),
    (FrontEnd.SIX_PULSE_CHOKE, FaultPoint.DC_POSITIVE, {"choke_inductance_mh": 1.0, "load_power_w": 2000.0}),
    (FrontEnd.BRIDGE_POWER_FACTOR_STAGE, FaultPoint.DC_POSITIVE, {"load_power_w": 1000.0}),
    (FrontEnd.CONVERTER_SINGLE_PHASE, FaultPoint.INVERTER_OUTPUT, {"output_frequency_hz": 10.0}),
    (FrontEnd.CONVERTER_SINGLE_PHASE, FaultPoint.INVERTER_OUTPUT, {"output_frequency_hz": 50.0}),
    (FrontEnd.CONVERTER_SINGLE_PHASE, FaultPoint.INVERTER_OUTPUT, {"carrier_frequency_hz": 8000.0}),
    (FrontEnd.CONVERTER_THREE_PHASE, FaultPoint.INVERTER_OUTPUT, {"output_frequency_hz": 60.0}),
    (FrontEnd.CONVERTER_THREE_PHASE, FaultPoint.INVERTER_OUTPUT, {"carrier_frequency_hz": 2000.0}),
    (FrontEnd.INVERTER_FULL_BRIDGE, FaultPoint.DC_POSITIVE, {"link_voltage_v": 600.0}),
]


@pytest.mark.parametrize(("front_end", "point"), FAULTS)
def test_a_fault_of_one_kilohm_sends_the_current_that_simulation_finds(
    tool: Callable[[str], str], front_end: FrontEnd, point: FaultPoint
) -> None:
    tool("ngspice")
    found = compare(front_end, point, fault_resistance_ohm=1000.0)
    assert found.relative_rms_error < (0.015 if front_end in SWITCHED else 0.01)
    assert found.computed_mean_ma == pytest.approx(found.simulated_mean_ma, abs=1.5)


@pytest.mark.slow
@pytest.mark.parametrize("resistance_ohm", [100.0, 10000.0])
@pytest.mark.parametrize(("front_end", "point"), FAULTS)
def test_a_lower_and_a_higher_fault_resistance_agree_with_simulation_too(
    tool: Callable[[str], str], front_end: FrontEnd, point: FaultPoint, resistance_ohm: float
) -> None:
    tool("ngspice")
    found = compare(front_end, point, fault_resistance_ohm=resistance_ohm)
    assert found.relative_rms_error < (0.015 if front_end in SWITCHED else 0.01)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("front_end", "point", "given"),
    [pytest.param(*row, id="-".join([row[0], row[1], *map(str, row[2].values())])) for row in OTHER_QUANTITIES],
)
def test_other_loads_angles_and_frequencies_agree_with_simulation_too(
    tool: Callable[[str], str], front_end: FrontEnd, point: FaultPoint, given: dict[str, float]
) -> None:
    tool("ngspice")
    found = compare(front_end, point, **({"fault_resistance_ohm": 1000.0} | given))
    assert found.relative_rms_error < (0.015 if front_end in SWITCHED else 0.01)
    assert found.computed_mean_ma == pytest.approx(found.simulated_mean_ma, abs=1.5)
