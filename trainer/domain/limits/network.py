"""Limits of supply, demand and dealings with the network operator: see ``data/network.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.limits.loading import Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkLimits:
    """Values on demand with diversity, declared supply values, notification and generation.

    ``diversity`` is guidance for a single dwelling. ``declared_impedance_ohm`` is by system,
    ``declared_fault_current_ka`` by number of phases.
    """

    diversity: Mapping[str, Limit]
    notification_demand_a: Limit
    registered_current_a: Limit
    declared_impedance_ohm: Mapping[str, Limit]
    declared_fault_current_ka: Mapping[str, Limit]
