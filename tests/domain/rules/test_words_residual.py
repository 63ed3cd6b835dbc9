"""The words of the rules on residual current devices, makers and TT: outcome, case, unit and terms."""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    cable,
    charger,
    circuit,
    heat_pump,
    house,
    item,
    rcbo,
    rccb,
    selective,
)
from tests.domain.rules.words import Row, check, name_of, row
from trainer.domain.installation import Installation
from trainer.domain.supply import Earthing, SurgeDeviceType, SurgeProtection
from trainer.domain.vocabulary import (
    EarthingSystem,
    MakerWord,
    Outcome,
    Premises,
    RcdType,
    ResidualDelay,
)

C, N, A = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE
TT = EarthingSystem.TT

C1 = circuit("c", "way1")
LOAD = item("load", "c")
PUMP = {"maker_rcd_type": RcdType.B, "maker_rcd_word": MakerWord.REQUIRED}
HOB = {"maker_rcd_type": RcdType.F, "maker_rcd_word": MakerWord.RECOMMENDED}
SHALLOW = circuit("c", "way1", cable=cable(concealed_depth_mm=20.0, in_safe_zone=False))
SOCKETS = circuit("c", "way1", socket_outlets=True)
ASSESSED = circuit("c", "way1", socket_outlets=True, documented_risk_assessment=True, supervised_users_only=True)


def series(upper: str, lower: str, **facts: object) -> Installation:
    own = rcbo("way1", lower, fed_by="incomer")
    other = breaker("way2", fed_by="incomer")
    return house(selective("incomer", upper, **facts), own, other, C1, circuit("d", "way2"), LOAD)


ROWS: list[Row] = [
    row("RCD-01", "c", house(rcbo("way1"), SOCKETS), C, "protected", "mA"),
    row("RCD-01", "c", house(breaker("way1"), SOCKETS), N, "no_residual_current_device", "mA"),
    row("RCD-01", "c", house(breaker("way1"), ASSESSED, premises=Premises.COMMERCIAL), C, "risk_assessment", ""),
    row("RCD-03", "way1", house(rcbo("way1"), C1), C, "gives_additional_protection", "mA"),
    row("RCD-03", "way1", house(rcbo("way1", residual_delay=ResidualDelay.S), C1), N, "time_delayed", "mA"),
    row("RCD-03", "way1", house(rcbo("way1", standard="BS EN 62020"), C1), N, "standard_not_listed", ""),
    row("RCD-04", "c", house(rcbo("way1"), SHALLOW), N, "outside_safe_zone", "mm"),
    row("RCD-06", "way1", house(rcbo("way1", "AC"), C1, LOAD), C, "suits_the_loads", ""),
    row("RCD-06", "way1", house(rcbo("way1", "AC"), SOCKETS), N, "socket_outlets", ""),
    row("RCD-06", "way1", house(rcbo("way1", "AC"), C1, item("k", "c", plug_in=True)), N, "socket_outlets", ""),
    row("RCD-06", "way1", house(rcbo("way1", "AC"), C1, item("k", "c", front_end=None)), N, "not_known_free_of_dc", ""),
    row("HP-01", "p", house(rcbo("way1", "B"), C1, heat_pump("p", "c", **PUMP)), C, "as_the_maker_requires", ""),
    row("HP-01", "p", house(rcbo("way1", "A"), C1, heat_pump("p", "c", **PUMP)), N, "maker_requires", ""),
    row("HP-01", "p", house(breaker("way1"), C1, heat_pump("p", "c", **PUMP)), N, "no_residual_current_device", ""),
    row(
        "HP-01",
        "p",
        house(rcbo("way1", "B"), C1, heat_pump("p", "c", maker_rcd_rated_residual_operating_current_ma=30.0, **PUMP)),
        C,
        "maker_requires_rating",
        "mA",
    ),
    row("HP-02", "p", house(rcbo("way1", "B"), C1, heat_pump("p", "c", None)), C, "front_end_unknown", ""),
    row("HP-02", "p", house(rcbo("way1", "A"), C1, heat_pump("p", "c")), N, "front_end_needs", ""),
    row("HP-02", "p", house(rcbo("way1", "A"), C1, heat_pump("p", "c", galvanic_separation=True)), C, "separation", ""),
    row(
        "HP-02",
        "p",
        house(rcbo("way1", "A"), C1, heat_pump("p", "c", maker_rcd_not_needed=True)),
        C,
        "maker_declares",
        "",
    ),
    row(
        "HP-02",
        "p",
        house(
            rcbo("way1", "A"), C1, heat_pump("p", "c", maker_rcd_type=RcdType.A, maker_rcd_word=MakerWord.RECOMMENDED)
        ),
        C,
        "maker_recommends",
        "",
    ),
    row(
        "MAK-01",
        "h",
        house(rcbo("way1", "F"), C1, item("h", "c", maker_rcd_rated_residual_operating_current_ma=100.0, **HOB)),
        A,
        "recommended_rating",
        "mA",
    ),
    row("RCD-07", "way1", series("A", "A"), C, "tolerated", "mA"),
    row("RCD-07", "way1", series("B", "B"), C, "detects_smooth_dc", ""),
    row("RCD-07", "way1", series("A", "B"), N, "smooth_dc_passes", "mA"),
    row(
        "RCD-07",
        "way1",
        house(selective("incomer"), rcbo("way1", fed_by="incomer"), C1, heat_pump("p", "c")),
        N,
        "nothing_limits",
        "mA",
    ),
    row(
        "RCD-07B",
        "way1",
        house(rcbo("way1"), C1, item("l", "c", standing_dc_ma=1.0)),
        C,
        "sum_of_standing_dc",
        "mA",
        "l mA",
    ),
    row(
        "RCD-07B", "way1", house(rcbo("way1", "B"), C1, item("l", "c", standing_dc_ma=1.0)), C, "detects_smooth_dc", ""
    ),
    row("EV-12", "way1", house(rcbo("way1"), C1, charger("ev", "c", points=2)), N, "sum_of_detectors", "mA", "ev mA"),
    row("EV-12", "way1", house(rcbo("way1", "B"), C1, charger("ev", "c", points=2)), C, "detects_smooth_dc", ""),
    row("RCD-11", "way1", series("A", "A"), C, "selective", "mA"),
    row("RCD-11", "way1", series("A", "A", rating_ma=60.0), N, "ratio_too_small", "mA"),
    row(
        "RCD-05",
        "way1",
        house(rcbo("way1"), C1, item("l", "c", protective_conductor_current_ma=1.0)),
        C,
        "sum_of_leakage",
        "mA",
        "l mA",
    ),
    row("RCD-08", "way1", house(rccb("way1"), C1, circuit("d", "way1")), N, "whole_installation", "circuits"),
    row("RCD-08", "incomer", series("A", "A"), C, "time_delayed_head", "circuits"),
    row(
        "RCD-08",
        "way1",
        house(rccb("way1"), C1, circuit("d", "way1"), breaker("way2"), circuit("e", "way2")),
        C,
        "divided",
        "circuits",
    ),
    row(
        "HP-03",
        "c",
        house(
            breaker("way1"),
            circuit("c", "way1", cable=cable(duplicated_protective_conductor=True)),
            item("l", "c", protective_conductor_current_ma=12.0),
        ),
        C,
        "high_integrity",
        "mA",
    ),
    row(
        "RCD-09",
        "c",
        house(rcbo("way1"), C1, system=TT, earthing=Earthing(electrode_resistance_ohm=90.0)),
        C,
        "electrode_and_device",
        "V",
        "electrode_resistance ohm",
        "rated_residual_operating_current mA",
    ),
    row(
        "RCD-10",
        "installation",
        house(rcbo("way1"), C1, system=TT, earthing=Earthing(electrode_resistance_ohm=90.0)),
        C,
        "electrode",
        "ohm",
    ),
    row("RCD-12", "way1", house(rcbo("way1"), C1, system=TT), C, "all_live_conductors", "poles"),
    row("RCD-12", "way1", house(rcbo("way1", poles=1), C1, system=TT), N, "isolates_in_tt", "poles"),
    row(
        "TT-02",
        "installation",
        house(
            rcbo("way1"),
            C1,
            system=TT,
            surge=SurgeProtection(device=SurgeDeviceType.TYPE_2, one_plus_one_connection=True),
        ),
        C,
        "connection_type",
        "",
    ),
]


@pytest.mark.parametrize("each", ROWS, ids=name_of)
def test_a_verdict_keeps_the_words_that_explanations_use(each: Row) -> None:
    check(each)
