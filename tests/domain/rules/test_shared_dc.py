"""Smooth d.c. that adds up at a shared device: standing currents, and detectors just short of acting.

Outside values: smooth d.c. tolerated by type A 6 mA, by type F 10 mA (BS 7671 531.3.3 notes, seen in a
public text); detectors act at 6 mA (IEC 62955, seen in a public text). The sums are arithmetic: no
clause and no published example is known for them.
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    charger,
    circuit,
    house,
    item,
    rcbo,
    rccb,
    selective,
    verdicts,
)
from trainer.domain.equipment import ChargerEarthing
from trainer.domain.findings import Finding, Verdict
from trainer.domain.limits import limits_for
from trainer.domain.rules.series import (
    detectors_below_a_shared_device,
    let_through_by,
    smooth_dc_through_the_device_upstream,
    standing_dc_at_a_shared_device,
)
from trainer.domain.vocabulary import (
    Edition,
    Outcome,
    ResidualDelay,
    Stated,
)

COMPLIES, FAILS, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED


def standing(rcd_type: str | None, *dc_ma: float | None) -> Verdict | None:
    circuits = [circuit(f"c{number}", "shared") for number in range(len(dc_ma))]
    loads = [item(f"load{number}", f"c{number}", standing_dc_ma=each) for number, each in enumerate(dc_ma)]
    of = house(rccb("shared", rcd_type), *circuits, *loads)
    return verdicts(standing_dc_at_a_shared_device, of).get("shared")


@pytest.mark.parametrize(
    ("rcd_type", "dc_ma", "expected"),
    [
        ("A", (3.0, 3.0), COMPLIES),
        ("A", (3.0, 3.1), FAILS),
        ("F", (5.0, 5.0), COMPLIES),
        ("F", (5.0, 5.1), FAILS),
        ("B", (30.0, 30.0), COMPLIES),
        ("A", (0.1,) * 60, COMPLIES),
        (None, (1.0,), OPEN),
    ],
)
def test_standing_dc_of_all_loads_adds_up(rcd_type: str | None, dc_ma: tuple[float, ...], expected: Outcome) -> None:
    verdict = standing(rcd_type, *dc_ma)
    assert verdict is not None
    assert verdict.outcome is expected


def test_the_sum_of_standing_dc_shows_its_terms() -> None:
    verdict = standing("A", 4.0, 0.0, 2.5)
    assert verdict is not None
    finding = Finding(standing_dc_at_a_shared_device, "devices.shared", verdict)
    assert [(term.name, term.value) for term in finding.terms] == [("load0", 4.0), ("load2", 2.5)]
    assert verdict.value == 6.5


def test_an_unknown_standing_dc_matters_only_below_the_limit() -> None:
    open_, settled = standing("A", 5.0, None), standing("A", 7.0, None)
    assert open_ is not None
    assert open_.missing == ("equipment.load1.standing_dc_ma",)
    assert settled is not None
    assert settled.outcome is FAILS


def test_without_standing_dc_there_is_nothing_to_sum() -> None:
    assert standing("A", 0.0, 0.0) is None


def test_type_ac_is_judged_by_its_type_and_not_by_the_sum() -> None:
    assert standing("AC", 1.0) is None


def test_the_sum_of_standing_dc_is_a_matter_of_design_and_no_hazard() -> None:
    verdict = standing("A", 7.0)
    assert verdict is not None
    assert not Finding(standing_dc_at_a_shared_device, "devices.shared", verdict).is_hazard


def chargers(rcd_type: str | None, count: int, **facts: object) -> Verdict | None:
    ways = [rcbo(f"way{n}", fed_by="incomer") for n in range(count)]
    circuits = [circuit(f"c{n}", f"way{n}") for n in range(count)]
    points = [charger(f"ev{n}", f"c{n}", **facts) for n in range(count)]
    incomer = rccb("incomer", rcd_type, 100.0, fed_by="main", residual_delay=ResidualDelay.S)
    return verdicts(detectors_below_a_shared_device, house(incomer, *ways, *circuits, *points)).get("incomer")


@pytest.mark.parametrize(
    ("rcd_type", "count", "expected", "sum_ma"),
    [("A", 2, FAILS, 12.0), ("F", 2, FAILS, 12.0), ("A", 3, FAILS, 18.0)],
)
def test_two_detectors_below_one_device_add_up(rcd_type: str, count: int, expected: Outcome, sum_ma: float) -> None:
    verdict = chargers(rcd_type, count)
    assert verdict is not None
    assert (verdict.outcome, verdict.value) == (expected, sum_ma)


def test_one_detector_is_no_sum() -> None:
    assert chargers("A", 1) is None
    assert chargers("A", 2, direct_current_detection=Stated.SILENT) is None


def test_a_unit_of_two_points_is_two_detectors() -> None:
    verdict = chargers("A", 1, points=2)
    assert verdict is not None
    finding = Finding(detectors_below_a_shared_device, "devices.incomer", verdict)
    assert [(term.name, term.value) for term in finding.terms] == [("ev0", 12.0)]


def test_type_b_upstream_takes_any_number_of_chargers() -> None:
    verdict = chargers("B", 4)
    assert verdict is not None
    assert verdict.outcome is COMPLIES


def test_a_shared_device_of_unknown_type_cannot_be_judged() -> None:
    verdict = chargers(None, 2)
    assert verdict is not None
    assert verdict.missing == ("devices.incomer.rcd_type",)


def test_type_ac_fails_for_one_charger_already_and_is_not_summed() -> None:
    assert chargers("AC", 2) is None


def test_detection_in_the_board_counts_as_a_detector_too() -> None:
    ways = [rcbo(f"way{n}", fed_by="incomer", direct_current_detection_ma=6.0) for n in range(2)]
    circuits = [circuit(f"c{n}", f"way{n}") for n in range(2)]
    points = [charger(f"ev{n}", f"c{n}", direct_current_detection=Stated.NO) for n in range(2)]
    of = house(selective("incomer", "A"), *ways, *circuits, *points)
    assert verdicts(detectors_below_a_shared_device, of)["incomer"].value == 12.0


def test_the_sum_of_detectors_is_inference_and_never_a_hazard() -> None:
    verdict = chargers("A", 2)
    assert verdict is not None
    finding = Finding(detectors_below_a_shared_device, "devices.incomer", verdict)
    assert finding.fails
    assert not finding.is_hazard
    assert finding.consequence.value == "design"


def test_the_limit_of_the_detectors_is_that_of_the_product_standard() -> None:
    limits = limits_for(Edition.A4_2026)
    assert limits.residual.detector_smooth_dc_ma.value == limits.devices.direct_current_detection["operating"].value
    table = limits.devices.composite_and_dc_bands
    assert limits.residual.type_b_smooth_dc_multiple.value == table.get("B", "smooth_dc", "operating")


def test_chargers_are_counted_past_loads_that_are_none() -> None:
    of = house(
        selective("incomer", "A"),
        rcbo("way0", fed_by="incomer"),
        rcbo("way1", fed_by="incomer"),
        rcbo("way2", fed_by="incomer"),
        circuit("a", "way0"),
        circuit("b", "way1"),
        circuit("c", "way2"),
        item("oven", "a"),
        charger("ev1", "b"),
        charger("ev2", "c"),
    )
    assert verdicts(detectors_below_a_shared_device, of)["incomer"].value == 12.0


def test_unknown_currents_count_as_nothing_in_the_sum() -> None:
    verdict = standing("A", 7.0, None)
    assert verdict is not None
    assert verdict.value == 7.0
    finding = Finding(standing_dc_at_a_shared_device, "devices.shared", verdict)
    assert [term.value for term in finding.terms] == [7.0, 0]


def test_a_charging_point_behind_separation_sends_no_direct_current_to_add() -> None:
    """Separation leaves a fault no way back: nothing residual flows, whatever detector the unit holds."""
    apart = {"earthing": ChargerEarthing.ELECTRICAL_SEPARATION}
    ways = [rcbo(f"way{n}", fed_by="incomer") for n in (1, 2)]
    on = [circuit(f"c{n}", f"way{n}") for n in (1, 2)]
    for first in (apart, {}):
        points = (charger("one", "c1", **first), charger("two", "c2", **apart))
        of = house(selective("incomer", "A"), *ways, *on, *points)
        assert verdicts(detectors_below_a_shared_device, of) == {}
        passing = verdicts(smooth_dc_through_the_device_upstream, of)
        assert (passing["way2"].outcome, passing["way2"].value) == (COMPLIES, 0)
    assert let_through_by(charger("two", "c2", **apart), limits_for(Edition.A4_2026)) == 0
    together = house(selective("incomer", "A"), *ways, *on, charger("one", "c1"), charger("two", "c2"))
    assert verdicts(detectors_below_a_shared_device, together)["incomer"].value == 12.0


def test_one_detector_in_the_board_sees_the_sum_of_all_points_behind_it() -> None:
    # it acts when the whole of it reaches 6 mA, so no more than 6 mA passes, whatever the number of points
    way = rcbo("way0", "A", fed_by="incomer", direct_current_detection_ma=6.0)
    unit = charger("ev", "c", points=2, direct_current_detection=Stated.NO)
    of = house(selective("incomer", "A"), way, circuit("c", "way0"), unit)
    assert verdicts(detectors_below_a_shared_device, of).get("incomer") is None
    second = (rcbo("way1", "A", fed_by="incomer"), circuit("d", "way1"), charger("other", "d"))
    more = verdicts(detectors_below_a_shared_device, house(*of.devices.values(), *of.circuits.values(), unit, *second))
    assert (more["incomer"].outcome, more["incomer"].value) == (FAILS, 12.0)


def test_the_detector_of_the_shared_device_itself_adds_nothing_to_what_passes_through_it() -> None:
    # it sees the whole of what passes; only the 6 mA of the unit behind a device of its own come from below
    shared = rccb("shared", "A", fed_by="main", direct_current_detection_ma=6.0)
    bare = (circuit("c", "shared"), charger("bare", "c", direct_current_detection=Stated.NO))
    own = (rcbo("way", fed_by="shared"), circuit("d", "way"), charger("detecting", "d"))
    assert verdicts(detectors_below_a_shared_device, house(shared, *bare, *own)).get("shared") is None


def test_a_shared_device_with_a_detector_of_its_own_acts_on_the_sum() -> None:
    """IEC 62955: what detects 6 mA acts on it wherever it comes from; scope from memory."""
    ways = [(rcbo(f"way{n}", fed_by="shared"), circuit(f"c{n}", f"way{n}"), charger(f"ev{n}", f"c{n}")) for n in (1, 2)]
    parts = [part for way in ways for part in way]
    with_own = house(rccb("shared", "A", fed_by="main", direct_current_detection_ma=6.0), *parts)
    without = house(rccb("shared", "A", fed_by="main"), *parts)
    assert verdicts(detectors_below_a_shared_device, with_own).get("shared") is None
    assert verdicts(detectors_below_a_shared_device, without)["shared"].outcome is FAILS


def test_behind_separation_nobody_asks_what_the_sheet_says_of_detection() -> None:
    apart = charger(
        "ev", "c", earthing=ChargerEarthing.ELECTRICAL_SEPARATION, direct_current_detection=None
    )  # 722.413 with 722.531.3.101: no residual current, nothing to detect; from memory
    of = house(selective("incomer", "A"), rcbo("way0", "A", fed_by="incomer"), circuit("c", "way0"), apart)
    found = verdicts(smooth_dc_through_the_device_upstream, of)["way0"]
    assert (found.outcome, found.value) == (COMPLIES, 0)
