"""Limits: every number of the rules, with unit and citation; one Limits object per edition."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from trainer.domain.limits.charger import ChargerLimits
from trainer.domain.limits.devices import DeviceLimits
from trainer.domain.limits.earthing import EarthingLimits
from trainer.domain.limits.loading import Limit, LimitDataError, Table, load_group
from trainer.domain.limits.network import NetworkLimits
from trainer.domain.limits.overcurrent import OvercurrentLimits
from trainer.domain.limits.property import PropertyLimits
from trainer.domain.limits.residual import ResidualLimits
from trainer.domain.limits.sources import SourceLimits
from trainer.domain.limits.verification import VerificationLimits
from trainer.domain.vocabulary import Edition

__all__ = ["Limit", "LimitDataError", "Limits", "Table", "limits_for"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """All limits of one edition, grouped by subject. Groups live one to a module and TOML file."""

    edition: Edition
    residual: ResidualLimits
    charger: ChargerLimits
    sources: SourceLimits
    overcurrent: OvercurrentLimits
    earthing: EarthingLimits
    property: PropertyLimits
    network: NetworkLimits
    verification: VerificationLimits
    devices: DeviceLimits


@cache
def limits_for(edition: Edition) -> Limits:
    """The limits of one edition, read once."""
    return Limits(
        edition=edition,
        residual=load_group(ResidualLimits, "residual", edition),
        charger=load_group(ChargerLimits, "charger", edition),
        sources=load_group(SourceLimits, "sources", edition),
        overcurrent=load_group(OvercurrentLimits, "overcurrent", edition),
        earthing=load_group(EarthingLimits, "earthing", edition),
        property=load_group(PropertyLimits, "property", edition),
        network=load_group(NetworkLimits, "network", edition),
        verification=load_group(VerificationLimits, "verification", edition),
        devices=load_group(DeviceLimits, "devices", edition),
    )
