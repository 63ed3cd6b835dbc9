"""Special locations: bathrooms (701), farms (705), caravan pitches (708).

Outside values: 30 mA (701.411.3.3, from memory), 30, 100 and 300 mA (705.411.1, seen in a public
text), 30 mA for each outlet (708.415.1, seen in a public text), an overcurrent device for each outlet
(708.533, from memory).
"""

from __future__ import annotations

import pytest

from tests.domain.houses import breaker, circuit, house, rcbo, verdicts
from trainer.domain.citations import Status
from trainer.domain.findings import Verdict
from trainer.domain.rules.locations import (
    bathroom_circuits_with_additional_protection,
    farm_circuits_with_residual_protection,
    pitch_outlets_with_own_device,
)
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import Consequence, EarthingSystem, Location, Outcome, Premises

COMPLIES, FAILS = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY


@pytest.mark.parametrize(("rating_ma", "outcome"), [(30.0, COMPLIES), (30.5, FAILS), (100.0, FAILS)])
def test_a_circuit_in_a_bathroom_zone_needs_30_ma(rating_ma: float, outcome: Outcome) -> None:
    of = house(rcbo("way1", "A", rating_ma), circuit("shower", "way1", in_bathroom_zone=True))
    assert verdicts(bathroom_circuits_with_additional_protection, of)["shower"].outcome is outcome


def test_circuits_that_stay_out_of_the_zones_are_not_judged() -> None:
    of = house(breaker("way1"), circuit("shower", "way1"))
    assert verdicts(bathroom_circuits_with_additional_protection, of) == {}


def farm(rating_ma: float, **facts: object) -> Verdict:
    of = house(rcbo("way1", "A", rating_ma), circuit("c", "way1", **facts), premises=Premises.AGRICULTURAL)
    return verdicts(farm_circuits_with_residual_protection, of)["c"]


@pytest.mark.parametrize(
    ("facts", "limit_ma"),
    [
        ({"socket_outlets": True, "socket_outlet_rated_current_a": 32.0}, 30.0),
        ({"socket_outlets": True, "socket_outlet_rated_current_a": 63.0}, 100.0),
        ({}, 300.0),
    ],
)
def test_farm_circuits_need_30_100_or_300_ma(facts: dict[str, object], limit_ma: float) -> None:
    at, above = farm(limit_ma, **facts), farm(limit_ma + 1, **facts)
    assert (at.outcome, at.limit) == (COMPLIES, limit_ma)
    assert (above.outcome, above.limit) == (FAILS, limit_ma)


def test_farm_outlets_of_unknown_size_cannot_be_judged() -> None:
    verdict = farm(100.0, socket_outlets=True)
    assert verdict.missing == ("circuits.c.socket_outlet_rated_current_a",)


def test_a_farm_building_beside_a_dwelling_is_judged_as_farm() -> None:
    of = house(breaker("way1"), circuit("c", "way1", location=Location.AGRICULTURAL_BUILDING))
    assert verdicts(farm_circuits_with_residual_protection, of)["c"].outcome is FAILS
    assert verdicts(farm_circuits_with_residual_protection, house(breaker("way1"), circuit("c", "way1"))) == {}


def pitch(*records: object, system: EarthingSystem | None = EarthingSystem.TT, **facts: object) -> Verdict:
    given = circuit("pitch", "way1", socket_outlets=True, location=Location.CARAVAN_PITCH)
    of = house(*(records or (rcbo("way1"),)), given, system=system, **facts)  # type: ignore[arg-type]
    return verdicts(pitch_outlets_with_own_device, of)["pitch"]


def test_a_pitch_outlet_with_its_own_30_ma_device_complies() -> None:
    assert pitch().outcome is COMPLIES


def test_two_pitches_do_not_share_a_device() -> None:
    other = circuit("second", "way1", socket_outlets=True, location=Location.CARAVAN_PITCH)
    assert pitch(rcbo("way1"), other).case == "shared_device"


def test_a_pitch_device_opens_the_neutral_as_well() -> None:
    verdict = pitch(rcbo("way1", poles=1))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (FAILS, "not_all_live_conductors", 1, 2)


def test_a_pitch_device_above_30_ma_fails() -> None:
    assert pitch(rcbo("way1", "A", 100.0)).case == "rating_above_limit"


def test_a_pitch_takes_no_earth_from_pme() -> None:
    assert pitch(system=EarthingSystem.TN_C_S).case == "pme_earth"
    own = Earthing(electrode_resistance_ohm=80.0)
    assert pitch(system=EarthingSystem.TN_C_S, earthing=own).outcome is COMPLIES


def test_a_pitch_on_an_unknown_supply_cannot_be_judged() -> None:
    assert pitch(system=None).missing == ("supply.earthing_system",)


@pytest.mark.parametrize("place", [each for each in Location if each is not Location.CARAVAN_PITCH])
def test_only_outlets_of_pitches_are_judged(place: Location) -> None:
    of = house(
        breaker("way1"),
        circuit("a", "way1", socket_outlets=True, location=place),
        circuit("b", "way1", location=Location.CARAVAN_PITCH),
    )
    assert verdicts(pitch_outlets_with_own_device, of) == {}


def test_a_pitch_device_of_more_poles_than_needed_complies_by_its_rating() -> None:
    verdict = pitch(rcbo("way1", poles=4))
    assert (verdict.outcome, verdict.case) == (COMPLIES, "protected")


def test_a_pitch_device_of_the_wrong_rating_is_named_before_sharing() -> None:
    other = circuit("second", "way1", socket_outlets=True, location=Location.CARAVAN_PITCH)
    verdict = pitch(rcbo("way1", "A", 100.0), other)
    assert (verdict.outcome, verdict.case) == (FAILS, "rating_above_limit")


def test_the_failures_of_a_pitch_are_failures() -> None:
    other = circuit("second", "way1", socket_outlets=True, location=Location.CARAVAN_PITCH)
    assert pitch(rcbo("way1"), other).outcome is FAILS
    assert pitch(system=EarthingSystem.TN_C_S).outcome is FAILS
    assert pitch().case == "protected"
    assert pitch(rcbo("way1", poles=1)).unit == "poles"


@pytest.mark.parametrize(
    ("device_a", "outlet_a", "outcome"),
    # The last is off by one ampere only: 6 A is a rating of BS EN 60898 and 61009, 5 A an outlet of BS 546.
    [(16.0, 16.0, COMPLIES), (20.0, 16.0, FAILS), (32.0, 32.0, COMPLIES), (6.0, 5.0, FAILS)],
)
def test_the_overcurrent_device_of_a_pitch_outlet_is_no_larger_than_the_outlet(
    device_a: float, outlet_a: float, outcome: Outcome
) -> None:
    # 708.533 asks for an overcurrent device for each outlet, from memory; plugs to BS EN 60309-2 hold no fuse
    given = circuit(
        "pitch", "way1", socket_outlets=True, socket_outlet_rated_current_a=outlet_a, location=Location.CARAVAN_PITCH
    )
    of = house(rcbo("way1", rated_current_a=device_a), given, system=EarthingSystem.TT)
    assert verdicts(pitch_outlets_with_own_device, of)["pitch"].outcome is outcome


def test_an_outlet_behind_too_large_a_device_is_a_matter_of_fire_and_names_both_ratings() -> None:
    given = circuit(
        "pitch", "way1", socket_outlets=True, socket_outlet_rated_current_a=16.0, location=Location.CARAVAN_PITCH
    )
    of = house(rcbo("way1", rated_current_a=32.0), given, system=EarthingSystem.TT)
    verdict = verdicts(pitch_outlets_with_own_device, of)["pitch"]
    assert (verdict.case, verdict.consequence) == ("overloaded_outlet", Consequence.FIRE)
    assert (verdict.value, verdict.limit, verdict.unit, verdict.related) == (32.0, 16.0, "A", ("devices.way1",))
    assert verdict.citation is not None
    assert (verdict.citation.clause, verdict.citation.status) == ("708.533", Status.MEMORY)


def test_a_pitch_outlet_of_unknown_rating_is_taken_to_suit_its_device() -> None:
    assert pitch(rcbo("way1", rated_current_a=32.0)).case == "protected"
