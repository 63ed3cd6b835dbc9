"""Walks one fault: the current at every device of a path, their responses, and how it ends."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from trainer.domain.cables import Circuit
from trainer.domain.calculations.disconnection import TN, TT, maximum_disconnection_time_s
from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment
from trainer.domain.faults.currents import bolted_reference, reference_current, through
from trainer.domain.faults.guards import (
    DEFAULT_RATING_MA,
    CurrentAt,
    board_responses,
    built_in_rating,
    equipment_responses,
)
from trainer.domain.faults.impedance import Loop, Loops
from trainer.domain.faults.order import ending_of
from trainer.domain.faults.path import CutOffs, Path, supply_fuse
from trainer.domain.faults.places import is_behind, is_of_source, is_separated, notes_of
from trainer.domain.faults.standing import Standing, StandingCurrents
from trainer.domain.faults.walk import FaultWalk, Mode, Note, Place, WalkKind
from trainer.domain.installation import SUPPLY, Installation
from trainer.domain.limits import Limits
from trainer.domain.physics.bands import rating_of
from trainer.domain.physics.responses import ResidualCurrent, Response
from trainer.domain.physics.responses_overcurrent import overcurrent_response
from trainer.domain.vocabulary import EarthingSystem, FrontEnd, ResidualDelay

_ROOT_TWO = 2.0**0.5
_MA_PER_A = 1000.0
_MS_PER_S = 1000.0

ExtraDc = Callable[[Device], float]
"""Direct current in mA that faults elsewhere send through a device.

It stands in place of the d.c. of normal service where it is the greater: a fault just below the
threshold of a detector on top of all other equipment at its worst would be two worst cases at once.
"""


def no_dc(_device: Device) -> float:
    """Nothing flows from elsewhere."""
    return 0.0


class Walker:
    """Walks the faults of one installation under the limits of one edition."""

    __slots__ = ("_fuse", "cuts", "house", "limits", "loops", "standing")

    def __init__(self, house: Installation, limits: Limits) -> None:
        self.house = house
        self.limits = limits
        self.cuts = CutOffs(house)
        self.loops = Loops(house, limits)
        self.standing = StandingCurrents(house)
        self._fuse = supply_fuse(house)

    def resistive(self, place: Place, path: Path, mode: Mode) -> FaultWalk:
        """A leak through failing insulation, judged by detection.

        Its resistance is the one through which a line would send 2.5 times the least rating on
        the path, so that every device whose type covers the shape is required to act.
        """
        return self._walk(WalkKind.RESISTIVE, place, path, mode, self._leak(place, path))

    def leak_current(self, place: Place, path: Path) -> ResidualCurrent:
        """The current of a resistive fault."""
        return self._leak(place, path)(self._least_rating_ma(place, path))

    def _leak(self, place: Place, path: Path) -> CurrentAt:
        rated_ma = self._least_rating_ma(place, path)
        multiple = self.limits.devices.faults["resistive_multiple"].value
        return self._source(place, self._voltage_v / (multiple * rated_ma / _MA_PER_A))

    def contact(
        self,
        place: Place,
        path: Path,
        mode: Mode,
        *,
        extra_dc: ExtraDc = no_dc,
        flowing_from: tuple[str, ...] = (),
        notes: tuple[Note, ...] = (),
    ) -> FaultWalk:
        """A person who touches a live part and earth, judged by detection."""
        resistance_ohm = self.limits.devices.faults["contact_resistance"].value
        current_at = self._source(place, resistance_ohm)
        walk = self._walk(WalkKind.CONTACT, place, path, mode, current_at, extra_dc=extra_dc)
        return replace(walk, flowing_from=flowing_from, notes=walk.notes + notes) if notes else walk

    def bolted(self, place: Place, path: Path, mode: Mode) -> FaultWalk:
        """A fault of negligible impedance, judged by the disconnection time."""
        circuit = self.house.circuits[place.circuit]
        loop = self.loops.of(circuit)
        current_at = self._bolted_source(place, path, loop)
        return self._walk(WalkKind.BOLTED, place, path, mode, current_at)

    def unlinked(self, place: Place, path: Path) -> FaultWalk:
        """A fault in an island whose neutral is not linked to earth: no way back, no residual current."""
        resistance_ohm = self.limits.devices.faults["contact_resistance"].value
        reference = self._source(place, resistance_ohm)
        return self._walk(
            WalkKind.RESISTIVE, place, path, Mode.ISLAND, lambda rated_ma: reference(rated_ma).scaled(0.0)
        )

    def selective(self, lower_id: str, upper_id: str) -> bool:
        """True for a time-delayed device above one of at most a third of its rating (BS 7671 536.4.1.4).

        The steps of the product standards alone do not show it: between them only the curves of
        real devices keep apart, and the trade relies on type S and ratio.
        """
        lower, upper = (self.house.devices.get(each) for each in (lower_id, upper_id))
        upper_rating = None if upper is None else rating_of(upper)
        if upper_rating is None or upper_rating.delay is not ResidualDelay.S:
            return False
        lower_rating = None if lower is None else rating_of(lower)
        if lower_rating is None:
            return True
        ratio = self.limits.residual.selectivity_ratio.value
        lower_ma = lower_rating.rated_residual_operating_current_ma
        return round(ratio * lower_ma, 6) <= upper_rating.rated_residual_operating_current_ma

    @property
    def _voltage_v(self) -> float:
        return self.house.supply.nominal_voltage_to_earth_v

    def _item(self, place: Place) -> Equipment | None:
        return None if place.equipment is None else self.house.equipment[place.equipment]

    def _least_rating_ma(self, place: Place, path: Path) -> float:
        ratings = [rating_of(device) for device in path.all_devices]
        item = self._item(place)
        if item is not None:
            ratings.append(built_in_rating(item))
        known = [each.rated_residual_operating_current_ma for each in ratings if each is not None]
        return min(known, default=DEFAULT_RATING_MA)

    def _source(self, place: Place, resistance_ohm: float) -> CurrentAt:
        front_end, separated = self._shape(place)

        def current_at(rated_ma: float) -> ResidualCurrent:
            reference = reference_current(front_end, place.point, separated, rated_ma)
            return through(reference, resistance_ohm, self._voltage_v)

        return self._or_none(place, current_at)

    def _bolted_source(self, place: Place, path: Path, loop: Loop | None) -> CurrentAt:
        """The current that the loop lets flow, or what a source can deliver where that is less."""
        front_end, separated = self._shape(place)
        voltage_v = self._voltage_v * self.limits.overcurrent.minimum_voltage_factor.value
        most_a = self._deliverable_a(place, path)

        def current_at(rated_ma: float) -> ResidualCurrent:
            reference = bolted_reference(front_end, place.point, separated, rated_ma)
            current = through(reference, 1.0 if loop is None else loop.impedance_ohm, voltage_v)
            if most_a is not None and current.rms_ma > most_a * _MA_PER_A:
                return current.scaled(most_a * _MA_PER_A / current.rms_ma)
            return current

        return self._or_none(place, current_at)

    def _deliverable_a(self, place: Place, path: Path) -> float | None:
        """The r.m.s. current that a source can send into a fault, None for the network."""
        feeder = self.house.equipment.get(path.source if path.source != SUPPLY else "")
        if feeder is None and is_of_source(place):
            feeder = self._item(place)
        if feeder is None or feeder.source is None:
            return None
        stated_a = feeder.source.island_fault_current_a
        if stated_a is not None and path.source != SUPPLY:
            return stated_a
        return feeder.source.rated_current_a * self.limits.devices.faults["source_current_multiple"].value

    def _shape(self, place: Place) -> tuple[FrontEnd, bool]:
        item = self._item(place)
        return place.front_end or FrontEnd.RESISTIVE, bool(item is not None and item.galvanic_separation)

    def _or_none(self, place: Place, current_at: CurrentAt) -> CurrentAt:
        """No current at all where a transformer stands between the fault and the earthed supply."""
        if not is_separated(self._item(place)):
            return current_at
        return lambda rated_ma: current_at(rated_ma).scaled(0.0)

    def _walk(
        self,
        kind: WalkKind,
        place: Place,
        path: Path,
        mode: Mode,
        current_at: CurrentAt,
        *,
        extra_dc: ExtraDc = no_dc,
    ) -> FaultWalk:
        steps = tuple(self._steps(kind, place, path, current_at, extra_dc))
        ending = ending_of(self.cuts, path, steps, self.selective)
        current = current_at(self._least_rating_ma(place, path))
        return FaultWalk(
            kind=kind,
            mode=mode,
            place=place,
            current=current,
            steps=steps,
            acts_first=ending.acts_first,
            break_time_max_ms=ending.break_time_max_ms,
            time_limit_ms=self._time_limit_ms(kind, place),
            goes_dark=ending.goes_dark,
            may_go_dark=ending.may_go_dark,
            stays_live=ending.stays_live,
            touch_voltage_v=self._touch_voltage_v(kind, place, current),
            notes=tuple(self._notes(kind, place, path, current, ending.acts_first)),
            source=path.source,
        )

    def _steps(
        self, kind: WalkKind, place: Place, path: Path, current_at: CurrentAt, extra_dc: ExtraDc
    ) -> Iterator[Response]:
        item = self._item(place)
        if item is not None:
            yield from equipment_responses(item, place, kind, current_at, self.limits)
        own = item.id if item is not None and is_behind(place) else None
        for device in path.all_devices:
            if device.detects_residual_current:
                flowing = self.standing.at(device, without=own)
                standing = Standing(flowing.ac_ma, max(flowing.dc_ma, extra_dc(device)))
                yield from board_responses(device, current_at, standing, self.limits)
        if kind is WalkKind.BOLTED and self.loops.of(self.house.circuits[place.circuit]) is not None:
            yield from self._overcurrent_steps(path, current_at(DEFAULT_RATING_MA))

    def _overcurrent_steps(self, path: Path, current: ResidualCurrent) -> Iterator[Response]:
        current_a, equivalent_a = current.rms_ma / _MA_PER_A, current.peak_ma / _ROOT_TWO / _MA_PER_A
        fuse: Iterable[Device] = () if self._fuse is None or path.source != SUPPLY else (self._fuse,)
        for device in (*path.all_devices, *fuse):
            if device.breaks_overcurrent:
                yield overcurrent_response(device, current_a, equivalent_a, self.limits)

    def _time_limit_ms(self, kind: WalkKind, place: Place) -> float | None:
        if kind is not WalkKind.BOLTED or is_of_source(place):
            return None
        circuit = self.house.circuits[place.circuit]
        breaker = self.house.overcurrent_device(circuit) or self._fuse
        if breaker is None:
            return None
        system = self._system(circuit)
        time_s = maximum_disconnection_time_s(self.house, circuit, breaker.rated_current_a, system, self.limits)
        return time_s * _MS_PER_S

    def _system(self, circuit: Circuit) -> str:
        loop = self.loops.of(circuit)
        if loop is not None:
            return loop.system
        return TT if self.house.supply.earthing_system is EarthingSystem.TT else TN

    def _touch_voltage_v(self, kind: WalkKind, place: Place, current: ResidualCurrent) -> float | None:
        """The voltage that drives the person in a contact, else what the fault raises exposed parts to."""
        if kind is WalkKind.CONTACT:
            return current.rms_ma / _MA_PER_A * self.limits.devices.faults["contact_resistance"].value
        loop = self.loops.of(self.house.circuits[place.circuit])
        return None if loop is None else current.rms_ma / _MA_PER_A * loop.protective_ohm

    def _notes(
        self, kind: WalkKind, place: Place, path: Path, current: ResidualCurrent, acts_first: str | None
    ) -> Iterator[Note]:
        item = self._item(place)
        if current.rms_ma == 0.0:
            yield Note.NO_RESIDUAL_CURRENT
            separated = is_separated(item) or self._shape(place)[1]
            yield Note.GALVANIC_SEPARATION if separated else Note.NO_RETURN_PATH
        if not any(device.detects_residual_current for device in path.all_devices):
            yield Note.NO_RESIDUAL_DEVICE
        if kind is WalkKind.BOLTED:
            yield from self._bolted_notes(place, path)
        yield from notes_of(item, place)
        if acts_first in self.house.devices and path.source == SUPPLY and self._still_fed(acts_first):
            yield Note.SOURCE_KEEPS_FEEDING

    def _bolted_notes(self, place: Place, path: Path) -> Iterator[Note]:
        if self.loops.of(self.house.circuits[place.circuit]) is None:
            yield Note.IMPEDANCE_UNKNOWN
        if is_of_source(place):
            yield Note.NO_TIME_APPLIES
        if self._deliverable_a(place, path) is not None:
            yield Note.SOURCE_LIMITS_CURRENT
        elif is_behind(place):
            yield Note.CONVERTER_MAY_LIMIT

    def _still_fed(self, device_id: str | None) -> bool:
        """True when a source on the load side of the opened device can feed the fault until it stops."""
        return device_id is not None and bool(self.house.sources_below(self.house.devices[device_id]))
