"""Short facts of one record at a time; what is still to be decided shows as a question mark."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field

from trainer.domain.cables import Cable, Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.vocabulary import DeviceKind, Direction, EarthingSystem, ResidualDelay
from trainer.explain.diagram.nodes import Translate
from trainer.explain.numbers import quantity

OPEN = "?"


@dataclass(frozen=True, slots=True, kw_only=True)
class Teller:
    """Puts records into words, mindful of the paths that are still to be decided."""

    translate: Translate
    undecided: Collection[str] = field(default_factory=frozenset)

    def is_open(self, path: str) -> bool:
        """True when the path, or a record that holds it, is still to be decided."""
        while path and self.undecided:
            if path in self.undecided:
                return True
            path = path.rpartition(".")[0]
        return False

    def fact(self, path: str, told: str, when_open: str) -> str:
        """What is told of a path, or the question where it is still open."""
        return when_open if self.is_open(path) else told

    def value(self, path: str, value: float | None, unit: str, form: str = "{}") -> str:
        """A quantity in its form; a question mark before the unit while it is open."""
        if self.is_open(path):
            return form.format(f"{OPEN}\u00a0{quantity(0, unit).split(chr(0xA0))[-1]}")
        return "" if value is None else form.format(quantity(value, unit))

    def device_kind(self, kind: DeviceKind) -> str:
        """The trade's short word for a kind of device."""
        _ = self.translate
        return {
            DeviceKind.RCCB: _("RCCB"),
            DeviceKind.RCBO: _("RCBO"),
            DeviceKind.CIRCUIT_BREAKER: _("circuit-breaker"),
            DeviceKind.FUSE: _("fuse"),
            DeviceKind.SWITCH: _("switch"),
        }[kind]


def told(*facts: str) -> tuple[str, ...]:
    """The facts that there are."""
    return tuple(fact for fact in facts if fact)


def device_facts(device: Device, teller: Teller) -> tuple[tuple[str, ...], ...]:
    """Three groups: kind and ratings, the residual current part, and the rest; poles end one of them."""
    _, path = teller.translate, f"devices.{device.id}"
    residual, poles = _residual_facts(device, teller), _poles(device, teller)
    arcs = _("arc fault detection") if device.arc_fault_detection else ""
    return (
        told(
            teller.fact(f"{path}.kind", teller.device_kind(device.kind), _("device ?")),
            teller.value(f"{path}.rated_current_a", device.rated_current_a, "A"),
            teller.fact(f"{path}.curve", _curve(device, teller), _("curve ?")),
            teller.value(f"{path}.breaking_capacity_ka", device.breaking_capacity_ka, "kA"),
            "" if residual else poles,
        ),
        told(*residual, poles) if residual else (),
        told(
            teller.value(
                f"{path}.direct_current_detection_ma",
                device.direct_current_detection_ma,
                "mA",
                _("{} d.c. detection"),
            ),
            teller.fact(f"{path}.arc_fault_detection", arcs, _("arc fault detection ?")),
            teller.fact(f"{path}.direction", "", _("direction ?")),
        ),
    )


def signed_facts(device: Device, teller: Teller) -> tuple[str, ...]:
    """The direction, which the drawing tells by an arrow."""
    return told(teller.fact(f"devices.{device.id}.direction", _direction(device, teller), ""))


def _curve(device: Device, teller: Teller) -> str:
    return teller.translate("curve {curve}").format(curve=device.curve) if device.curve else ""


def _residual_facts(device: Device, teller: Teller) -> tuple[str, ...]:
    _, path = teller.translate, f"devices.{device.id}"
    rcd_type = _("type {type}").format(type=device.rcd_type) if device.rcd_type else ""
    return told(
        teller.fact(f"{path}.rcd_type", rcd_type, _("type ?")),
        teller.value(
            f"{path}.rated_residual_operating_current_ma",
            device.rated_residual_operating_current_ma,
            "mA",
        ),
        teller.fact(
            f"{path}.residual_delay",
            _("time-delayed (S)") if device.residual_delay is ResidualDelay.S else "",
            _("delay ?"),
        ),
    )


def _poles(device: Device, teller: Teller) -> str:
    _ = teller.translate
    words = {1: _("1 pole"), 2: _("2 poles"), 3: _("3 poles"), 4: _("4 poles")}
    known = words.get(device.poles, _("{n} poles").format(n=device.poles))
    return teller.fact(f"devices.{device.id}.poles", known, _("poles ?"))


def _direction(device: Device, teller: Teller) -> str:
    _ = teller.translate
    words = {
        Direction.UNIDIRECTIONAL: _("one direction"),
        Direction.BIDIRECTIONAL: _("both directions"),
    }
    return words[device.direction] if device.direction else ""


def board_facts(board: Board, teller: Teller) -> tuple[tuple[str, ...], ...]:
    """Ways and rated current of a board."""
    _, path = teller.translate, f"boards.{board.id}"
    ways = "" if board.ways is None else _("{n} ways").format(n=board.ways)
    facts = told(
        teller.fact(f"{path}.ways", ways, _("? ways")),
        teller.value(f"{path}.rated_current_a", board.rated_current_a, "A"),
    )
    return (facts,)


def circuit_facts(circuit: Circuit, teller: Teller, *, three_phase_house: bool) -> tuple[tuple[str, ...], ...]:
    """Cable and conductors of a circuit."""
    path = f"circuits.{circuit.id}"
    if teller.is_open(f"{path}.cable"):
        cable: tuple[str, ...] = (teller.translate("cable ?"),)
    else:
        cable = _cable_facts(circuit.cable, f"{path}.cable", teller) if circuit.cable else ()
    conductors = _conductors(circuit, teller) if three_phase_house else ""
    return (told(*cable), told(conductors))


def _cable_facts(cable: Cable, path: str, teller: Teller) -> tuple[str, ...]:
    _ = teller.translate
    twice = _("cpc run twice") if cable.duplicated_protective_conductor else ""
    return told(
        teller.value(f"{path}.cross_section_mm2", cable.cross_section_mm2, "mm2"),
        teller.value(f"{path}.protective_conductor_mm2", cable.protective_conductor_mm2, "mm2", _("cpc {}")),
        teller.fact(f"{path}.duplicated_protective_conductor", twice, _("second cpc ?")),
        teller.value(f"{path}.length_m", cable.length_m, "m"),
    )


def _conductors(circuit: Circuit, teller: Teller) -> str:
    _ = teller.translate
    lines = _("3 phases") if circuit.phases == 3 else circuit.line
    known = _("{lines} and N").format(lines=lines) if circuit.has_neutral else lines
    return teller.fact(f"circuits.{circuit.id}.line", known, _("line ?"))


def earthing_system(system: EarthingSystem | None, teller: Teller) -> str:
    """The system in the trade's letters."""
    _ = teller.translate
    words = {
        EarthingSystem.TN_S: _("TN-S"),
        EarthingSystem.TN_C_S: _("TN-C-S (PME)"),
        EarthingSystem.TT: _("TT"),
    }
    return words[system] if system else _("earthing not stated")
