from __future__ import annotations

import dataclasses

import pytest

from trainer.domain.cables import Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.errors import InstallationError
from trainer.domain.validation import validated
from trainer.domain.vocabulary import DeviceKind


def _second_board(house, fed_by, feeder):
    """The sound house with a board ``shed`` fed by ``fed_by``, its switch, and a circuit back out of it."""
    switch = Device(id="shed_main", board="shed", fed_by="shed", kind=DeviceKind.SWITCH, rated_current_a=63.0, poles=2)
    return dataclasses.replace(
        house,
        boards={**house.boards, "shed": Board(id="shed", fed_by=fed_by)},
        devices={**house.devices, "shed_main": switch},
        circuits={
            **house.circuits,
            "to_shed": Circuit(id="to_shed", fed_by=feeder),
            "back": Circuit(id="back", fed_by="shed_main"),
        },
    )


def test_an_unknown_device_is_named_with_the_nearest(changed, problems):
    problem = problems(changed("circuits.charger", fed_by="wey1"))["circuits.charger.fed_by"]
    assert (problem.value, problem.nearest) == ("wey1", "way1")


def test_an_unknown_circuit_is_named_with_the_nearest(changed, problems):
    problem = problems(changed("equipment.wallbox", circuit="chargr"))["equipment.wallbox.circuit"]
    assert problem.nearest == "charger"


def test_an_unknown_board_is_named_with_what_is_possible(changed, problems):
    problem = problems(changed("devices.way1", board="xyz"))["devices.way1.board"]
    assert problem.possible == ("cu",)


def test_a_circuit_without_a_way_is_refused_with_the_devices_that_could_feed_it(changed, problems):
    for nothing in ("", "cu"):
        problem = problems(changed("circuits.charger", fed_by=nothing))["circuits.charger.fed_by"]
        assert "needs a way" in problem.problem
        assert problem.possible == ("main", "way1")


def test_a_board_below_a_circuit_of_another_board_is_sound(house, problems):
    assert problems(_second_board(house, "to_shed", "way1")) == {}


def test_two_boards_that_feed_each_other_are_refused_once_and_both_named(house, changed, problems):
    spoilt = changed("boards.cu", _second_board(house, "to_shed", "way1"), fed_by="back")
    found = problems(spoilt)
    assert len(found) == 1
    (problem,) = found.values()
    assert "cu" in problem.problem
    assert "shed" in problem.problem
    assert "feed each other" in problem.problem


def test_a_board_fed_by_its_own_circuit_is_refused(changed, problems):
    problem = problems(changed("boards.cu", fed_by="charger"))["boards.cu.fed_by"]
    assert "one of its own circuits" in problem.problem


def test_devices_that_feed_each_other_are_refused(changed, problems):
    found = problems(changed("devices.main", fed_by="way1"))
    assert "devices feed each other: main - way1 - main" in found["devices.main.fed_by"].problem


def test_a_device_that_feeds_itself_is_refused(changed, problems):
    assert "feeds itself" in problems(changed("devices.main", fed_by="main"))["devices.main.fed_by"].problem


def test_a_device_fed_by_a_device_of_another_board_is_refused(house, changed, problems):
    spoilt = changed("devices.shed_main", _second_board(house, "to_shed", "way1"), fed_by="main")
    problem = problems(spoilt)["devices.shed_main.fed_by"]
    assert "boards are joined by a circuit" in problem.problem


def test_a_device_fed_by_another_board_is_refused(house, changed, problems):
    spoilt = changed("devices.shed_main", _second_board(house, "to_shed", "way1"), fed_by="cu")
    assert "devices.shed_main.fed_by" in problems(spoilt)


def test_one_circuit_feeds_one_board_only(house, problems):
    whole = _second_board(house, "to_shed", "way1")
    whole = dataclasses.replace(whole, boards={**whole.boards, "barn": Board(id="barn", fed_by="to_shed")})
    assert "already feeds board shed" in problems(whole)["boards.barn.fed_by"].problem


def test_equipment_on_a_circuit_that_feeds_a_board_is_refused(house, changed, problems):
    spoilt = changed("equipment.wallbox", _second_board(house, "to_shed", "way1"), circuit="to_shed")
    assert "needs a final circuit" in problems(spoilt)["equipment.wallbox.circuit"].problem


def test_a_way_holds_one_device(house, changed, problems):
    other = dataclasses.replace(house.devices["way1"], id="way2")
    house = dataclasses.replace(house, devices={**house.devices, "way2": other})
    assert "already holds device way1" in problems(house)["devices.way2.way"].problem


def test_a_way_beyond_the_ways_of_the_board_is_refused(changed, problems):
    assert "has 10 ways" in problems(changed("devices.way1", way=11))["devices.way1.way"].problem


def test_a_board_and_a_device_cannot_share_an_id(house, problems):
    device = dataclasses.replace(house.devices["way1"], id="cu", way=2)
    found = problems(dataclasses.replace(house, devices={**house.devices, "cu": device}))
    assert "boards.cu.id" in found


def test_a_board_cannot_be_called_supply(house, problems):
    boards = {**house.boards, "supply": Board(id="supply")}
    assert "boards.supply.id" in problems(dataclasses.replace(house, boards=boards))


@pytest.mark.parametrize("collection", ["boards", "devices", "circuits"])
def test_a_house_without_a_board_a_device_or_a_circuit_is_none(house, collection, problems):
    assert collection in problems(dataclasses.replace(house, **{collection: {}}))


def test_all_problems_come_at_once(house, changed):
    spoilt = changed("circuits.charger", fed_by="wey1")
    spoilt = changed("devices.way1", spoilt, board="xyz", rated_current_a=-1.0)
    with pytest.raises(InstallationError) as caught:
        validated(spoilt)
    assert {problem.path for problem in caught.value.problems} >= {
        "circuits.charger.fed_by",
        "devices.way1.board",
        "devices.way1.rated_current_a",
    }


def test_the_last_way_of_a_board_is_a_way(changed, problems):
    assert problems(changed("devices.way1", way=10)) == {}


def test_an_unknown_feeder_is_answered_with_the_devices_of_the_same_board(house, changed, problems):
    spoilt = changed("devices.way1", _second_board(house, "to_shed", "way1"), fed_by="?")
    assert problems(spoilt)["devices.way1.fed_by"].possible == ("cu", "main")
