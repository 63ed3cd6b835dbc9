"""Voltages and currents of PV strings at the extremes."""

from __future__ import annotations

from trainer.domain.calculations.facts import PERCENT


def voltage_factor(
    coefficient_percent_per_k: float, minimum_temperature_c: float, standard_test_temperature_c: float
) -> float:
    """KU = 1 + |alpha| (25 - Tmin) / 100. *Source*: HD 60364-7-712 Annex B, from memory."""
    return 1 + abs(coefficient_percent_per_k) / PERCENT * (standard_test_temperature_c - minimum_temperature_c)


def string_voltage_v(modules_in_series: int, open_circuit_voltage_v: float, factor: float) -> float:
    """UocMAX = Ns * Uoc(STC) * KU, in V. *Source*: HD 60364-7-712 Annex B, from memory."""
    return modules_in_series * open_circuit_voltage_v * factor


def reverse_current_a(strings_in_parallel: int, short_circuit_current_a: float, factor: float) -> float:
    """The current that all other strings can send into a faulted one: (Np - 1) * 1.25 * Isc, in A.

    *Source*: HD 60364-7-712 712.433.101, from memory.
    """
    return (strings_in_parallel - 1) * factor * short_circuit_current_a
