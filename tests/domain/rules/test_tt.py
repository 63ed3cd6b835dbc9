"""TT: electrode and device, poles, metal boards, surge protection, and the TT island beside PME.

Outside values: RA x I-delta-n <= 50 V and so 1667, 500 and 167 ohm at 30, 100 and 300 mA (BS 7671
411.5.3 and Table 41.5, seen in public texts); 200 ohm (Table 41.5 note 2, seen in a public text).
The rest are choices that no figure decides; the rules on poles and metal boards are from memory.
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    cable,
    charger,
    circuit,
    device,
    everyday_supply,
    house,
    inverter,
    item,
    rcbo,
    rccb,
    selective,
    verdicts,
)
from trainer.domain.equipment import ChargerEarthing, SourceKind
from trainer.domain.findings import Finding, Verdict
from trainer.domain.rules.tt import (
    device_opens_all_live_conductors,
    electrode_resistance_stays_stable,
    fault_protection_by_electrode_and_device,
    fault_protection_by_residual_device_in_tn,
)
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import DeviceKind, EarthingSystem, Outcome

COMPLIES, FAILS, ADVICE, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED
TT, TN_S, TN_C_S = EarthingSystem.TT, EarthingSystem.TN_S, EarthingSystem.TN_C_S
OWN = {"earthing": ChargerEarthing.OWN_TT_ELECTRODE}


def electrode(ohm: float | None, *devices: object, system: EarthingSystem | None = TT) -> Verdict | None:
    chain = devices or (rcbo("way1", "A", 30.0),)
    of = house(*chain, circuit("c", "way1"), system=system, earthing=Earthing(electrode_resistance_ohm=ohm))  # type: ignore[arg-type]
    return verdicts(fault_protection_by_electrode_and_device, of).get("c")


@pytest.mark.parametrize(
    ("rating_ma", "highest_ohm"),
    [(30.0, 1667.0), (100.0, 500.0), (300.0, 167.0), (500.0, 100.0)],
)
def test_table_41_5_is_the_limit_of_the_electrode(rating_ma: float, highest_ohm: float) -> None:
    # Printed to whole ohms: just below the printed value complies, one ohm above fails.
    below = electrode(highest_ohm - 0.5, rcbo("way1", "A", rating_ma))
    above = electrode(highest_ohm + 1.0, rcbo("way1", "A", rating_ma))
    assert below is not None
    assert above is not None
    assert (below.outcome, above.outcome) == (COMPLIES, FAILS)


def test_exactly_50_v_complies() -> None:
    verdict = electrode(500.0, rcbo("way1", "A", 100.0))
    assert verdict is not None
    assert (verdict.outcome, verdict.value, verdict.limit, verdict.unit) == (COMPLIES, 50.0, 50.0, "V")


def test_the_product_shows_electrode_and_rating() -> None:
    verdict = electrode(620.0, selective("incomer", "A", 100.0), breaker("way1", fed_by="incomer"))
    assert verdict is not None
    finding = Finding(fault_protection_by_electrode_and_device, "circuits.c", verdict)
    assert [(term.value, term.unit) for term in finding.terms] == [(620.0, "ohm"), (100.0, "mA")]
    assert verdict.value == pytest.approx(62.0)
    assert verdict.related == ("devices.incomer",)


def test_a_100_ma_s_type_gives_fault_protection_in_tt() -> None:
    verdict = electrode(180.0, selective("incomer", "A", 100.0), breaker("way1", fed_by="incomer"))
    assert verdict is not None
    assert verdict.outcome is COMPLIES


def test_the_most_sensitive_device_before_the_circuit_counts() -> None:
    verdict = electrode(1000.0, selective("incomer", "A", 100.0), rcbo("way1", "A", 30.0, fed_by="incomer"))
    assert verdict is not None
    assert (verdict.outcome, verdict.value) == (COMPLIES, 30.0)


def test_a_more_sensitive_device_further_up_counts_too() -> None:
    verdict = electrode(1000.0, rccb("head", "A", 30.0), rcbo("way1", "A", 100.0, fed_by="head"))
    assert verdict is not None
    assert (verdict.outcome, verdict.value, verdict.related) == (COMPLIES, 30.0, ("devices.head",))


def test_of_equal_ratings_the_nearest_is_named() -> None:
    verdict = electrode(1000.0, rccb("head", "A", 30.0), rcbo("way1", "A", 30.0, fed_by="head"))
    assert verdict is not None
    assert verdict.related == ("devices.way1",)


def test_in_tt_an_overcurrent_device_alone_is_no_fault_protection() -> None:
    verdict = electrode(20.0, breaker("way1"))
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (FAILS, "no_residual_current_device")


def test_unknown_electrodes_ratings_and_supplies_leave_it_open() -> None:
    no_electrode, no_rating = electrode(None), electrode(100.0, rcbo("way1", "A", None))
    no_system = electrode(100.0, system=None)
    assert no_electrode is not None
    assert no_electrode.missing == ("earthing.electrode_resistance_ohm",)
    assert no_rating is not None
    assert no_rating.missing == ("devices.way1.rated_residual_operating_current_ma",)
    assert no_system is not None
    assert no_system.missing == ("supply.earthing_system",)


def test_in_tn_no_electrode_is_asked_for() -> None:
    assert electrode(None, system=TN_S) is None


@pytest.mark.parametrize(("ohm", "expected"), [(1600.0, COMPLIES), (1700.0, FAILS), (None, OPEN)])
def test_a_charger_with_its_own_electrode_is_judged_as_tt(ohm: float | None, expected: Outcome) -> None:
    point = charger("ev", "c", electrode_resistance_ohm=ohm, **OWN)
    of = house(rcbo("way1"), rcbo("way2"), circuit("c", "way1"), circuit("d", "way2"), point)
    found = verdicts(fault_protection_by_electrode_and_device, of)
    assert set(found) == {"c"}
    assert found["c"].outcome is expected


def test_a_separated_charger_has_no_electrode_to_judge() -> None:
    point = charger("ev", "c", earthing=ChargerEarthing.ELECTRICAL_SEPARATION)
    assert verdicts(fault_protection_by_electrode_and_device, house(rcbo("way1"), circuit("c", "way1"), point)) == {}


# --- stability of electrodes ------------------------------------------------------------------------


def stable(**facts: object) -> Verdict | None:
    of = house(rcbo("way1"), circuit("c", "way1"), **({"system": TT} | facts))  # type: ignore[arg-type]
    return verdicts(electrode_resistance_stays_stable, of).get("installation")


@pytest.mark.parametrize(("ohm", "expected"), [(200.0, COMPLIES), (200.1, ADVICE), (1500.0, ADVICE)])
def test_an_electrode_above_200_ohm_is_advised_against(ohm: float, expected: Outcome) -> None:
    verdict = stable(earthing=Earthing(electrode_resistance_ohm=ohm))
    assert verdict is not None
    assert (verdict.outcome, verdict.value, verdict.limit) == (expected, ohm, 200.0)


def test_the_highest_of_all_electrodes_counts() -> None:
    point = charger("ev", "c", electrode_resistance_ohm=210.0, **OWN)
    earthing = Earthing(electrode_resistance_ohm=90.0, island_electrode_resistance_ohm=150.0)
    of = house(rcbo("way1"), circuit("c", "way1"), point, system=TT, earthing=earthing)
    verdict = verdicts(electrode_resistance_stays_stable, of)["installation"]
    assert (verdict.value, verdict.related) == (210.0, ("equipment.ev.charger.electrode_resistance_ohm",))


def test_the_highest_counts_wherever_it_is() -> None:
    verdict = stable(earthing=Earthing(electrode_resistance_ohm=90.0, island_electrode_resistance_ohm=210.0))
    assert verdict is not None
    assert (verdict.value, verdict.related) == (210.0, ("earthing.island_electrode_resistance_ohm",))


def test_of_equal_electrodes_the_first_is_named() -> None:
    verdict = stable(earthing=Earthing(electrode_resistance_ohm=90.0, island_electrode_resistance_ohm=90.0))
    assert verdict is not None
    assert verdict.related == ("earthing.island_electrode_resistance_ohm",)


def test_without_an_electrode_there_is_nothing_to_be_stable() -> None:
    assert stable(earthing=Earthing()) is None
    assert stable(system=TN_C_S, earthing=Earthing(electrode_resistance_ohm=900.0)) is None


# --- poles --------------------------------------------------------------------------------------------


def poles(*records: object, count: int = 1, facts: dict[str, object] | None = None, **of: object) -> Verdict | None:
    built = house(rcbo("way1", poles=count, **(facts or {})), circuit("c", "way1"), *records, **of)  # type: ignore[arg-type]
    return verdicts(device_opens_all_live_conductors, built).get("way1")


def test_a_single_pole_device_that_isolates_a_circuit_in_tt_fails() -> None:
    verdict = poles(system=TT)
    assert verdict is not None
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (FAILS, "isolates_in_tt", 1, 2)


def test_a_circuit_knows_its_device_by_the_letters_of_its_name_as_a_file_brings_them() -> None:
    of = house(rcbo("way1", poles=1), circuit("c", "".join(["way", "1"])), system=TT)
    assert verdicts(device_opens_all_live_conductors, of)["way1"].case == "isolates_in_tt"


def test_a_single_pole_device_that_does_not_isolate_in_tt_is_advised_against() -> None:
    verdict = poles(system=TT, facts={"isolates": False})
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (ADVICE, "tt")


@pytest.mark.parametrize("way", ["a", "way1"])
def test_a_shared_device_before_breakers_that_isolate_is_advised_against_in_tt(way: str) -> None:
    of = house(rccb("shared", poles=1), breaker(way, fed_by="shared"), circuit("c", way), system=TT)
    verdict = verdicts(device_opens_all_live_conductors, of)["shared"]
    assert (verdict.outcome, verdict.case) == (ADVICE, "tt")


@pytest.mark.parametrize("system", [TT, TN_C_S])
def test_beside_a_source_a_single_pole_device_fails(system: EarthingSystem) -> None:
    verdict = poles(inverter("pv", "c"), system=system)
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (FAILS, "source_on_the_circuit")


def test_a_source_elsewhere_in_the_house_makes_single_poles_advice() -> None:
    other = (rcbo("way2"), circuit("d", "way2"), inverter("pv", "d"))
    verdict = poles(*other)
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (ADVICE, "parallel_generation")


def test_in_a_house_that_can_run_as_an_island_a_single_pole_device_fails() -> None:
    other = (rcbo("way2"), circuit("d", "way2"), inverter("battery", "d", SourceKind.BATTERY, island=True))
    verdict = poles(*other)
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (FAILS, "island_mode")


def test_a_device_upstream_of_a_charging_point_opens_the_neutral() -> None:
    chain = (rccb("upper", "A", 100.0, poles=1), rcbo("way1", fed_by="upper"), circuit("c", "way1"), charger("ev", "c"))
    found = verdicts(device_opens_all_live_conductors, house(*chain))
    assert (found["upper"].outcome, found["upper"].case) == (FAILS, "charging_point")
    assert "way1" not in found  # the charging point's own device has a rule of its own


def test_two_poles_satisfy_one_phase_and_four_satisfy_three() -> None:
    two, three = (
        poles(count=2, system=TT),
        house(rcbo("way1", poles=3), circuit("c", "way1", phases=3), phases=3, system=TT),
    )
    assert two is not None
    assert (two.outcome, two.case) == (COMPLIES, "all_live_conductors")
    assert verdicts(device_opens_all_live_conductors, three)["way1"].outcome is FAILS


def test_a_circuit_without_neutral_needs_its_lines_only() -> None:
    of = house(rcbo("way1", poles=3), circuit("c", "way1", phases=3, has_neutral=False), phases=3, system=TT)
    assert verdicts(device_opens_all_live_conductors, of)["way1"].outcome is COMPLIES


def test_in_plain_tn_the_neutral_counts_as_earthed() -> None:
    assert poles() is None
    assert poles(system=TN_S) is None


def test_plain_breakers_are_not_judged_for_poles() -> None:
    assert verdicts(device_opens_all_live_conductors, house(breaker("way1"), circuit("c", "way1"), system=TT)) == {}


# --- residual current device as fault protection in TN --------------------------------------------------


def long_run(*devices: object, length_m: float, system: EarthingSystem = TN_S) -> Verdict | None:
    chain = devices or (rcbo("way1", "A", 300.0),)
    of = house(*chain, circuit("c", "way1", cable=cable(length_m=length_m)), system=system)  # type: ignore[arg-type]
    return verdicts(fault_protection_by_residual_device_in_tn, of).get("c")


def test_while_the_overcurrent_device_can_act_the_rule_is_silent() -> None:
    # 32 A curve B: 1.37 ohm. Ze 0.35 + 30 m x 19.51 mohm/m x 1.20 = 1.05 ohm.
    assert long_run(length_m=30.0) is None


@pytest.mark.parametrize(
    ("length_m", "expected"),
    [
        (60.0, COMPLIES),  # 0.35 + 60 x 0.023412 = 1.75 ohm, above 1.37, far below 167
        (7100.0, COMPLIES),  # 0.35 + 7100 x 0.023412 = 166.57 ohm, below 50 V / 0.3 A = 166.67
        (7110.0, FAILS),  # 166.81 ohm
    ],
)
def test_beyond_it_a_residual_current_device_takes_over_up_to_table_41_5(length_m: float, expected: Outcome) -> None:
    verdict = long_run(length_m=length_m)
    assert verdict is not None
    assert (verdict.outcome, verdict.case, verdict.unit) == (expected, "by_residual_current_device", "ohm")
    assert verdict.limit == pytest.approx(167.0, abs=0.5)
    assert verdict.related == ("devices.way1",)


def test_the_device_that_the_fault_current_reaches_is_judged() -> None:
    # 1150 + 60 x 0.023412 = 1151.4 ohm: 230 V drive 0.2 A; 300 mA is not reached, 30 mA acts and allows 1667 ohm
    supply = everyday_supply(TN_S, external_earth_fault_loop_impedance_ohm=1150.0)
    chain = (rccb("head", "A", 30.0), rcbo("way1", "A", 300.0, fed_by="head"))
    of = house(*chain, circuit("c", "way1", cable=cable(length_m=60.0)), supply=supply)
    verdict = verdicts(fault_protection_by_residual_device_in_tn, of)["c"]
    assert (verdict.outcome, verdict.related) == (COMPLIES, ("devices.head",))
    assert verdict.limit == pytest.approx(1666.7, abs=0.1)


def test_without_a_residual_current_device_the_rule_on_the_overcurrent_device_speaks_alone() -> None:
    assert long_run(breaker("way1"), length_m=60.0) is None


def test_in_tt_and_for_a_charger_with_its_own_electrode_the_rule_is_silent() -> None:
    assert long_run(length_m=60.0, system=TT) is None
    point = charger("ev", "c", electrode_resistance_ohm=100.0, **OWN)
    of = house(rcbo("way1"), circuit("c", "way1", cable=cable(length_m=60.0)), point)
    assert verdicts(fault_protection_by_residual_device_in_tn, of) == {}


def test_what_is_missing_is_named_by_the_rule_on_the_overcurrent_device() -> None:
    of = house(rcbo("way1"), circuit("c", "way1", cable=None), system=TN_S)
    assert verdicts(fault_protection_by_residual_device_in_tn, of) == {}
    unknown = house(rcbo("way1"), circuit("c", "way1"), system=None)
    assert verdicts(fault_protection_by_residual_device_in_tn, unknown) == {}
    switch = house(device("way1", DeviceKind.SWITCH), circuit("c", "way1"), system=TN_S)
    assert verdicts(fault_protection_by_residual_device_in_tn, switch) == {}


def test_chargers_that_share_the_earth_have_no_electrode_of_their_own() -> None:
    point = charger("ev", "c", electrode_resistance_ohm=900.0, earthing=ChargerEarthing.INSTALLATION_EARTH)
    earthing = Earthing(electrode_resistance_ohm=90.0)
    of = house(rcbo("way1"), circuit("c", "way1"), point, item("load", "c"), system=TT, earthing=earthing)
    assert verdicts(electrode_resistance_stays_stable, of)["installation"].value == 90.0


def test_the_largest_circuit_decides_how_many_poles_are_needed() -> None:
    mixed = (circuit("c", "shared"), circuit("d", "shared", phases=3))
    of = house(rccb("shared", poles=2), *mixed, phases=3, system=TT)
    verdict = verdicts(device_opens_all_live_conductors, of)["shared"]
    assert (verdict.outcome, verdict.limit) == (FAILS, 4)
    bare = house(rccb("spare", poles=1), rcbo("way1"), circuit("c", "way1"), system=TT)
    assert verdicts(device_opens_all_live_conductors, bare)["spare"].limit == 0


def test_more_poles_than_needed_comply() -> None:
    of = house(rccb("shared", poles=4), circuit("c", "shared"), phases=3, system=TT)
    verdict = verdicts(device_opens_all_live_conductors, of)["shared"]
    assert (verdict.outcome, verdict.case, verdict.value) == (COMPLIES, "all_live_conductors", 4)
