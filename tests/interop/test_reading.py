from __future__ import annotations

import copy

import pytest

from trainer.domain.equipment import Charger
from trainer.domain.errors import InstallationError
from trainer.domain.vocabulary import DEFAULT_EDITION, DeviceKind, Edition, RcdType
from trainer.interop.installations import installation_file_from_json, installation_from_json


def test_a_sound_object_becomes_an_installation_with_typed_values(sample):
    house = installation_from_json(sample)
    way = house.devices["way1"]
    assert (way.kind, way.rcd_type, way.rated_current_a) == (DeviceKind.RCBO, RcdType.A, 40.0)
    assert isinstance(way.rated_current_a, float)
    assert house.equipment["wallbox"].charger == Charger()


def test_the_order_of_the_file_is_kept(sample):
    assert list(installation_from_json(sample).devices) == ["main", "way1"]


def test_the_edition_in_force_is_assumed_and_another_can_be_named(sample):
    assert installation_file_from_json(sample).edition is DEFAULT_EDITION
    assert installation_file_from_json({**sample, "edition": "A2:2022"}).edition is Edition.A2_2022


def test_null_says_not_known(sample):
    sample["devices"][1]["rcd_type"] = None
    assert installation_from_json(sample).devices["way1"].rcd_type is None


def test_an_unknown_key_is_named_with_the_nearest(sample, problems):
    sample["devices"][1]["rcd_tipe"] = "A"
    problem = problems(sample)["devices.way1.rcd_tipe"]
    assert (problem.problem, problem.nearest) == ("unknown key", "rcd_type")


def test_an_unknown_key_at_the_top_is_named_with_the_nearest(sample, problems):
    sample["device"] = []
    assert problems(sample)["device"].nearest == "devices"


@pytest.mark.parametrize("part", ["title", "supply", "earthing", "boards", "devices", "circuits", "equipment"])
def test_a_part_that_is_missing_is_named(sample, problems, part):
    del sample[part]
    assert "missing" in problems(sample)[part].problem


@pytest.mark.parametrize("key", ["board", "fed_by", "kind", "rated_current_a", "poles"])
def test_a_fact_that_every_device_needs_is_named_when_missing(sample, problems, key):
    del sample["devices"][1][key]
    assert "required" in problems(sample)[f"devices.way1.{key}"].problem


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("rated_current_a", "40", "without quotes"),
        ("rated_current_a", True, "must be a number"),
        ("rated_current_a", None, "must be a number"),
        ("poles", 1.5, "whole number"),
        ("label", 7, "text in quotes"),
        ("isolates", "yes", "true or false"),
        ("isolates", 1, "true or false"),
        ("kind", 3, "one of the words"),
        ("kind", ["rcbo"], "one of the words"),
        ("rcd_type", {}, "one of the words"),
        ("rated_current_a", 10**400, "usual size"),
        ("rated_current_a", float("nan"), "finite"),
    ],
)
def test_a_value_of_the_wrong_kind_is_refused_with_what_it_must_be(sample, problems, key, value, says):
    sample["devices"][1][key] = value
    assert says in problems(sample)[f"devices.way1.{key}"].problem


@pytest.mark.parametrize(
    ("key", "word", "meant"),
    [
        ("earthing_system", "PME", "TN-C-S"),
        ("earthing_system", "tncs", "TN-C-S"),
        ("kind", "MCB", "circuit_breaker"),
        ("kind", "RCBO", "rcbo"),
        ("kind", "isolator", "switch"),
        ("rcd_type", "a", "A"),
        ("direction", "bi-directional", "bidirectional"),
    ],
)
def test_a_word_of_the_trade_leads_to_the_word_of_the_format(sample, problems, key, word, meant):
    (sample["supply"] if key == "earthing_system" else sample["devices"][1])[key] = word
    (problem,) = problems(sample).values()
    assert problem.nearest == meant


def test_an_id_that_stands_twice_is_refused_at_its_second_place(sample, problems):
    sample["devices"].append(copy.deepcopy(sample["devices"][1]))
    assert "stands twice" in problems(sample)["devices[2].id"].problem


def test_a_notice_that_stands_twice_is_refused(sample, problems):
    sample["notices"] = ["rcd_test", "rcd_test"]
    assert "stands twice" in problems(sample)["notices[1]"].problem


def test_tables_instead_of_a_list_are_refused_with_how_toml_writes_a_list(sample, problems):
    sample["devices"] = {"main": {}}
    assert "[[devices]]" in problems(sample)["devices"].problem


def test_a_list_instead_of_a_table_is_refused(sample, problems):
    sample["supply"] = []
    assert "must be a table" in problems(sample)["supply"].problem


def test_more_records_than_a_board_schedule_could_hold_are_refused(sample, problems):
    sample["circuits"] = [{"id": f"c{n}", "fed_by": "way1"} for n in range(501)]
    assert "at most 500" in problems(sample)["circuits"].problem


@pytest.mark.parametrize("version", [0, 2, "1", True, None])
def test_another_version_of_the_format_is_refused(sample, problems, version):
    assert "format_version" in problems({**sample, "format_version": version})


def test_another_format_is_refused_with_the_one_that_is_read(sample, problems):
    problem = problems({**sample, "format": "protection-trainer/task"})["format"]
    assert problem.possible == ("protection-trainer/installation",)


@pytest.mark.parametrize("nothing", [None, [], "house", 3])
def test_what_is_no_object_is_refused(problems, nothing):
    assert problems(nothing)


def test_a_gap_in_a_device_does_not_hide_what_else_is_wrong_with_it(sample, problems):
    sample["devices"][1] |= {"kind": "mcb", "rated_current_a": 40000, "fed_by": "mian"}
    assert set(problems(sample)) == {
        "devices.way1.kind",
        "devices.way1.rated_current_a",
        "devices.way1.fed_by",
    }


def test_a_gap_in_a_device_is_no_problem_of_the_circuit_below_it(sample, problems):
    del sample["devices"][1]["kind"]
    assert set(problems(sample)) == {"devices.way1.kind"}


def test_a_table_with_a_gap_is_not_reported_as_missing_as_well(sample, problems):
    sample["equipment"][0] |= {"kind": "pv_inverter", "source": {"kind": "pv"}}
    del sample["equipment"][0]["charger"]
    assert set(problems(sample)) == {"equipment.wallbox.source.rated_current_a"}


def test_very_many_problems_are_listed_up_to_two_hundred_and_then_counted(sample):
    sample |= {f"key{n}": 1 for n in range(300)}
    with pytest.raises(InstallationError) as caught:
        installation_from_json(sample)
    assert len(caught.value.problems) == 201
    assert caught.value.problems[-1].problem == "100 further problems are not listed"


@pytest.mark.parametrize("name", ["way 1", "", "w" * 65, "\x00", 7, None])
def test_a_record_whose_id_cannot_be_used_is_named_by_its_place(sample, problems, name):
    sample["devices"].append({**sample["devices"][1], "id": name})
    assert list(problems(sample)) == ["devices[2].id"]


def test_a_record_without_an_id_is_named_by_its_place(sample, problems):
    sample["devices"].append({**sample["devices"][1]})
    del sample["devices"][2]["id"]
    assert list(problems(sample)) == ["devices[2].id"]


def test_as_many_records_as_a_file_may_hold_are_read(sample):
    sample["circuits"] += [{"id": f"c{n}", "fed_by": "way1"} for n in range(499)]
    assert len(installation_from_json(sample).circuits) == 500


def test_null_for_a_fact_that_cannot_be_unknown_is_refused(sample, problems):
    sample["title"] = None
    assert "text in quotes" in problems(sample)["title"].problem


def test_a_place_is_told_of_once(sample):
    sample["equipment"][0]["charger"] = 3
    with pytest.raises(InstallationError) as caught:
        installation_from_json(sample)
    assert [problem.path for problem in caught.value.problems] == ["equipment.wallbox.charger"]
