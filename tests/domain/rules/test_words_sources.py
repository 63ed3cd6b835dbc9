"""The words of the rules on charging points, PV, sources and islands: outcome, case, unit and terms."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.domain.houses import (
    breaker,
    charger,
    circuit,
    everyday_supply,
    house,
    inverter,
    item,
    rcbo,
    rccb,
    selective,
    verdicts,
)
from tests.domain.rules.words import BY_ID, Row, check, name_of, row
from trainer.domain.devices import Board
from trainer.domain.equipment import ChargerEarthing, NeutralEarthLink, PvArray, SensesOpenPen, SourceKind, Stated
from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import (
    EarthingSystem,
    Outcome,
)

C, N, A = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE
TT = EarthingSystem.TT

C1 = circuit("c", "way1")
LOAD = item("load", "c")
ARRAY = PvArray(
    modules_in_series=10,
    strings_in_parallel=3,
    open_circuit_voltage_v=40.0,
    short_circuit_current_a=10.0,
    module_maximum_overcurrent_protection_a=20.0,
    string_fuse_rated_current_a=16.0,
    maximum_input_voltage_v=600.0,
    class_ii=False,
)
ROOF = inverter("pv", "c", pv_array=ARRAY)
ROUTE = ChargerEarthing
DISTRIBUTED = (rccb("shared", "A", 100.0), breaker("way1", fed_by="shared"), breaker("way2", fed_by="shared"))


def three_phase(route: ChargerEarthing, **facts: object) -> Installation:
    point = charger("ev", "c", earthing=route, electrode_resistance_ohm=1.0, **facts)
    return house(rcbo("way1"), C1, point, phases=3)


def roof(**facts: object) -> Installation:
    return house(breaker("way1"), C1, inverter("pv", "c", pv_array=replace(ARRAY, **facts)))  # type: ignore[arg-type]


ROWS: list[Row] = [
    row(
        "EV-02", "ev", house(rcbo("way1"), C1, charger("ev", "c")), C, "full_current", "A", "points", "rated_current A"
    ),
    row(
        "EV-02",
        "ev",
        house(rcbo("way1"), C1, charger("ev", "c", load_limit_a=16.0, load_limit_fail_safe=True)),
        C,
        "load_limit",
        "A",
        "points",
        "rated_current A",
        "load_limit A",
    ),
    row("EV-03", "ev", house(rcbo("way1"), C1, charger("ev", "c")), C, "pen_conductor", ""),
    row("EV-08", "ev", house(rcbo("way1"), C1, charger("ev", "c")), C, "detection_in_the_unit", "mA"),
    row(
        "EV-08",
        "ev",
        house(
            rcbo("way1", direct_current_detection_ma=6.0), C1, charger("ev", "c", direct_current_detection=Stated.NO)
        ),
        C,
        "detection_in_the_board",
        "mA",
    ),
    row(
        "EV-08",
        "ev",
        house(rcbo("way1"), C1, charger("ev", "c", direct_current_detection_ma=8.0)),
        N,
        "detection_too_coarse",
        "mA",
    ),
    row("EV-09", "ev", house(rcbo("way1"), C1, charger("ev", "c")), C, "device_in_the_board", "poles"),
    row("EV-10", "ev", house(rcbo("way1"), C1, charger("ev", "c")), C, "dedicated_outlet", ""),
    row(
        "EV-11",
        "installation",
        house(rcbo("way1"), C1, charger("ev", "c"), supply=everyday_supply(declared_adequate=True)),
        C,
        "external_impedance",
        "ohm",
    ),
    row(
        "EV-11",
        "installation",
        house(rcbo("way1"), C1, charger("ev", "c"), supply=everyday_supply(TT, declared_adequate=True)),
        C,
        "declared_adequate",
        "",
    ),
    row(
        "EV-11",
        "installation",
        house(rcbo("way1"), C1, charger("ev", "c"), supply=everyday_supply(declared_adequate=False)),
        N,
        "declared_inadequate",
        "",
    ),
    row(
        "EV-13",
        "ev",
        house(
            rcbo("way1"),
            rcbo("way2"),
            C1,
            circuit("d", "way2", line="L2"),
            charger("ev", "c"),
            charger("other", "d"),
            phases=3,
        ),
        C,
        "spread",
        "points",
    ),
    row(
        "EV-13",
        "ev",
        house(rcbo("way1", poles=4), circuit("c", "way1", phases=3), charger("ev", "c", phases=3), phases=3),
        C,
        "neutral",
        "",
    ),
    row(
        "EV-14",
        "ev",
        house(Board(id="main", rated_diversity_factor=1.0), rcbo("way1"), C1, charger("ev", "c")),
        C,
        "rated_diversity_factor",
        "A",
        "rated_current A",
        "rated_diversity_factor",
    ),
    row(
        "EV-04",
        "ev",
        three_phase(ROUTE.BALANCED_THREE_PHASE),
        N,
        "balanced_three_phase",
        "V",
        "L1 A",
        "L2 A",
        "L3 A",
        "neutral_current A",
    ),
    row(
        "EV-04",
        "ev",
        house(
            rcbo("way1", poles=4),
            circuit("c", "way1", phases=3),
            charger("ev", "c", phases=3, earthing=ROUTE.DEVICE_SENSING_VOLTAGE, open_pen=SensesOpenPen.VOLTAGE),
            phases=3,
        ),
        N,
        "single_phase_route_only",
        "phases",
    ),
    row(
        "EV-05",
        "ev",
        three_phase(ROUTE.BALANCED_THREE_PHASE),
        A,
        "worst_load_state",
        "A",
        "L1 A",
        "L2 A",
        "L3 A",
        "neutral_current A",
        "sum_of_currents A",
    ),
    row(
        "EV-06",
        "ev",
        three_phase(ROUTE.ADDITIONAL_ELECTRODE),
        C,
        "additional_electrode",
        "ohm",
        "L1 A",
        "L2 A",
        "L3 A",
        "neutral_current A",
    ),
    row(
        "EV-07",
        "ev",
        house(rcbo("way1"), C1, charger("ev", "c", earthing=ROUTE.ADDITIONAL_ELECTRODE, electrode_resistance_ohm=1.0)),
        N,
        "additional_electrode",
        "ohm",
        "highest_current A",
    ),
    row("PV-02", "pv", house(breaker("way1"), C1, ROOF), C, "way_of_its_own", ""),
    row("PV-03", "pv", house(breaker("way1"), C1, ROOF), C, "overcurrent_device", ""),
    row(
        "PV-05",
        "pv",
        house(breaker("way1"), C1, ROOF),
        N,
        "extra_low_voltage",
        "V",
        "modules_in_series",
        "open_circuit_voltage V",
        "voltage_factor",
    ),
    row(
        "PV-06",
        "pv",
        house(breaker("way1"), C1, ROOF),
        C,
        "string_voltage",
        "V",
        "modules_in_series",
        "open_circuit_voltage V",
        "voltage_factor",
    ),
    row("PV-07", "pv", house(breaker("way1"), C1, ROOF), C, "fuses_fitted", "A"),
    row("PV-08", "pv", house(breaker("way1"), C1, ROOF), C, "inside_both_windows", "A"),
    row("PV-08", "pv", roof(string_fuse_rated_current_a=30.0), N, "above_the_window", "A"),
    row("PV-08", "pv", roof(string_fuse_rated_current_a=14.0), C, "publications_differ", "A"),
    row("PV-07", "pv", roof(strings_in_parallel=1), C, "one_string", "strings"),
    row(
        "PV-07",
        "pv",
        roof(string_fuse_rated_current_a=None),
        N,
        "reverse_current",
        "A",
        "strings_in_parallel",
        "short_circuit_current A",
        "current_factor",
    ),
    row("PV-10", "pv", roof(frame_is_extraneous=True, frame_earthing="bonded"), C, "extraneous", ""),
    row("PV-10", "pv", roof(frame_is_extraneous=False, frame_earthing="protective_conductor"), C, "exposed", ""),
    row("PV-10", "pv", roof(frame_is_extraneous=False, class_ii=True, frame_earthing="none"), C, "neither", ""),
    row("PV-10", "pv", roof(frame_is_extraneous=False, class_ii=True, frame_earthing="functional"), C, "neither", ""),
    row("GEN-03", "pv", house(rcbo("way1"), C1, inverter("pv", "c"), LOAD), N, "shared_30_ma", "mA"),
    row(
        "GEN-01",
        "pv",
        house(breaker("way1"), C1, inverter("pv", "c"), LOAD),
        N,
        "cable_carries_both",
        "A",
        "device_rating A",
        "source_current A",
    ),
    row(
        "GEN-03",
        "pv",
        house(*DISTRIBUTED, C1, circuit("d", "way2"), inverter("pv", "c")),
        A,
        "shared_above_30_ma",
        "mA",
    ),
    row(
        "GEN-03",
        "pv",
        house(selective("shared"), *DISTRIBUTED[1:], C1, circuit("d", "way2"), inverter("pv", "c")),
        C,
        "selective_or_distribution_device",
        "mA",
    ),
    row("GEN-09", "installation", house(breaker("way1"), C1, inverter("pv", "c")), N, "positions", "notices"),
    row("GEN-10", "installation", house(breaker("way1"), C1, inverter("pv", "c")), C, "part_8_applies", "sources"),
    row("GEN-11", "pv", house(breaker("way1"), C1, inverter("pv", "c")), A, "voltage_rise", "%"),
]


@pytest.mark.parametrize("each", ROWS, ids=name_of)
def test_a_verdict_keeps_the_words_that_explanations_use(each: Row) -> None:
    check(each)


ISLAND = house(
    breaker("way1"),
    breaker("store"),
    C1,
    circuit("b", "store"),
    LOAD,
    inverter("battery", "b", SourceKind.BATTERY, island=True, island_fault_current_a=32.0),
    earthing=Earthing(island_electrode_resistance_ohm=60.0),
)


def test_the_island_keeps_its_words_too() -> None:
    disconnection = verdicts(BY_ID["ISL-01"], ISLAND)["c"]
    assert (disconnection.case, disconnection.unit) == ("by_overcurrent_device", "A")
    terms = Finding(BY_ID["ISL-01"], "circuits.c", disconnection).terms
    assert [(term.name, term.unit) for term in terms] == [("island_fault_current", "A"), ("tripping_current", "A")]
    electrode = verdicts(BY_ID["GEN-05"], ISLAND)["installation"]
    assert (electrode.outcome, electrode.case, electrode.unit) == (C, "island_electrode", "ohm")


def test_links_and_fault_currents_of_the_island_keep_their_words() -> None:
    linked = inverter(
        "battery",
        "b",
        SourceKind.BATTERY,
        island=True,
        island_fault_current_a=32.0,
        neutral_earth_link=NeutralEarthLink.AUTOMATIC,
    )
    of = house(
        breaker("store"),
        circuit("b", "store"),
        linked,
        rcbo("way1"),
        C1,
        LOAD,
        system=TT,
        earthing=Earthing(electrode_resistance_ohm=90.0),
    )
    link = verdicts(BY_ID["GEN-06"], of)["battery"]
    assert (link.outcome, link.case, link.value) == (C, "link_in_island_mode", "automatic")
    current = verdicts(BY_ID["GEN-08"], of)["way1"]
    assert (current.outcome, current.case, current.unit) == (C, "fault_current_in_island", "A")
    electrode = verdicts(BY_ID["GEN-05"], of)["installation"]
    assert (electrode.outcome, electrode.case, electrode.unit) == (C, "tt_electrode", "ohm")
