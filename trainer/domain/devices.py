"""Protective and switching devices, as they sit in a board."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.domain.vocabulary import Curve, DeviceKind, Direction, RcdType, ResidualDelay

WITH_RESIDUAL_CURRENT = frozenset({DeviceKind.RCCB, DeviceKind.RCBO})
WITH_OVERCURRENT = frozenset({DeviceKind.RCBO, DeviceKind.CIRCUIT_BREAKER, DeviceKind.FUSE})


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """One device: what it is, its ratings, and what feeds it.

    ``fed_by`` names another device of the same board, or the board itself for an incomer.
    ``poles`` counts the conductors that the device opens, the neutral included.
    None means that the fact is not known.
    """

    id: str
    board: str
    fed_by: str
    kind: DeviceKind
    rated_current_a: float
    poles: int
    label: str = ""
    way: int | None = None
    modules: int | None = None
    standard: str | None = None
    rcd_type: RcdType | None = None
    rated_residual_operating_current_ma: float | None = None
    residual_delay: ResidualDelay | None = None
    direct_current_detection_ma: float | None = None
    direction: Direction | None = None
    curve: Curve | None = None
    breaking_capacity_ka: float | None = None
    declared_load_current_a: float | None = None
    arc_fault_detection: bool = False
    isolates: bool = True
    measured_break_time_ms: float | None = None

    @property
    def detects_residual_current(self) -> bool:
        """True for an RCCB or RCBO."""
        return self.kind in WITH_RESIDUAL_CURRENT

    @property
    def breaks_overcurrent(self) -> bool:
        """True for an RCBO, a circuit-breaker or a fuse."""
        return self.kind in WITH_OVERCURRENT


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """A distribution board or consumer unit.

    ``fed_by`` is ``supply`` or the id of the distribution circuit that feeds it.
    ``rated_current_a`` is that of the assembly; ``conditional_rating_ka`` that of a consumer
    unit to BS EN 61439-3 declared by its maker. ``rated_diversity_factor`` as declared.
    """

    id: str
    label: str = ""
    fed_by: str = "supply"
    ways: int | None = None
    rated_current_a: float | None = None
    conditional_rating_ka: float | None = None
    rated_diversity_factor: float | None = None
    standard: str | None = None
    metal_enclosure: bool | None = None
    noncombustible: bool | None = None
    class_ii_supply_side: bool | None = None
    tails_length_m: float | None = None
    tails_mm2: float | None = None
    year_installed: int | None = None
