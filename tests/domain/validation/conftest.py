"""A small invented house that is sound, and a way to spoil one record of it."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import pytest

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Charger, Equipment, EquipmentKind
from trainer.domain.errors import InstallationError, Problem
from trainer.domain.installation import Installation
from trainer.domain.supply import Earthing, Supply
from trainer.domain.validation import validated
from trainer.domain.vocabulary import Curve, DeviceKind, EarthingSystem, Premises, RcdType

Changed = Callable[..., Installation]
Problems = Callable[[Installation], dict[str, Problem]]


def _sound() -> Installation:
    switch = Device(id="main", board="cu", fed_by="cu", kind=DeviceKind.SWITCH, rated_current_a=100.0, poles=2)
    rcbo = Device(
        id="way1",
        board="cu",
        fed_by="main",
        kind=DeviceKind.RCBO,
        rated_current_a=40.0,
        poles=2,
        way=1,
        curve=Curve.B,
        rcd_type=RcdType.A,
        rated_residual_operating_current_ma=30.0,
    )
    cable = Cable(type=CableType.FLAT_THERMOPLASTIC_70, cross_section_mm2=6.0, length_m=12.0, reference_method="C")
    wallbox = Equipment(
        id="wallbox", circuit="charger", kind=EquipmentKind.CHARGER, rated_power_w=7400.0, charger=Charger()
    )
    return Installation(
        title="Invented house",
        premises=Premises.DWELLING,
        supply=Supply(earthing_system=EarthingSystem.TN_S, external_earth_fault_loop_impedance_ohm=0.35),
        earthing=Earthing(),
        boards={"cu": Board(id="cu", ways=10)},
        devices={"main": switch, "way1": rcbo},
        circuits={"charger": Circuit(id="charger", fed_by="way1", cable=cable)},
        equipment={"wallbox": wallbox},
    )


def _with(house: Installation, place: str, facts: dict[str, Any]) -> Installation:
    collection, _, key = place.partition(".")
    if not key:
        return dataclasses.replace(house, **{collection: dataclasses.replace(getattr(house, collection), **facts)})
    records = dict(getattr(house, collection))
    records[key] = dataclasses.replace(records[key], **facts)
    return dataclasses.replace(house, **{collection: records})


@pytest.fixture
def house() -> Installation:
    return _sound()


@pytest.fixture
def changed() -> Changed:
    """The sound house with facts of one record changed: ``changed("devices.way1", poles=5)``."""

    def change(place: str, house: Installation | None = None, **facts: Any) -> Installation:
        return _with(house or _sound(), place, facts)

    return change


@pytest.fixture
def problems() -> Problems:
    """The problems of a house by their paths."""

    def of(house: Installation) -> dict[str, Problem]:
        try:
            validated(house)
        except InstallationError as error:
            return {problem.path: problem for problem in error.problems}
        return {}

    return of
