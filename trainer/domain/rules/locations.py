"""Special locations: bathrooms, farms, caravan pitches."""

from __future__ import annotations

from trainer.domain.cables import Circuit
from trainer.domain.findings import Verdict, at_least, holds, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limit, Limits
from trainer.domain.rules.additional_protection import sensitive_enough
from trainer.domain.rules.paths import circuit_path, device_path, nearest_residual_device, serves_only
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, EarthingSystem, Location, Outcome, Premises


@rule("LOC-01", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO01",))
def bathroom_circuits_with_additional_protection(
    circuit: Circuit, house: Installation, limits: Limits
) -> Verdict | None:
    """Every circuit that serves or passes a zone with bath or shower has 30 mA additional protection.

    Why: wet skin and bare feet lower the resistance of the body to a fraction.
    Remedy: a residual current device of 30 mA or less, without delay, before the circuit.
    """
    if not circuit.in_bathroom_zone:
        return None
    return sensitive_enough(circuit, house, limits.residual.additional_protection_ma)


@rule("LOC-02", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO01",))
def farm_circuits_with_residual_protection(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """On a farm socket-outlets up to 32 A have 30 mA, larger ones 100 mA, all other circuits 300 mA.

    Why: livestock dies of touch voltages that people survive, and hay burns from leakage that no fuse sees.
    Remedy: a residual current device of the rating that the circuit asks for.
    """
    if house.premises is not Premises.AGRICULTURAL and circuit.location is not Location.AGRICULTURAL_BUILDING:
        return None
    limit = _farm_limit(circuit, limits)
    if limit is not None:
        return sensitive_enough(circuit, house, limit)
    strictest = sensitive_enough(circuit, house, limits.residual.agricultural_ma["socket_outlets"])
    if strictest.outcome is Outcome.COMPLIES:
        return strictest
    return undetermined(f"{circuit_path(circuit)}.socket_outlet_rated_current_a")


def _farm_limit(circuit: Circuit, limits: Limits) -> Limit | None:
    """The rating for the kind of circuit; None where the size of the outlets is not known."""
    ratings = limits.residual.agricultural_ma
    if not circuit.socket_outlets:
        return ratings["other"]
    rated = circuit.socket_outlet_rated_current_a
    if rated is None:
        return None
    small = within(rated, limits.residual.socket_outlet_rated_current_a.value)
    return ratings["socket_outlets" if small else "large_socket_outlets"]


@rule("LOC-03", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO01", "LO08"))
def pitch_outlets_with_own_device(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """Each socket-outlet of a caravan pitch has its own 30 mA device for all live conductors and no PME earth.

    Why: a caravan's metal skin stands on wet grass; an open PEN would put it at mains voltage, and a
    neutral left connected can be live on a site. Its plug has no fuse: only the device in the board
    keeps outlet, plug and lead from carrying more than they are made for.
    Remedy: one 30 mA device for each outlet that opens all live conductors, rated no higher than the
    outlet, and an electrode for the pitches.
    Assumes: one circuit holds one outlet; without a stated rating it suits its overcurrent device; an
    electrode stated for the installation earths the pitches.
    """
    if circuit.location is not Location.CARAVAN_PITCH or not circuit.socket_outlets:
        return None
    system = house.supply.earthing_system
    if system is None:
        return undetermined("supply.earthing_system")
    if system is EarthingSystem.TN_C_S and house.earthing.electrode_resistance_ohm is None:
        return holds(False, value=system, case="pme_earth")
    return _own_device(circuit, house, limits)


def _own_device(circuit: Circuit, house: Installation, limits: Limits) -> Verdict:
    """A 30 mA device that serves this outlet alone and opens all of its live conductors."""
    verdict = sensitive_enough(circuit, house, limits.residual.additional_protection_ma)
    device = nearest_residual_device(house, circuit)
    if verdict.outcome is not Outcome.COMPLIES or device is None:
        return verdict
    if not serves_only(house, device, circuit):
        return holds(False, case="shared_device", related=(device_path(device),))
    if device.poles < circuit.live_conductors:
        return at_least(
            device.poles,
            circuit.live_conductors,
            unit="poles",
            case="not_all_live_conductors",
            related=(device_path(device),),
        )
    return _overloaded_outlet(circuit, house, limits) or verdict


def _overloaded_outlet(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """What fails where the overcurrent device lets more flow than the outlet is rated for."""
    device, rated = house.overcurrent_device(circuit), circuit.socket_outlet_rated_current_a
    share = limits.residual.pitch_device_share
    if device is None or rated is None or within(device.rated_current_a, share.value * rated):
        return None
    return Verdict(
        outcome=Outcome.DOES_NOT_COMPLY,
        value=device.rated_current_a,
        limit=share.value * rated,
        unit="A",
        case="overloaded_outlet",
        related=(device_path(device),),
        consequence=Consequence.FIRE,
        citation=share.citation,
    )


RULES: tuple[Rule, ...] = (
    bathroom_circuits_with_additional_protection,
    farm_circuits_with_residual_protection,
    pitch_outlets_with_own_device,
)
