"""Diversity of the loads of a single dwelling, by kind: guidance, not a regulation."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from trainer.domain.findings import total
from trainer.domain.limits import Limit, Limits

LUMINAIRES, SOCKET_OUTLETS, COOKING, SHOWER, HEATING_AND_POWER = (
    "luminaires",
    "socket_outlets",
    "cooking",
    "shower",
    "heating_and_power",
)
Allowance = Mapping[str, Limit]


def after_diversity_a(kind: str, currents_a: Sequence[float], limits: Limits) -> float:
    """The demand of all loads of one kind in A; kinds without an allowance count in full.

    *Source*: guidance to BS 7671, see ``limits/data/network.toml``.
    """
    rule = _RULES.get(kind)
    return total(currents_a) if rule is None else rule(currents_a, limits.network.diversity)


def _luminaires(currents: Sequence[float], allowance: Allowance) -> float:
    return total(currents) * allowance["lighting"].value


def _socket_outlets(currents: Sequence[float], allowance: Allowance) -> float:
    ordered = sorted(currents, reverse=True)
    return total((*ordered[:1], *(each * allowance["other_socket_circuits"].value for each in ordered[1:])))


def _cooking(currents: Sequence[float], allowance: Allowance) -> float:
    return _first_and_rest(currents, allowance["cooking_first_a"], allowance["cooking_rest"])


def _heating_and_power(currents: Sequence[float], allowance: Allowance) -> float:
    return _first_and_rest(currents, allowance["power_first_a"], allowance["power_rest"])


def _first_and_rest(currents: Sequence[float], first: Limit, rest: Limit) -> float:
    """In full up to a current, with a share above it."""
    connected = total(currents)
    full = min(connected, first.value)
    return total((full, (connected - full) * rest.value))


def _showers(currents: Sequence[float], allowance: Allowance) -> float:
    ordered, full = sorted(currents, reverse=True), int(allowance["showers_in_full"].value)
    return total((*ordered[:full], *(each * allowance["other_showers"].value for each in ordered[full:])))


_RULES: Mapping[str, Callable[[Sequence[float], Allowance], float]] = {
    LUMINAIRES: _luminaires,
    SOCKET_OUTLETS: _socket_outlets,
    COOKING: _cooking,
    SHOWER: _showers,
    HEATING_AND_POWER: _heating_and_power,
}
