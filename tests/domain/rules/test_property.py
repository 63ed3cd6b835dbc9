"""SPD-01, SPD-02, AFDD-01, CU-01: passing, failing or advice, on the limit, undetermined."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import BOARD, breaker, circuit, house, verdicts
from trainer.domain.devices import Board
from trainer.domain.findings import Verdict
from trainer.domain.rules import property as protection_of_property
from trainer.domain.rules.paths import HOUSEHOLDS
from trainer.domain.supply import SurgeDeviceType, SurgeProtection
from trainer.domain.vocabulary import Outcome, Premises

PROVIDED, CONNECTED, ARCS, ENCLOSURE = protection_of_property.RULES
PASS, FAIL, ADVICE, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED
NONE, TYPE_1, TYPE_2, BOTH = (
    SurgeDeviceType.NONE,
    SurgeDeviceType.TYPE_1,
    SurgeDeviceType.TYPE_2,
    SurgeDeviceType.TYPE_1_AND_2,
)


def provided(device: SurgeDeviceType | None, **facts: Any) -> Verdict:
    return verdicts(PROVIDED, house(surge=SurgeProtection(device=device, **facts)))["installation"]


@pytest.mark.parametrize(
    ("device", "facts", "outcome", "case"),
    [
        (TYPE_2, {}, PASS, "fitted"),
        (NONE, {"serious_consequence": True, "owner_declines": True}, FAIL, "serious_consequence"),
        (NONE, {"serious_consequence": False, "owner_declines": True}, PASS, "owner_decides"),
        (NONE, {"serious_consequence": False, "owner_declines": False}, FAIL, "owner_decides"),
    ],
)
def test_surge_protection_may_be_declined_only_where_little_hangs_on_it(
    device: SurgeDeviceType, facts: dict[str, Any], outcome: Outcome, case: str
) -> None:
    verdict = provided(device, **facts)
    assert (verdict.outcome, verdict.case) == (outcome, case)


@pytest.mark.parametrize(
    ("device", "facts", "path"),
    [
        (None, {}, "surge.device"),
        (NONE, {}, "surge.serious_consequence"),
        (NONE, {"serious_consequence": False}, "surge.owner_declines"),
    ],
)
def test_surge_protection_is_undetermined_without(
    device: SurgeDeviceType | None, facts: dict[str, Any], path: str
) -> None:
    assert (provided(device, **facts).outcome, provided(device, **facts).missing) == (UNKNOWN, (path,))


def connected(device: SurgeDeviceType, length_m: float | None, lightning: bool | None = False) -> Verdict:
    surge = SurgeProtection(device=device, lead_length_m=length_m, external_lightning_protection=lightning)
    return verdicts(CONNECTED, house(surge=surge))["installation"]


@pytest.mark.parametrize(
    ("length_m", "outcome", "limit"),
    [(0.4, PASS, 0.5), (0.5, PASS, 0.5), (0.51, ADVICE, 0.5), (1.0, ADVICE, 0.5), (1.01, FAIL, 1.0)],
)
def test_leads_are_short(length_m: float, outcome: Outcome, limit: float) -> None:
    # 534.4.8: preferably 0.5 m, at most 1 m; from memory
    verdict = connected(TYPE_2, length_m)
    assert (verdict.outcome, verdict.case, verdict.limit, verdict.unit) == (outcome, "leads", limit, "m")


@pytest.mark.parametrize(("device", "outcome"), [(TYPE_1, PASS), (BOTH, PASS), (TYPE_2, FAIL)])
def test_a_lightning_protection_system_asks_for_type_1(device: SurgeDeviceType, outcome: Outcome) -> None:
    verdict = connected(device, 0.4, lightning=True)
    assert verdict.outcome is outcome
    if outcome is FAIL:
        assert (verdict.case, verdict.value, verdict.limit) == ("type", "type_2", "type_1")


def test_connection_is_undetermined_without_and_silent_without_a_device() -> None:
    assert connected(TYPE_2, 0.4, lightning=None).missing == ("surge.external_lightning_protection",)
    assert connected(TYPE_2, None).missing == ("surge.lead_length_m",)
    for device in (None, NONE):
        assert verdicts(CONNECTED, house(surge=SurgeProtection(device=device))) == {}


def arcs(premises: Premises | None, detects: bool = False, outlet_a: float | None = 13.0, **facts: Any) -> Any:
    given = {"socket_outlets": True, "socket_outlet_rated_current_a": outlet_a} | facts
    home = house(breaker("b", arc_fault_detection=detects), circuit("c", "b", **given), premises=premises)
    return verdicts(ARCS, home).get("c")


@pytest.mark.parametrize("premises", [Premises.HMO, Premises.STUDENT_ACCOMMODATION])
@pytest.mark.parametrize(("detects", "outcome"), [(True, PASS), (False, FAIL)])
def test_premises_confirmed_in_public_texts_need_arc_fault_detection(
    premises: Premises, detects: bool, outcome: Outcome
) -> None:
    verdict = arcs(premises, detects)
    assert (verdict.outcome, verdict.case, verdict.value) == (outcome, "required", premises.value)


@pytest.mark.parametrize("premises", [Premises.CARE_HOME, Premises.HIGHER_RISK_RESIDENTIAL])
def test_premises_from_memory_need_it_too(premises: Premises) -> None:
    assert arcs(premises).outcome is FAIL


@pytest.mark.parametrize("premises", [Premises.DWELLING, Premises.COMMERCIAL, Premises.SCHOOL])
def test_elsewhere_it_is_recommended_only(premises: Premises) -> None:
    assert (arcs(premises).outcome, arcs(premises).case) == (PASS, "not_required")


@pytest.mark.parametrize(("outlet_a", "judged"), [(32.0, True), (63.0, False)])
def test_outlets_up_to_32_a_are_meant(outlet_a: float, judged: bool) -> None:
    assert (arcs(Premises.HMO, outlet_a=outlet_a) is not None) is judged


def test_other_circuits_are_not_judged() -> None:
    assert arcs(Premises.HMO, socket_outlets=False) is None
    assert arcs(Premises.HMO, phases=3) is None
    outlets = circuit("sub", "b", socket_outlets=True, socket_outlet_rated_current_a=13.0)
    home = house(breaker("b"), outlets, Board(id="garage", fed_by="sub"), premises=Premises.HMO)
    assert verdicts(ARCS, home) == {}


def test_arc_fault_detection_is_undetermined_without() -> None:
    assert arcs(None).missing == ("premises",)
    assert arcs(Premises.HMO, outlet_a=None).missing == ("circuits.c.socket_outlet_rated_current_a",)


def enclosure(premises: Premises | None = Premises.DWELLING, **facts: Any) -> dict[str, Verdict]:
    return verdicts(ENCLOSURE, house(Board(id=BOARD, **facts), premises=premises))


@pytest.mark.parametrize(
    ("standard", "outcome"), [("BS EN 61439-3", PASS), ("BS EN 61439-3:2012", PASS), ("BS EN 60439-3", FAIL)]
)
def test_a_consumer_unit_belongs_to_its_standard(standard: str, outcome: Outcome) -> None:
    verdict = enclosure(noncombustible=True, standard=standard)[BOARD]
    assert (verdict.outcome, verdict.case, verdict.value) == (outcome, "standard", standard)


@pytest.mark.parametrize(("year", "outcome"), [(None, FAIL), (2016, FAIL), (2020, FAIL), (2015, ADVICE)])
def test_an_enclosure_that_burns_fails_unless_it_is_older_than_the_requirement(
    year: int | None, outcome: Outcome
) -> None:
    # 421.1.201 came with Amendment 3:2015, in force from January 2016; from memory
    verdict = enclosure(noncombustible=False, year_installed=year)[BOARD]
    assert (verdict.outcome, verdict.case) == (outcome, "enclosure")


def test_the_enclosure_is_undetermined_without() -> None:
    assert enclosure(None)[BOARD].missing == ("premises",)
    assert enclosure()[BOARD].missing == ("boards.main.noncombustible",)
    assert enclosure(noncombustible=True)[BOARD].missing == ("boards.main.standard",)


@pytest.mark.parametrize("premises", [Premises.HMO, Premises.HIGHER_RISK_RESIDENTIAL])
def test_where_several_households_live_the_enclosure_must_not_burn_either(premises: Premises) -> None:
    # 421.1.201 speaks of domestic (household) premises; that these are such is common practice.
    assert enclosure(premises, noncombustible=False)[BOARD].outcome is FAIL


@pytest.mark.parametrize("premises", [each for each in Premises if each not in HOUSEHOLDS])
def test_the_enclosure_is_judged_in_dwellings_only(premises: Premises) -> None:
    assert enclosure(premises) == {}


def test_the_exposure_is_not_asked_for_where_it_can_change_nothing() -> None:
    # type 1 serves with and without external lightning protection; leads above 1 m fail for either type
    assert connected(TYPE_1, 0.4, lightning=None).outcome is PASS
    assert connected(BOTH, 0.7, lightning=None).outcome is ADVICE
    assert connected(TYPE_2, 1.01, lightning=None).outcome is FAIL
    assert connected(TYPE_1, None, lightning=None).missing == ("surge.lead_length_m",)


def test_without_a_declaration_surge_protection_is_due_whatever_the_consequence() -> None:
    # 443.4.1: without the owner's declaration it is fitted; from memory
    verdict = provided(NONE, owner_declines=False)
    assert (verdict.outcome, verdict.case) == (FAIL, "owner_decides")
    assert provided(NONE, owner_declines=True).missing == ("surge.serious_consequence",)
