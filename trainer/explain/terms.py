"""The parts of sums, in words. A part that carries the name of a record is called as the record is."""

from __future__ import annotations

from functools import cache

from trainer.explain.diagram.equipment_words import kind_words
from trainer.explain.names import Translate


@cache
def term_words(_: Translate) -> dict[str, str]:
    """Each named part that calculations hand out."""
    return {
        **{kind.value: words for kind, words in kind_words(_).items()},
        "socket_outlets": _("socket-outlet circuits"),
        "luminaires": _("lighting"),
        "heating_and_power": _("heating and power"),
        "cooking": _("cooking"),
        "storage": _("charging of storage"),
        "line_and_neutral": _("line and neutral conductor"),
        "stated": _("as stated"),
        "design_current": _("design current Ib"),
        "tabulated_rating": _("tabulated rating It"),
        "ambient_factor": _("ambient temperature factor Ca"),
        "grouping_factor": _("grouping factor Cg"),
        "insulation_factor": _("thermal insulation factor Ci"),
        "buried_factor": _("factor for buried cables Cc"),
        "external_earth_fault_loop_impedance": _("Ze"),
        "earth_electrode_resistance": _("electrode RA"),
        "line_conductor_resistance": _("line conductor R1"),
        "protective_conductor_resistance": _("protective conductor R2"),
        "distribution_line_conductor_resistance": _("line conductor of the distribution circuit"),
        "distribution_protective_conductor_resistance": _("protective conductor of the distribution circuit"),
        "distribution_circuit_drop": _("distribution circuit"),
        "final_circuit_drop": _("final circuit"),
        "supply": _("supply"),
        "supply_device": _("device on the supply side"),
        "sources": _("sources"),
        "modules_in_series": _("modules in series"),
        "open_circuit_voltage": _("open-circuit voltage of one module"),
        "voltage_factor": _("factor for the cold"),
        "strings_in_parallel": _("strings in parallel"),
        "short_circuit_current": _("short-circuit current of one string"),
        "current_factor": _("factor for bright light"),
        "device_rating": _("rating of the device"),
        "source_current": _("output of the source"),
        "island_fault_current": _("fault current of the island"),
        "tripping_current": _("current at which the device trips in time"),
        "points": _("charging points"),
        "rated_current": _("rated current In"),
        "load_limit": _("load limit"),
        "rated_diversity_factor": _("rated diversity factor"),
        "L1": "L1",
        "L2": "L2",
        "L3": "L3",
        "neutral_current": _("neutral current Im"),
        "sum_of_currents": _("sum of the line currents"),
        "highest_current": _("highest current of the installation"),
        "fault_current": _("fault current I"),
        "energy": _("energy let through I²t"),
        "k": _("factor k of the conductor"),
        "electrode_resistance": _("electrode RA"),
        "rated_residual_operating_current": _("rated residual operating current"),
    }
