"""Invented installations for the tests of drawing and words: one written out, and any number at random."""

from __future__ import annotations

from random import Random

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import (
    Battery,
    Charger,
    ChargerEarthing,
    Equipment,
    EquipmentKind,
    NeutralEarthLink,
    Source,
    SourceKind,
)
from trainer.domain.installation import Installation, Network
from trainer.domain.supply import Earthing, Supply, SurgeDeviceType, SurgeProtection
from trainer.domain.vocabulary import (
    Curve,
    DeviceKind,
    Direction,
    EarthingSystem,
    Location,
    Premises,
    RcdType,
    ResidualDelay,
)


def cable(cross_section_mm2: float = 2.5, length_m: float = 18.0) -> Cable:
    return Cable(
        type=CableType.FLAT_THERMOPLASTIC_70,
        cross_section_mm2=cross_section_mm2,
        protective_conductor_mm2=1.5,
        length_m=length_m,
        reference_method="C",
    )


def _rcbo(key: str, way: int, label: str, amps: float, rcd_type: RcdType) -> Device:
    return Device(
        id=key,
        board="cu",
        fed_by="main",
        kind=DeviceKind.RCBO,
        rated_current_a=amps,
        poles=2,
        label=label,
        way=way,
        rcd_type=rcd_type,
        rated_residual_operating_current_ma=30.0,
        residual_delay=ResidualDelay.GENERAL,
        direction=Direction.BIDIRECTIONAL,
        curve=Curve.B,
        breaking_capacity_ka=6.0,
    )


def four_sources() -> Installation:
    """A TN-C-S house with charger, heat pump, PV and battery; a garage board below way 5."""
    devices = [
        Device(
            id="main",
            board="cu",
            fed_by="cu",
            kind=DeviceKind.SWITCH,
            rated_current_a=100.0,
            poles=2,
            label="Main switch",
        ),
        _rcbo("way1", 1, "Charger", 32.0, RcdType.A),
        _rcbo("way2", 2, "Heat pump", 25.0, RcdType.F),
        _rcbo("way3", 3, "PV", 16.0, RcdType.B),
        Device(
            id="rccb",
            board="cu",
            fed_by="main",
            kind=DeviceKind.RCCB,
            rated_current_a=63.0,
            poles=2,
            label="RCCB for ways 4 and 5",
            way=None,
            rcd_type=RcdType.AC,
            rated_residual_operating_current_ma=30.0,
            direction=Direction.UNIDIRECTIONAL,
        ),
        Device(
            id="way4",
            board="cu",
            fed_by="rccb",
            kind=DeviceKind.CIRCUIT_BREAKER,
            rated_current_a=6.0,
            poles=1,
            label="Lighting",
            way=4,
            curve=Curve.B,
            breaking_capacity_ka=6.0,
        ),
        Device(
            id="way5",
            board="cu",
            fed_by="rccb",
            kind=DeviceKind.CIRCUIT_BREAKER,
            rated_current_a=40.0,
            poles=1,
            label="Garage board",
            way=5,
            curve=Curve.C,
            breaking_capacity_ka=6.0,
        ),
        Device(
            id="gmain",
            board="garage",
            fed_by="garage",
            kind=DeviceKind.SWITCH,
            rated_current_a=63.0,
            poles=2,
            label="Switch",
        ),
        Device(
            id="g1",
            board="garage",
            fed_by="gmain",
            kind=DeviceKind.CIRCUIT_BREAKER,
            rated_current_a=16.0,
            poles=1,
            label="Battery",
            way=1,
            curve=Curve.B,
        ),
        Device(
            id="g2",
            board="garage",
            fed_by="gmain",
            kind=DeviceKind.CIRCUIT_BREAKER,
            rated_current_a=20.0,
            poles=1,
            label="Garage sockets",
            way=2,
            curve=Curve.B,
        ),
    ]
    circuits = [
        Circuit(id="charger", fed_by="way1", label="Charger", cable=cable(6.0, 22.0), location=Location.OUTDOORS),
        Circuit(id="heat", fed_by="way2", label="Heat pump", cable=cable(4.0, 12.0)),
        Circuit(id="pv", fed_by="way3", label="PV inverter", cable=cable(4.0, 15.0)),
        Circuit(id="light", fed_by="way4", label="Lighting, ground floor", cable=cable(1.5, 40.0), luminaires=True),
        Circuit(id="garage", fed_by="way5", label="Garage board", cable=cable(10.0, 25.0)),
        Circuit(id="battery", fed_by="g1", label="Battery", cable=cable(2.5, 6.0)),
        Circuit(id="gsockets", fed_by="g2", label="Sockets", cable=cable(2.5, 10.0), socket_outlets=True),
    ]
    equipment = [
        Equipment(
            id="wallbox",
            circuit="charger",
            kind=EquipmentKind.CHARGER,
            label="Charging point by the drive",
            rated_current_a=32.0,
            rated_power_w=7360.0,
            location=Location.OUTDOORS,
            charger=Charger(earthing=ChargerEarthing.OWN_TT_ELECTRODE),
        ),
        Equipment(id="hp", circuit="heat", kind=EquipmentKind.HEAT_PUMP, label="Heat pump", rated_power_w=4600.0),
        Equipment(
            id="inverter",
            circuit="pv",
            kind=EquipmentKind.PV_INVERTER,
            label="PV inverter",
            rated_power_w=3680.0,
            source=Source(kind=SourceKind.PV, rated_current_a=16.0),
        ),
        Equipment(
            id="store",
            circuit="battery",
            kind=EquipmentKind.BATTERY_INVERTER,
            label="Battery inverter",
            rated_power_w=3000.0,
            source=Source(
                kind=SourceKind.BATTERY,
                rated_current_a=13.0,
                island=True,
                neutral_earth_link=NeutralEarthLink.AUTOMATIC,
            ),
            battery=Battery(location=Location.GARAGE),
        ),
    ]
    return Installation(
        title="Semi-detached house with charger, heat pump, PV and battery",
        premises=Premises.DWELLING,
        supply=Supply(
            earthing_system=EarthingSystem.TN_C_S,
            external_earth_fault_loop_impedance_ohm=0.22,
            prospective_fault_current_ka=1.2,
            fuse_rated_current_a=100.0,
        ),
        earthing=Earthing(island_electrode_resistance_ohm=86.0, earthing_conductor_mm2=16.0, main_bonding_mm2=10.0),
        boards={
            "cu": Board(id="cu", label="Consumer unit", ways=10, rated_current_a=100.0),
            "garage": Board(id="garage", label="Garage board", fed_by="garage", ways=4),
        },
        devices={device.id: device for device in devices},
        circuits={circuit.id: circuit for circuit in circuits},
        equipment={item.id: item for item in equipment},
        surge=SurgeProtection(device=SurgeDeviceType.TYPE_2),
        network=Network(),
    )


_LONG = (
    "",
    "Kitchen",
    "Workshop and utility room with the long name that somebody gave it",
    "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft",
    "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW",
)


def random_house(seed: int) -> Installation:
    """A tree of any shape, from one circuit to about forty, with any attributes; not a sensible design."""
    return _Random(seed).house()


class _Random:
    def __init__(self, seed: int) -> None:
        self.random = Random(seed)
        self.three_phase = self.random.random() < 0.3
        self.boards: dict[str, Board] = {}
        self.devices: dict[str, Device] = {}
        self.circuits: dict[str, Circuit] = {}
        self.equipment: dict[str, Equipment] = {}
        self.left = self.random.choice((1, 3, 8, 15, 30))

    def one_in(self, n: int) -> bool:
        return self.random.randrange(n) == 0

    def maybe(self, value: float) -> float | None:
        return None if self.one_in(4) else value

    def label(self) -> str:
        return self.random.choice(_LONG)

    def house(self) -> Installation:
        for _ in range(self.random.choice((1, 1, 1, 2))):
            self.board("supply", 0)
        pick = self.random.choice
        return Installation(
            title="Invented at random",
            premises=Premises.DWELLING,
            supply=Supply(
                earthing_system=pick((None, *EarthingSystem)),
                phases=3 if self.three_phase else 1,
                external_earth_fault_loop_impedance_ohm=self.maybe(0.35),
                prospective_fault_current_ka=self.maybe(1.86),
                fuse_rated_current_a=self.maybe(80.0),
            ),
            earthing=Earthing(
                electrode_resistance_ohm=self.maybe(120.0),
                island_electrode_resistance_ohm=self.maybe(45.0),
                earthing_conductor_mm2=self.maybe(16.0),
                main_bonding_mm2=self.maybe(10.0),
            ),
            boards=self.boards,
            devices=self.devices,
            circuits=self.circuits,
            equipment=self.equipment,
            surge=SurgeProtection(device=pick((None, *SurgeDeviceType))),
        )

    def board(self, fed_by: str, depth: int) -> None:
        key = f"b{len(self.boards)}"
        self.boards[key] = Board(
            id=key,
            fed_by=fed_by,
            label=self.label(),
            ways=self.random.choice((None, 12)),
            rated_current_a=self.maybe(100.0),
        )
        for _ in range(self.random.choice((0, 1, 1, 2))):
            self.device(key, key, 0, depth)
        if self.one_in(6):
            self.circuit(key, depth)

    def device(self, board: str, fed_by: str, level: int, depth: int) -> None:
        key, pick = f"d{len(self.devices)}", self.random.choice
        kind = pick(tuple(DeviceKind))
        self.devices[key] = Device(
            id=key,
            board=board,
            fed_by=fed_by,
            kind=kind,
            rated_current_a=pick((6.0, 32.0, 100.0)),
            poles=pick((1, 2, 3, 4)),
            label=self.label(),
            way=pick((None, 1, 24)),
            rcd_type=pick((None, *RcdType)),
            rated_residual_operating_current_ma=self.maybe(30.0),
            residual_delay=pick((None, *ResidualDelay)),
            direct_current_detection_ma=pick((None, 6.0)),
            direction=pick((None, *Direction)),
            curve=pick((None, *Curve)),
            breaking_capacity_ka=pick((None, 6.0, 10.0)),
            arc_fault_detection=self.one_in(5),
        )
        for _ in range(self.random.randrange(6 if level < 2 else 2)):
            if self.left <= 0:
                return
            if level < 3 and self.one_in(2):
                self.device(board, key, level + 1, depth)
            else:
                self.circuit(key, depth)

    def circuit(self, fed_by: str, depth: int) -> None:
        self.left -= 1
        key, pick = f"c{len(self.circuits)}", self.random.choice
        self.circuits[key] = Circuit(
            id=key,
            fed_by=fed_by,
            label=self.label(),
            phases=3 if self.three_phase and self.one_in(3) else 1,
            has_neutral=not self.one_in(4),
            line=pick(("L1", "L2", "L3")),
            cable=None if self.one_in(5) else cable(pick((1.5, 16.0)), pick((3.0, 48.5))),
            socket_outlets=self.one_in(3),
            luminaires=self.one_in(3),
        )
        if depth < 2 and self.one_in(8):
            self.board(key, depth + 1)
        else:
            for _ in range(pick((0, 1, 1, 3))):
                self.item(key)

    def item(self, circuit: str) -> None:
        key, pick = f"e{len(self.equipment)}", self.random.choice
        charger = Charger(earthing=pick((None, *ChargerEarthing))) if self.one_in(3) else None
        source = (
            Source(
                kind=pick(tuple(SourceKind)),
                rated_current_a=16.0,
                island=self.one_in(2),
                neutral_earth_link=pick((None, *NeutralEarthLink)),
            )
            if self.one_in(3)
            else None
        )
        self.equipment[key] = Equipment(
            id=key,
            circuit=circuit,
            kind=pick(tuple(EquipmentKind)),
            label=self.label(),
            rated_power_w=self.maybe(7360.0),
            rated_current_a=self.maybe(32.0),
            phases=pick((1, 3)),
            location=pick(tuple(Location)),
            charger=charger,
            source=source,
            battery=Battery(location=Location.LOFT) if self.one_in(4) else None,
        )
