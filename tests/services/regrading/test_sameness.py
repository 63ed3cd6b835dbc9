"""Two values are the same only where nothing could tell them apart."""

from __future__ import annotations

from dataclasses import replace

from tests.domain import houses
from trainer.domain.installation import Installation
from trainer.domain.vocabulary import RcdType
from trainer.services.regrading.sameness import same


def house() -> Installation:
    return houses.house(houses.rcbo("way1", "B", fed_by="main_switch"), houses.circuit("charging", "way1"))


def test_two_houses_built_alike_are_the_same():
    assert same(house(), house())


def test_another_value_anywhere_is_seen():
    one = house()
    other = replace(one, devices={**one.devices, "way1": replace(one.devices["way1"], rcd_type=RcdType.A)})
    assert not same(one, other)


def test_an_equal_value_of_another_type_is_not_the_same():
    one = house()
    way = one.devices["way1"]
    assert way.rcd_type is not None
    word = replace(one, devices={**one.devices, "way1": replace(way, rcd_type=str(way.rcd_type.value))})
    assert one == word
    assert not same(one, word)
    assert not same(1, 1.0)
    assert not same((1, True), (1, 1))


def test_another_order_is_not_the_same():
    one = house()
    assert one.devices == dict(reversed(one.devices.items()))
    assert not same(one, replace(one, devices=dict(reversed(one.devices.items()))))
