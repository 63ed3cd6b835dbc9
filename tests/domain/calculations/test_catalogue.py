"""Calculations by name: published values and hand calculations, and input that cannot be used."""

from __future__ import annotations

import pytest

from trainer.domain.calculations.catalogue import CATALOGUE, Result, calculate
from trainer.domain.errors import OutOfRangeError, TrainerError, UnknownNameError
from trainer.domain.vocabulary import Edition, Outcome

PASS, FAIL, ADVICE = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE
RUN = {"line": "2.5", "protective": "1.5", "length": "20"}
B32 = {"curve": "B", "rating": "32"}
FUSE_32 = {"fuse": "BS 88-3", "rating": "32"}


def terms(result: Result) -> dict[str, float]:
    return {term.name: term.value for term in result.terms}


@pytest.mark.parametrize(
    ("name", "given", "value", "unit", "limit", "outcome"),
    [
        # 0.35 + 19.51 x 1.20 x 20 / 1000 (handbook row), Table 41.3
        ("zs", {"ze": "0.35", **RUN, **B32}, 0.81824, "ohm", 1.37, PASS),
        ("zs", {"ze": "1.0", **RUN, **B32}, 1.46824, "ohm", 1.37, FAIL),
        ("zs", {"ze": "0.35", **RUN}, 0.81824, "ohm", None, None),
        ("zs", {"ze": "0.35", **RUN, **FUSE_32, "time": "5"}, 0.81824, "ohm", 1.6, PASS),
        ("r1r2", RUN, 0.46824, "ohm", None, None),
        ("r1r2", {**RUN, "temperature": "20"}, 0.3902, "ohm", None, None),
        ("r1r2", {**RUN, "ring": "yes"}, 0.11706, "ohm", None, None),
        ("maximum-zs", B32, 1.37, "ohm", None, None),
        ("maximum-zs", FUSE_32, 0.91, "ohm", None, None),
        # a published measured-value limit: 0.72 ohm for 0.8 x 0.91 = 0.728
        ("measured-zs", {"measured": "0.72", **FUSE_32}, 0.72, "ohm", 0.728, PASS),
        ("measured-zs", {"measured": "0.73", **FUSE_32}, 0.73, "ohm", 0.728, ADVICE),
        ("measured-zs", {"measured": "0.92", **FUSE_32}, 0.92, "ohm", 0.728, FAIL),
        # Table 41.5: 167 ohm at 300 mA
        ("electrode", {"ra": "166", "idn": "300"}, 49.8, "V", 50.0, PASS),
        ("electrode", {"ra": "167", "idn": "300"}, 50.1, "V", 50.0, FAIL),
        # 47 x 0.70
        ("cable-rating", {"line": "6", "grouped": "2", "rating": "32"}, 32.9, "A", 32.0, PASS),
        ("cable-rating", {"line": "6", "grouped": "2", "rating": "33"}, 32.9, "A", 33.0, FAIL),
        ("cable-rating", {"line": "6", "cable": "armoured-90", "method": "D", "ground": "30"}, 44.361, "A", None, None),
        (
            "cable-rating",
            {"line": "2.5", "ambient": "40", "insulation": "500", "bunched": "no"},
            11.745,
            "A",
            None,
            None,
        ),
        # 7.3 x 32 x 20 / 1000
        ("drop", {"line": "6", "length": "20", "current": "32"}, 4.672, "V", 11.5, PASS),
        ("drop", {"line": "6", "length": "30", "current": "32", "lighting": "yes"}, 7.008, "V", 6.9, FAIL),
        (
            "drop",
            {"line": "6", "length": "20", "current": "32", "phases": "3", "cable": "multicore"},
            4.096,
            "V",
            20,
            PASS,
        ),
        ("adiabatic", {"current": "1000", "time": "0.1"}, 2.74981, "mm2", None, None),
        ("adiabatic", {"current": "1000", "time": "0.1", "size": "2.5"}, 2.74981, "mm2", 2.5, FAIL),
        ("adiabatic", {"current": "1000", "time": "0.1", "use": "armour_70", "size": "15"}, 6.2004, "mm2", 15.0, PASS),
        # cooker 30 A: 10 + 30 % of 20 A
        ("demand", {"load": ["cooking=30"]}, 16.0, "A", None, None),
        # with a socket-outlet at its control unit 5 A more, once for the household (guidance on
        # diversity for a single dwelling, seen in a public text)
        ("demand", {"load": ["cooking=30"], "cooker-socket": "yes"}, 21.0, "A", None, None),
        ("demand", {"load": ["cooking=20", "cooking=10"], "cooker-socket": "yes", "fuse": "20"}, 21.0, "A", 20.0, FAIL),
        ("demand", {"load": ["cooking=30"], "cooker-socket": "no"}, 16.0, "A", None, None),
        ("demand", {"load": ["luminaires=10", "shower=40", "charger=32"], "fuse": "60"}, 78.6, "A", 60.0, FAIL),
        # Annex A722: 60/55/50 A gives 13 V, 35/2/2 A gives 214 V
        ("open-pen", {"l1": "60", "l2": "55", "l3": "50"}, 13.279, "V", 70.0, PASS),
        ("open-pen", {"l1": "35", "l2": "2", "l3": "2"}, 214.077, "V", 70.0, FAIL),
        # 12 x 41 x (1 + 0.0027 x 35); 12 x 41 x 1.2 without data
        (
            "string-voltage",
            {"modules": "12", "uoc": "41", "coefficient": "-0.27", "coldest": "-10"},
            538.494,
            "V",
            None,
            None,
        ),
        # 12 x (41.2 + 0.11536 x 40): a sheet that states -115.36 mV/K states -0.28 %/K of 41.2 V
        (
            "string-voltage",
            {"modules": "12", "uoc": "41.2", "coefficient-mv": "-115.36", "coldest": "-15", "maximum": "549"},
            549.7728,
            "V",
            549.0,
            FAIL,
        ),
        (
            "string-voltage",
            {"modules": "12", "uoc": "41.2", "coefficient": "-0.28", "coldest": "-15", "maximum": "550"},
            549.7728,
            "V",
            550.0,
            PASS,
        ),
        # without a lowest temperature neither coefficient serves: the factor 1.2
        ("string-voltage", {"modules": "10", "uoc": "40", "coefficient-mv": "-100"}, 480.0, "V", None, None),
        (
            "string-voltage",
            {"modules": "10", "uoc": "40", "coefficient-mv": "0", "coldest": "-15"},
            400.0,
            "V",
            None,
            None,
        ),
        ("string-voltage", {"modules": "12", "uoc": "41", "maximum": "590"}, 590.4, "V", 590.0, FAIL),
    ],
)
def test_the_value_is_that_of_print_or_hand(
    name: str, given: dict[str, str | list[str]], value: float, unit: str, limit: float | None, outcome: Outcome | None
) -> None:
    result = calculate(name, given)
    assert result.value == pytest.approx(value, abs=1e-3)
    assert result.unit == unit
    assert result.limit == (None if limit is None else pytest.approx(limit))
    assert result.outcome is outcome


def test_one_phase_of_32_a_needs_an_electrode_of_2_75_ohm() -> None:
    # 70 x 230 / (32 x (253 - 70)) = 2.749 ohm
    result = calculate("open-pen", {"l1": "32", "l2": "0", "l3": "0"})
    assert terms(result)["additional_electrode"] == pytest.approx(2.749, abs=1e-3)
    assert terms(result)["neutral_current"] == 32.0


def test_an_electrode_that_is_not_needed_is_given_as_200_ohm() -> None:
    # The note to A722.3
    assert terms(calculate("open-pen", {"l1": "20", "l2": "20", "l3": "20"}))["additional_electrode"] == 200.0


def test_a_parameter_may_be_named_in_full() -> None:
    in_full = {
        "cross_section_mm2": "2.5",
        "protective_conductor_mm2": "1.5",
        "length_m": "20",
    }
    assert calculate("r1r2", in_full) == calculate("r1r2", RUN)


def test_every_term_says_where_it_comes_from() -> None:
    result = calculate("zs", {"ze": "0.35", **RUN, **B32})
    assert [term.source for term in result.terms] == [
        "given",
        "BS EN 60228:2005, Table 1 (seen in a public text)",
        "BS EN 60228:2005, Table 1 (seen in a public text)",
    ]


def test_the_armour_has_its_own_source() -> None:
    armour = {"line": "2.5", "length": "20", "cable": "armoured-70"}
    assert "Handbook" in calculate("r1r2", armour).terms[1].source


def test_a_buried_cable_names_the_tables_of_the_ground() -> None:
    result = calculate("cable-rating", {"line": "6", "cable": "armoured-90", "method": "D"})
    by_name = {term.name: term.source for term in result.terms}
    assert "Table 4B2" in by_name["ambient_factor"]
    assert "Table 4C2" in by_name["grouping_factor"]


def test_every_edition_can_be_asked() -> None:
    values = {calculate("maximum-zs", B32, edition).value for edition in Edition}
    assert values == {1.37}


def problems(error: TrainerError) -> list[tuple[str, str]]:
    return [(each.path, each.problem) for each in error.problems]


@pytest.mark.parametrize(
    ("name", "given", "paths"),
    [
        ("zs", {}, ["ze", "line", "length"]),
        ("zs", {"ze": "x", "line": "-1", "length": "1e9"}, ["ze", "line", "length"]),
        ("zs", {"ze": "nan", **RUN}, ["ze"]),
        ("zs", {"ze": "1", **RUN, "curve": "E"}, ["curve"]),
        ("zs", {"ze": "1", **RUN, "line": "3"}, ["line"]),
        ("zs", {"ze": "1", **RUN, "curve": "B"}, ["rating"]),
        ("zs", {"ze": "1", **RUN, "rating": "32"}, ["curve, fuse"]),
        ("zs", {"ze": "1", **RUN, "curve": "B", "fuse": "BS 88-3", "rating": "32"}, ["curve, fuse"]),
        ("zs", {"ze": "1", **RUN, "fuse": "BS 88-3", "rating": "31"}, ["rating"]),
        ("zs", {"ze": "1", "line": "2.5", "length": "20"}, ["protective"]),
        ("maximum-zs", {"rating": "32"}, ["curve, fuse"]),
        ("electrode", {"ra": "10", "idn": "0"}, ["idn"]),
        ("cable-rating", {"line": "6", "ambient": "70"}, ["ambient"]),
        ("cable-rating", {"line": "6", "phases": "3"}, ["cable"]),
        ("demand", {}, ["load"]),
        ("demand", {"load": ["oven=3", "shower", "cooking=x"]}, ["load", "load", "load"]),
        ("open-pen", {"l1": "-5", "l2": "0", "l3": "0"}, ["l1, l2, l3"]),
        ("demand", {"load": ["shower=40"], "cooker-socket": "yes"}, ["cooker-socket"]),
        ("cable-rating", {"line": "6", "grouped": "1.5"}, ["grouped"]),
        ("string-voltage", {"modules": "12.5", "uoc": "41"}, ["modules"]),
        # millivolts typed where per cent are asked for, and the other way round
        ("string-voltage", {"modules": "12", "uoc": "41", "coefficient": "-115"}, ["coefficient"]),
        ("string-voltage", {"modules": "12", "uoc": "41", "coefficient": "1.01"}, ["coefficient"]),
        ("string-voltage", {"modules": "12", "uoc": "41", "coefficient-mv": "-411"}, ["coefficient-mv"]),
        (
            "string-voltage",
            {"modules": "12", "uoc": "41", "coefficient": "-0.3", "coefficient-mv": "-120"},
            ["coefficient, coefficient-mv"],
        ),
    ],
)
def test_input_that_cannot_be_used_is_named_all_at_once(
    name: str, given: dict[str, str | list[str]], paths: list[str]
) -> None:
    with pytest.raises(OutOfRangeError) as error:
        calculate(name, given)
    assert [path for path, _ in problems(error.value)] == paths


def test_unknown_names_come_with_the_nearest() -> None:
    with pytest.raises(UnknownNameError) as calculation:
        calculate("zss", {})
    assert calculation.value.problems[0].nearest == "zs"
    with pytest.raises(UnknownNameError) as parameter:
        calculate("zs", {"lengths": "3", "zee": "1"})
    assert [each.nearest for each in parameter.value.problems] == ["length", "ze"]


def test_no_parameter_has_two_meanings() -> None:
    for each in CATALOGUE.values():
        words = [word for p in each.parameters for word in {p.name, p.short}]
        assert len(words) == len(set(words)), each.name
