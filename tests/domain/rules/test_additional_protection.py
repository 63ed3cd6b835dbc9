"""Additional protection: 30 mA without delay where the regulations ask for it.

Outside values: 30 mA and 32 A (BS 7671 411.3.3, 415.1.1, seen in public texts), 50 mm (522.6.202,
seen in a public text).
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    cable,
    circuit,
    house,
    rcbo,
    selective,
    verdicts,
)
from trainer.domain.cables import CableType
from trainer.domain.findings import Verdict
from trainer.domain.rules.additional_protection import (
    concealed_cable_with_additional_protection,
    device_that_gives_additional_protection,
    luminaires_with_additional_protection,
    socket_outlets_with_additional_protection,
)
from trainer.domain.rules.paths import HOUSEHOLDS
from trainer.domain.vocabulary import Location, Outcome, Premises, ResidualDelay

COMPLIES, FAILS = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY


def sockets(*devices: object, facts: dict[str, object] | None = None, **house_facts: object) -> Verdict | None:
    """The verdict on socket-outlets of 13 A fed by the last of the devices."""
    given = {"socket_outlets": True, "socket_outlet_rated_current_a": 13.0} | (facts or {})
    of = house(*devices, circuit("sockets", devices[-1].id, **given), **house_facts)  # type: ignore[attr-defined]
    return verdicts(socket_outlets_with_additional_protection, of).get("sockets")


@pytest.mark.parametrize(
    ("rating_ma", "outcome", "case"),
    [
        (10.0, COMPLIES, "protected"),
        (30.0, COMPLIES, "protected"),
        (31.0, FAILS, "rating_above_limit"),
        (100.0, FAILS, "rating_above_limit"),
    ],
)
def test_socket_outlets_need_a_device_of_30_ma_or_less(rating_ma: float, outcome: Outcome, case: str) -> None:
    verdict = sockets(rcbo("way1", "A", rating_ma))
    assert verdict is not None
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (outcome, case, rating_ma, 30.0)


def test_socket_outlets_on_a_plain_circuit_breaker_have_no_additional_protection() -> None:
    verdict = sockets(breaker("way1"))
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (FAILS, "no_residual_current_device")


def test_a_30_ma_device_anywhere_before_the_circuit_counts() -> None:
    verdict = sockets(
        selective("incomer", "A", 100.0), rcbo("shared", fed_by="incomer"), breaker("way1", fed_by="shared")
    )
    assert verdict is not None
    assert verdict.outcome is COMPLIES


def test_a_failing_verdict_names_the_most_sensitive_device_found() -> None:
    verdict = sockets(selective("incomer", "A", 300.0), rcbo("way1", "A", 100.0, fed_by="incomer"))
    assert verdict is not None
    assert (verdict.value, verdict.related) == (100.0, ("devices.way1",))


@pytest.mark.parametrize(
    ("incomer_ma", "way_ma", "named", "value_ma"),
    [(100.0, 300.0, "incomer", 100.0), (300.0, 100.0, "way1", 100.0), (100.0, 100.0, "way1", 100.0)],
)
def test_the_lowest_rating_is_named_wherever_it_stands_and_the_nearest_of_equals(
    incomer_ma: float, way_ma: float, named: str, value_ma: float
) -> None:
    verdict = sockets(selective("incomer", "A", incomer_ma), rcbo("way1", "A", way_ma, fed_by="incomer"))
    assert verdict is not None
    assert (verdict.value, verdict.related) == (value_ma, (f"devices.{named}",))


@pytest.mark.parametrize(("rated_a", "judged"), [(32.0, True), (32.1, False), (63.0, False)])
def test_outlets_above_32_a_are_outside_the_rule(rated_a: float, judged: bool) -> None:
    verdict = sockets(breaker("way1"), facts={"socket_outlet_rated_current_a": rated_a})
    assert (verdict is not None) is judged


def test_outlets_of_unknown_rating_are_no_larger_than_their_overcurrent_device() -> None:
    verdict = sockets(breaker("way1", rated_current_a=32.0), facts={"socket_outlet_rated_current_a": None})
    assert verdict is not None
    assert verdict.outcome is FAILS


def test_outlets_of_unknown_rating_on_a_large_device_cannot_be_judged() -> None:
    verdict = sockets(breaker("way1", rated_current_a=40.0), facts={"socket_outlet_rated_current_a": None})
    assert verdict is not None
    assert verdict.missing == ("circuits.sockets.socket_outlet_rated_current_a",)


def test_a_device_of_unknown_rating_leaves_the_circuit_undetermined() -> None:
    verdict = sockets(rcbo("way1", "A", None))
    assert verdict is not None
    assert verdict.missing == ("devices.way1.rated_residual_operating_current_ma",)


@pytest.mark.parametrize(
    ("premises", "outcome"),
    [
        (Premises.DWELLING, FAILS),
        (None, Outcome.UNDETERMINED),
        *((each, COMPLIES) for each in Premises if each not in (Premises.DWELLING, Premises.AGRICULTURAL)),
    ],
)
def test_a_risk_assessment_opts_out_outside_dwellings_only(premises: Premises | None, outcome: Outcome) -> None:
    facts = {"documented_risk_assessment": True, "supervised_users_only": True}
    verdict = sockets(breaker("way1"), facts=facts, premises=premises)
    assert verdict is not None
    assert verdict.outcome is outcome


def test_a_protected_circuit_stands_on_its_device_and_not_on_an_assessment() -> None:
    facts = {"documented_risk_assessment": True, "supervised_users_only": True}
    for premises in (Premises.COMMERCIAL, None):
        verdict = sockets(rcbo("way1"), facts=facts, premises=premises)
        assert verdict is not None
        assert (verdict.outcome, verdict.case) == (COMPLIES, "protected")


def test_a_protected_circuit_of_unknown_outlets_complies_whatever_its_overcurrent_device() -> None:
    verdict = sockets(rcbo("way1", rated_current_a=40.0), facts={"socket_outlet_rated_current_a": None})
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (COMPLIES, "protected")


@pytest.mark.parametrize("lacking", ["documented_risk_assessment", "supervised_users_only"])
def test_an_opt_out_needs_both_the_document_and_the_users(lacking: str) -> None:
    facts = {"documented_risk_assessment": True, "supervised_users_only": True} | {lacking: False}
    verdict = sockets(breaker("way1"), facts=facts, premises=Premises.COMMERCIAL)
    assert verdict is not None
    assert verdict.outcome is FAILS


def test_outdoor_mobile_equipment_is_judged_like_socket_outlets() -> None:
    verdict = sockets(breaker("way1"), facts={"socket_outlets": False, "outdoor_mobile_equipment": True})
    assert verdict is not None
    assert verdict.outcome is FAILS


def test_fixed_equipment_alone_asks_for_no_additional_protection() -> None:
    assert sockets(breaker("way1"), facts={"socket_outlets": False}) is None


@pytest.mark.parametrize("location", [Location.AGRICULTURAL_BUILDING, Location.CARAVAN_PITCH])
def test_farms_and_pitches_are_judged_by_their_own_sections(location: Location) -> None:
    assert sockets(breaker("way1"), facts={"location": location}) is None
    assert sockets(breaker("way1"), premises=Premises.AGRICULTURAL) is None


def lighting(*devices: object, **facts: object) -> Verdict | None:
    of = house(*devices, circuit("lights", "way1", luminaires=True), **facts)  # type: ignore[arg-type]
    return verdicts(luminaires_with_additional_protection, of).get("lights")


@pytest.mark.parametrize(("rating_ma", "outcome"), [(30.0, COMPLIES), (100.0, FAILS)])
def test_lighting_of_a_dwelling_needs_30_ma(rating_ma: float, outcome: Outcome) -> None:
    verdict = lighting(rcbo("way1", "A", rating_ma))
    assert verdict is not None
    assert verdict.outcome is outcome


@pytest.mark.parametrize("premises", [Premises.HMO, Premises.HIGHER_RISK_RESIDENTIAL])
def test_where_several_households_live_the_lighting_needs_30_ma_too(premises: Premises) -> None:
    # 411.3.4 speaks of domestic (household) premises; that these are such is common practice.
    verdict = lighting(breaker("way1"), premises=premises)
    assert verdict is not None
    assert verdict.outcome is FAILS


@pytest.mark.parametrize("premises", [each for each in Premises if each not in HOUSEHOLDS])
def test_lighting_outside_dwellings_is_not_asked_for_30_ma(premises: Premises) -> None:
    assert lighting(breaker("way1"), premises=premises) is None


def test_lighting_of_unknown_premises_cannot_be_judged() -> None:
    verdict = lighting(breaker("way1"), premises=None)
    assert verdict is not None
    assert verdict.missing == ("premises",)


def gives(**facts: object) -> Verdict | None:
    of = house(rcbo("way1", **facts), circuit("c", "way1"))  # type: ignore[arg-type]
    return verdicts(device_that_gives_additional_protection, of).get("way1")


def test_a_30_ma_device_without_delay_gives_additional_protection() -> None:
    verdict = gives(rating_ma=30.0)
    assert verdict is not None
    assert (verdict.outcome, verdict.value, verdict.limit) == (COMPLIES, 30.0, 30.0)


def test_a_30_ma_device_with_a_delay_gives_none() -> None:
    verdict = gives(residual_delay=ResidualDelay.S)
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (FAILS, "time_delayed")


def test_a_100_ma_s_type_does_not_claim_to_give_additional_protection() -> None:
    assert gives(rating_ma=100.0, residual_delay=ResidualDelay.S) is None
    assert gives(rating_ma=30.1) is None


@pytest.mark.parametrize("fact", ["residual_delay", "rated_residual_operating_current_ma"])
def test_an_unknown_delay_or_rating_leaves_it_open(fact: str) -> None:
    verdict = gives(**{fact: None})
    assert verdict is not None
    assert verdict.missing == (f"devices.way1.{fact}",)


@pytest.mark.parametrize(
    ("standard", "outcome"),
    [("BS EN 61009-1", COMPLIES), ("BS EN 62423", COMPLIES), ("BS EN 62020", FAILS), (None, COMPLIES)],
)
def test_only_devices_of_residual_current_standards_count(standard: str | None, outcome: Outcome) -> None:
    verdict = gives(standard=standard)
    assert verdict is not None
    assert verdict.outcome is outcome


def concealed(*devices: object, run: dict[str, object] | None, **facts: object) -> Verdict | None:
    given = None if run is None else cable(**run)
    of = house(*(devices or (breaker("way1"),)), circuit("c", "way1", cable=given, **facts))  # type: ignore[arg-type]
    return verdicts(concealed_cable_with_additional_protection, of).get("c")


@pytest.mark.parametrize(("depth_mm", "judged"), [(0.0, True), (49.9, True), (50.0, False), (None, False)])
def test_cables_50_mm_deep_or_at_the_surface_are_outside_the_rule(depth_mm: float | None, judged: bool) -> None:
    assert (concealed(run={"concealed_depth_mm": depth_mm}) is not None) is judged


def test_a_shallow_cable_without_30_ma_protection_fails() -> None:
    verdict = concealed(run={"concealed_depth_mm": 20.0})
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (FAILS, "no_residual_current_device")


def test_a_shallow_cable_with_30_ma_protection_in_a_safe_zone_complies() -> None:
    verdict = concealed(rcbo("way1"), run={"concealed_depth_mm": 20.0})
    assert verdict is not None
    assert verdict.outcome is COMPLIES


def test_30_ma_does_not_help_a_cable_outside_the_safe_zones() -> None:
    verdict = concealed(rcbo("way1"), run={"concealed_depth_mm": 20.0, "in_safe_zone": False})
    assert verdict is not None
    assert (verdict.outcome, verdict.case, verdict.value) == (FAILS, "outside_safe_zone", 20.0)


def test_metal_in_the_partition_counts_at_any_depth() -> None:
    verdict = concealed(run={"partition_with_metal_parts": True, "concealed_depth_mm": 100.0})
    assert verdict is not None
    assert verdict.outcome is FAILS


@pytest.mark.parametrize(
    ("run", "case"),
    [
        ({"earthed_metal_covering": True}, "earthed_covering"),
        ({"type": CableType.ARMOURED_THERMOSETTING_90}, "earthed_covering"),
        ({"type": CableType.ARMOURED_THERMOPLASTIC_70}, "earthed_covering"),
        ({"mechanically_protected": True}, "mechanically_protected"),
    ],
)
def test_a_covered_cable_needs_no_30_ma_protection(run: dict[str, object], case: str) -> None:
    verdict = concealed(run=run | {"concealed_depth_mm": 20.0})
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (COMPLIES, case)


def test_places_of_instructed_persons_only_are_outside_the_rule() -> None:
    assert concealed(run={"concealed_depth_mm": 20.0}, supervised_users_only=True) is None


def test_an_unknown_cable_matters_only_without_30_ma_protection() -> None:
    protected, bare = concealed(rcbo("way1"), run=None), concealed(run=None)
    assert protected is not None
    assert protected.outcome is COMPLIES
    assert bare is not None
    assert bare.missing == ("circuits.c.cable",)
