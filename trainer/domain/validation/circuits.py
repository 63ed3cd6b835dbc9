"""Phases, poles and cables: what cannot be true of a circuit and the devices above it."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.errors import Problem, unknown
from trainer.domain.validation.cable_tables import loaded_conductors, methods, sizes_mm2
from trainer.domain.validation.draft import Draft

_THREE_LOADED = 3


def circuit_problems(draft: Draft) -> Iterator[Problem]:
    """Every contradiction between circuits, supply, devices, equipment and cables."""
    for path, circuit in draft.whole("circuits"):
        yield from _line(path, circuit, draft)
        yield from _three_phase(path, circuit, draft)
        if circuit.cable is not None:
            yield from _cable(f"{path}.cable", circuit.cable, circuit)
        if circuit.socket_outlet_rated_current_a is not None and not circuit.socket_outlets:
            problem = "stated for a circuit without socket_outlets = true"
            value = circuit.socket_outlet_rated_current_a
            yield Problem(path=f"{path}.socket_outlet_rated_current_a", value=value, problem=problem)


def _line(path: str, circuit: Circuit, draft: Draft) -> Iterator[Problem]:
    single = draft.supply is not None and draft.supply.phases == 1
    if single and circuit.line in ("L2", "L3"):
        problem = "the supply has one phase"
        yield Problem(path=f"{path}.line", value=circuit.line, problem=problem, possible=("L1",))


def _three_phase(path: str, circuit: Circuit, draft: Draft) -> Iterator[Problem]:
    if circuit.phases == 1:
        yield from _single_phase(path, circuit)
        return
    if draft.supply is not None and draft.supply.phases == 1:
        yield Problem(path=f"{path}.phases", value=circuit.phases, problem="the supply has one phase")
        return
    whole = dict(draft.whole("devices"))
    for device in draft.above(circuit):
        if f"devices.{device.id}" in whole and device.poles < circuit.phases:
            problem = f"three phases cannot pass device {device.id} with poles = {device.poles}"
            yield Problem(path=f"{path}.phases", value=circuit.phases, problem=problem)
            return


def _single_phase(path: str, circuit: Circuit) -> Iterator[Problem]:
    if not circuit.has_neutral:
        problem = "a single-phase circuit has a neutral; the load between lines is not in this format"
        yield Problem(path=f"{path}.has_neutral", value="false", problem=problem)


def _cable(path: str, cable: Cable, circuit: Circuit) -> Iterator[Problem]:
    known = methods(cable.type)
    if cable.reference_method not in known:
        what = f"reference method of table {cable.type}"
        yield unknown(f"{path}.reference_method", cable.reference_method, known, what)
        sizes = sizes_mm2(cable.type)
    else:
        sizes = sizes_mm2(cable.type, cable.reference_method)
    if cable.cross_section_mm2 not in sizes:
        yield _size(f"{path}.cross_section_mm2", cable.cross_section_mm2, sizes, cable.type)
    if circuit.phases > 1 and _THREE_LOADED not in loaded_conductors(cable.type):
        problem = f"table {cable.type} is for two-core flat cable; three phases need a multicore cable"
        yield Problem(path=f"{path}.type", value=cable.type.value, problem=problem)


def _size(path: str, value: float, sizes: tuple[float, ...], table: CableType) -> Problem:
    nearest = min(sizes, key=lambda size: abs(size - value))
    return Problem(
        path=path,
        value=value,
        problem=f"outside table {table} of Appendix 4",
        possible=tuple(f"{size:g}" for size in sizes),
        nearest=f"{nearest:g}",
    )
