"""Metal boards and surge protection in TT, and the TT island beside PME.

Outside values: for pitches RA x I-delta-n <= 50 V (BS 7671 411.5.3, seen in a public text) and 200 ohm
(Table 41.5 note 2, seen in a public text); no figure decides the other rules. Metal boards and surge devices
from memory of BS 7671 531.3.5.3.2, 421.1.201 and 534.4.10; the island beside PME is common practice, no source.
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    charger,
    circuit,
    house,
    item,
    rcbo,
    selective,
    verdicts,
)
from trainer.domain.devices import Board
from trainer.domain.equipment import ChargerEarthing
from trainer.domain.findings import Verdict
from trainer.domain.rules.registry import Rule
from trainer.domain.rules.tt import (
    electrode_resistance_stays_stable,
    fault_protection_by_electrode_and_device,
    metal_board_in_tt,
    surge_protection_in_tt,
    tt_island_beside_pme,
)
from trainer.domain.supply import Earthing, SurgeDeviceType, SurgeProtection
from trainer.domain.vocabulary import EarthingSystem, Location, Outcome

COMPLIES, FAILS, ADVICE, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED
TT, TN_S, TN_C_S = EarthingSystem.TT, EarthingSystem.TN_S, EarthingSystem.TN_C_S
OWN = {"earthing": ChargerEarthing.OWN_TT_ELECTRODE}


def board(system: EarthingSystem = TT, **facts: object) -> Verdict | None:
    of = house(Board(id="main", **facts), rcbo("way1"), circuit("c", "way1"), system=system)  # type: ignore[arg-type]
    return verdicts(metal_board_in_tt, of).get("main")


@pytest.mark.parametrize(
    ("facts", "expected", "case"),
    [
        ({"metal_enclosure": False}, COMPLIES, "insulating_enclosure"),
        ({"metal_enclosure": True, "class_ii_supply_side": True}, COMPLIES, "insulation_of_the_supply_side"),
        ({"metal_enclosure": True, "class_ii_supply_side": False}, FAILS, "insulation_of_the_supply_side"),
        ({"metal_enclosure": True}, OPEN, ""),
        ({}, OPEN, ""),
    ],
)
def test_a_metal_board_in_tt_is_insulated_up_to_its_first_device(
    facts: dict[str, object], expected: Outcome, case: str
) -> None:
    verdict = board(**facts)
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (expected, case)


def test_a_metal_board_behind_a_device_in_another_enclosure_complies() -> None:
    records = (selective("way1"), circuit("feeder", "way1"), Board(id="second", fed_by="feeder", metal_enclosure=True))
    assert verdicts(metal_board_in_tt, house(*records, system=TT))["second"].case == "device_upstream"
    unprotected = (
        breaker("way1"),
        circuit("feeder", "way1"),
        Board(id="second", fed_by="feeder", metal_enclosure=True),
    )
    missing = verdicts(metal_board_in_tt, house(*unprotected, system=TT))["second"].missing
    assert missing == ("boards.second.class_ii_supply_side",)


def test_metal_boards_in_tn_are_not_judged_here() -> None:
    assert board(TN_C_S, metal_enclosure=True, class_ii_supply_side=False) is None


def surge(system: EarthingSystem = TT, **facts: object) -> Verdict | None:
    of = house(rcbo("way1"), circuit("c", "way1"), system=system, surge=SurgeProtection(**facts))  # type: ignore[arg-type]
    return verdicts(surge_protection_in_tt, of).get("installation")


@pytest.mark.parametrize(("one_plus_one", "expected"), [(True, COMPLIES), (False, FAILS), (None, OPEN)])
def test_surge_devices_in_tt_are_connected_one_plus_one(one_plus_one: bool | None, expected: Outcome) -> None:
    verdict = surge(device=SurgeDeviceType.TYPE_2, one_plus_one_connection=one_plus_one)
    assert verdict is not None
    assert verdict.outcome is expected


def test_without_surge_devices_or_outside_tt_the_connection_does_not_matter() -> None:
    assert surge(device=SurgeDeviceType.NONE, one_plus_one_connection=False) is None
    assert surge(one_plus_one_connection=False) is None
    assert surge(TN_S, device=SurgeDeviceType.TYPE_2, one_plus_one_connection=False) is None


# --- TT island beside PME ---------------------------------------------------------------------------------

APART = {
    "electrode_clear_of_bonded_metal": True,
    "simultaneous_reach_of_earths": False,
    "armour_isolated_at_one_end": True,
}


def beside_pme(way: object = None, system: EarthingSystem = TN_C_S, **facts: object) -> Verdict | None:
    point = charger("ev", "c", **(OWN | APART | facts))
    of = house(way or rcbo("way1"), circuit("c", "way1"), point, system=system)  # type: ignore[arg-type]
    return verdicts(tt_island_beside_pme, of).get("ev")


def test_a_tt_island_kept_apart_from_everything_bonded_complies() -> None:
    verdict = beside_pme()
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (COMPLIES, "kept_apart")


@pytest.mark.parametrize("fact", list(APART))
def test_each_way_back_to_the_pme_earth_is_advised_against(fact: str) -> None:
    wrong, unknown = beside_pme(**{fact: not APART[fact]}), beside_pme(**{fact: None})
    assert wrong is not None
    assert (wrong.outcome, wrong.case) == (ADVICE, fact)
    assert unknown is not None
    assert unknown.missing == (f"equipment.ev.charger.{fact}",)


def test_an_island_without_a_residual_current_device_before_it_is_advised_against() -> None:
    verdict = beside_pme(breaker("way1"))
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (ADVICE, "no_residual_current_device")


def test_only_own_electrodes_beside_a_network_earth_are_islands() -> None:
    assert beside_pme(system=TT) is None
    assert beside_pme(earthing=ChargerEarthing.INSTALLATION_EARTH) is None
    of = house(rcbo("way1"), circuit("c", "way1"), item("load", "c"))
    rule: Rule = tt_island_beside_pme
    assert verdicts(rule, of) == {}


def test_a_device_upstream_of_a_metal_board_makes_it_comply() -> None:
    records = (selective("way1"), circuit("feeder", "way1"), Board(id="second", fed_by="feeder", metal_enclosure=True))
    assert verdicts(metal_board_in_tt, house(*records, system=TT))["second"].outcome is COMPLIES


# --- caravan pitches of a site on PME ---------------------------------------------------------------------


def pitch(ohm: float | None, system: EarthingSystem | None = TN_C_S, **facts: object) -> dict[str, Verdict]:
    given = {"location": Location.CARAVAN_PITCH, "socket_outlets": True} | facts
    earth = Earthing(electrode_resistance_ohm=ohm)
    of = house(rcbo("way1"), circuit("c", "way1", **given), system=system, earthing=earth)
    found = verdicts(fault_protection_by_electrode_and_device, of)
    return found | verdicts(electrode_resistance_stays_stable, of)


def test_the_electrode_of_pitches_beside_pme_is_judged_as_in_tt() -> None:
    # 30 mA at 1600 ohm is 48 V, at 5000 ohm 150 V.
    assert (pitch(1600.0)["c"].outcome, pitch(1600.0)["c"].value) == (Outcome.COMPLIES, 48.0)
    assert (pitch(5000.0)["c"].outcome, pitch(5000.0)["c"].value) == (Outcome.DOES_NOT_COMPLY, 150.0)
    assert (pitch(200.0)["installation"].outcome, pitch(201.0)["installation"].outcome) == (
        Outcome.COMPLIES,
        Outcome.ADVICE,
    )


def test_an_electrode_that_earths_no_pitch_of_a_pme_site_is_not_judged() -> None:
    assert pitch(None) == {}
    assert pitch(5000.0, EarthingSystem.TN_S) == {}
    assert pitch(5000.0, location=Location.OUTDOORS) == {}
    assert pitch(5000.0, location=Location.AGRICULTURAL_BUILDING) == {}
    assert pitch(5000.0, socket_outlets=False) == {}
