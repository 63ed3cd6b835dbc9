"""Keywords of ``Installation.notices``: notices on display, and procedures on record.

Values are the words used in files and JSON; they are stable and never renamed. What is not in
the installation's set is not there.
"""

from __future__ import annotations

from enum import StrEnum


class Notice(StrEnum):
    """Notices that stand at the installation, and what is displayed or left with its user."""

    ALTERNATIVE_SUPPLY_AT_ORIGIN = "alternative_supply_at_origin"
    ALTERNATIVE_SUPPLY_AT_METER = "alternative_supply_at_meter"
    ALTERNATIVE_SUPPLY_AT_CONSUMER_UNIT = "alternative_supply_at_consumer_unit"
    ALTERNATIVE_SUPPLY_AT_ISOLATION_POINTS = "alternative_supply_at_isolation_points"
    RCD_TEST = "rcd_test"
    PERIODIC_INSPECTION = "periodic_inspection"
    CIRCUIT_CHART = "circuit_chart"
    FIRE_SERVICE_BATTERY = "fire_service_battery"
    ISOLATION_OF_ALL_SOURCES = "isolation_of_all_sources"


class Procedure(StrEnum):
    """Procedures that the record of work states were followed."""

    EXISTING_INSTALLATION_ASSESSED = "existing_installation_assessed"
    LOADS_DISCONNECTED = "loads_disconnected"
    LEAKAGE_BY_CLAMP = "leakage_by_clamp"
    DIRECT_CURRENT_DETECTION_TESTED = "direct_current_detection_tested"
    OPEN_PEN_DETECTION_TESTED = "open_pen_detection_tested"
    INSULATION_TESTED_AT_250_V = "insulation_tested_at_250_v"
    LOSS_OF_MAINS_TESTED = "loss_of_mains_tested"


KNOWN_NOTICES = frozenset({*Notice, *Procedure})
"""Every keyword that ``Installation.notices`` may hold."""


class LoadRoute(StrEnum):
    """``Network.load_route``: how the network operator learns of a charger or heat pump."""

    NOTIFY = "notify_within_28_days"
    APPLY = "apply_before_work"


class GenerationRoute(StrEnum):
    """``Network.generation_route``: the engineering recommendation under which sources connect."""

    G98 = "G98"
    G99 = "G99"
