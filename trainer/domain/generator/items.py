"""Equipment and its circuit, drawn from a family and a variant."""

from __future__ import annotations

import math

from trainer.domain.cables import Cable, Circuit
from trainer.domain.equipment import Equipment
from trainer.domain.generator.data import Wiring
from trainer.domain.generator.incoming import drawn
from trainer.domain.generator.plan import Chosen
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.ranges import protective_conductor_mm2, sizes
from trainer.domain.generator.typed import build

_U0 = 230.0
_RESOLUTION_W = 10
_RING_LONGER = 1.7


def draw_equipment(chosen: Chosen, draws: Draws) -> Equipment:
    """One item with all facts of its family, those of the variant in place of the family's."""
    values = {**drawn(chosen.family.facts, draws), **drawn(chosen.variant.facts, draws)}
    _complete(values)
    return build(  # type: ignore[no-any-return]
        Equipment,
        {
            "id": chosen.work.role,
            "circuit": chosen.work.role,
            "kind": chosen.family.kind,
            "label": chosen.work.label,
            "location": chosen.work.location,
            **values,
        },
    )


def _complete(values: dict[str, object]) -> None:
    """Current from power or power from current, and the output current of a source."""
    phases = 3 if values.get("phases") == 3 else 1
    current, power = values.get("rated_current_a"), values.get("rated_power_w")
    if isinstance(power, float) and current is None:
        values["rated_current_a"] = round(power / (_U0 * phases), 1)
    elif isinstance(current, float) and power is None:
        watt = _U0 * phases * current
        values["rated_power_w"] = float(_RESOLUTION_W * math.floor(watt / _RESOLUTION_W + 0.5))
    if "source.kind" in values:
        values["source.rated_current_a"] = values["rated_current_a"]


def _length_m(drawn_m: float, *, ring: bool) -> float:
    """The length of the run; a ring goes out and comes back by another way."""
    return float(math.floor(drawn_m * _RING_LONGER)) if ring else drawn_m


def draw_circuit(chosen: Chosen, wiring: Wiring, device_id: str, item: Equipment, draws: Draws) -> Circuit:
    """The circuit of an item, its cable in the smallest size that is used; the size is settled later."""
    work = chosen.work
    values = {**drawn(chosen.family.circuit.facts, draws), **drawn(work.facts, draws)}
    smallest = sizes(wiring.type, wiring.smallest_mm2)[0]
    cable = build(
        Cable,
        {
            "type": wiring.type,
            "reference_method": wiring.reference_method,
            "cross_section_mm2": smallest,
            "protective_conductor_mm2": protective_conductor_mm2(wiring.type, smallest),
            "length_m": _length_m(work.length_m.draw(draws), ring="ring" in values),
            **drawn(wiring.facts, draws),
        },
    )
    return build(  # type: ignore[no-any-return]
        Circuit,
        {
            "id": work.role,
            "label": work.label,
            "fed_by": device_id,
            "phases": item.phases,
            "line": work.line,
            "location": work.location,
            "cable": cable,
            **values,
        },
    )
