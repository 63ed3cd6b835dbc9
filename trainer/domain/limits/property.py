"""Limits of the protection of property: see ``data/property.toml``."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.domain.limits.loading import Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class PropertyLimits:
    """Values on surge protective devices, arc fault detection and enclosures."""

    surge_lead_length_m: Limit
    surge_lead_preferred_m: Limit
    arc_fault_socket_outlet_a: Limit
    noncombustible_since_year: Limit
