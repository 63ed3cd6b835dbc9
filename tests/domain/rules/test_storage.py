"""Stationary batteries: place, alarm, notice.

Outside values: refused places and 1 m from openings (PAS 63100:2024, seen through installers' pages);
alarm and notice from memory; that a chapter on batteries exists in A4 seen in a public text.
"""

from __future__ import annotations

import pytest

from tests.domain.houses import breaker, circuit, house, inverter, verdicts
from trainer.domain.equipment import Battery, SourceKind
from trainer.domain.findings import Verdict
from trainer.domain.notices import Notice
from trainer.domain.rules.registry import Rule, judge
from trainer.domain.rules.storage import alarm_and_notice_for_the_battery, chapter_on_batteries, place_of_the_battery
from trainer.domain.vocabulary import Edition, Location, Outcome, Premises

COMPLIES, FAILS, ADVICE, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED


def stored(
    rule: Rule, location: Location = Location.GARAGE, *, house_facts: dict[str, object] | None = None, **facts: object
) -> Verdict | None:
    store = inverter("store", "c", SourceKind.BATTERY, battery=Battery(location=location, **facts))  # type: ignore[arg-type]
    of = house(breaker("way1"), circuit("c", "way1"), store, **(house_facts or {}))  # type: ignore[arg-type]
    return verdicts(rule, of).get("store")


def outcome(rule: Rule, location: Location = Location.GARAGE, **facts: object) -> Outcome:
    verdict = stored(rule, location, **facts)  # type: ignore[arg-type]
    assert verdict is not None
    return verdict.outcome


@pytest.mark.parametrize("location", [Location.BEDROOM, Location.ESCAPE_ROUTE, Location.LOFT])
def test_a_battery_keeps_out_of_bedrooms_escape_routes_and_lofts(location: Location) -> None:
    assert outcome(place_of_the_battery, location) is FAILS


@pytest.mark.parametrize(
    "location", [Location.GARAGE, Location.OUTBUILDING, Location.PLANT_ROOM, Location.AGRICULTURAL_BUILDING]
)
def test_a_battery_may_stand_in_garages_outbuildings_and_plant_rooms(location: Location) -> None:
    assert outcome(place_of_the_battery, location) is COMPLIES


def test_a_battery_in_a_bathroom_is_neither_refused_nor_accepted_by_the_list_of_places() -> None:
    # Section 701 and the maker decide; common practice, no list names a bathroom.
    assert outcome(place_of_the_battery, Location.BATHROOM) is ADVICE


@pytest.mark.parametrize(("distance_m", "expected"), [(1.0, COMPLIES), (0.99, FAILS), (3.0, COMPLIES), (None, OPEN)])
def test_outdoors_a_battery_keeps_1_m_from_openings(distance_m: float | None, expected: Outcome) -> None:
    assert outcome(place_of_the_battery, Location.OUTDOORS, distance_to_openings_m=distance_m) is expected


def test_the_place_is_judged_in_dwellings_only() -> None:
    commercial, unknown = {"premises": Premises.COMMERCIAL}, {"premises": None}
    assert stored(place_of_the_battery, Location.LOFT, house_facts=commercial) is None
    verdict = stored(place_of_the_battery, Location.LOFT, house_facts=unknown)
    assert verdict is not None
    assert verdict.missing == ("premises",)


def test_the_chapter_on_batteries_is_advice_in_a4_only() -> None:
    assert outcome(chapter_on_batteries) is ADVICE
    store = inverter("store", "c", SourceKind.BATTERY, battery=Battery(location=Location.GARAGE))
    of = house(breaker("way1"), circuit("c", "way1"), store)
    assert judge(of, [chapter_on_batteries], Edition.A3_2024) == []


@pytest.mark.parametrize(
    ("facts", "expected", "case"),
    [
        ({"alarm_linked": True, "fire_service_notice": True}, COMPLIES, "alarm_and_notice"),
        ({"alarm_linked": False, "fire_service_notice": True}, FAILS, "alarm"),
        ({"alarm_linked": True, "fire_service_notice": False}, FAILS, "notice"),
        ({"fire_service_notice": True}, OPEN, ""),
        ({"alarm_linked": True}, OPEN, ""),
    ],
)
def test_a_battery_has_a_linked_alarm_and_a_notice(facts: dict[str, bool], expected: Outcome, case: str) -> None:
    verdict = stored(alarm_and_notice_for_the_battery, **facts)
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (expected, case)


def test_a_notice_on_display_counts_as_the_notice() -> None:
    displayed = {"notices": frozenset({Notice.FIRE_SERVICE_BATTERY})}
    verdict = stored(alarm_and_notice_for_the_battery, house_facts=displayed, alarm_linked=True)
    assert verdict is not None
    assert verdict.outcome is COMPLIES


def test_alarm_and_notice_are_asked_in_dwellings_only() -> None:
    assert stored(alarm_and_notice_for_the_battery, house_facts={"premises": Premises.COMMERCIAL}) is None


def test_an_inverter_without_a_battery_is_not_judged() -> None:
    of = house(breaker("way1"), circuit("c", "way1"), inverter("pv", "c"))
    for rule in (place_of_the_battery, chapter_on_batteries, alarm_and_notice_for_the_battery):
        assert verdicts(rule, of) == {}


def test_the_place_is_named_in_the_verdict() -> None:
    refused, accepted = stored(place_of_the_battery, Location.LOFT), stored(place_of_the_battery)
    assert refused is not None
    assert (refused.case, refused.value) == ("refused_place", "loft")
    assert accepted is not None
    assert (accepted.case, accepted.value) == ("accepted_place", "garage")
    outdoors = stored(place_of_the_battery, Location.OUTDOORS, distance_to_openings_m=2.0)
    assert outdoors is not None
    assert (outdoors.case, outdoors.unit) == ("distance_to_openings", "m")
    chapter = stored(chapter_on_batteries)
    assert chapter is not None
    assert chapter.case == "chapter_applies"
    displayed = {"notices": frozenset({Notice.FIRE_SERVICE_BATTERY})}
    noticed = stored(alarm_and_notice_for_the_battery, house_facts=displayed, alarm_linked=True)
    assert noticed is not None
    assert noticed.case == "alarm_and_notice"
