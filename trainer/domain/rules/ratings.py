"""Ratings of switches, residual current circuit-breakers and assemblies, and room in the enclosure."""

from __future__ import annotations

from collections.abc import Iterable

from trainer.domain.calculations.demand import LINES
from trainer.domain.calculations.paths import incoming_rating_a
from trainer.domain.citations import Citation, Status
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment
from trainer.domain.findings import Term, Verdict, at_most, total, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, DeviceKind, Outcome

_CARRIES_WITHOUT_PROTECTING = frozenset({DeviceKind.RCCB, DeviceKind.SWITCH})


@rule("RAT-01", over=Over.DEVICES, consequence=Consequence.FIRE, objectives=("LO42",))
def load_current_of_switching_device(device: Device, house: Installation, _limits: Limits) -> Verdict | None:
    """A switch or residual current circuit-breaker is protected against more load than its rating.

    Why: neither trips on overload; it overheats while the devices below it see nothing unusual.
    Remedy: a rating not below the overcurrent device before it (with sources beside it, not below both
    together), or not below the sum of the devices after it on any line, or its maker's declaration.
    Diversity alone does not protect it.
    Assumes: devices after it whose circuits are drawn; spare ways carry nothing. A source that joins
    the same board between the device before and this one adds to what can flow; no clause says so
    of a single device, so that is advice.
    Formula: In(device before) <= In, or sum of In(devices after) <= In, or as the maker declares
    """
    if device.kind not in _CARRIES_WITHOUT_PROTECTING:
        return None
    verdict = _by_the_device_before(device, house)
    if verdict is not None and verdict.outcome is Outcome.COMPLIES:
        return verdict
    return _by_the_devices_after(device, house) or verdict or _unprotected(device, house)


def _by_the_device_before(device: Device, house: Installation) -> Verdict | None:
    """Protected by the rating before it, or by that and a declaration; advice where sources add to it."""
    before, related = _before(device, house)
    if before is None:
        return None
    most, case, declared = device.rated_current_a, "upstream_device", device.declared_load_current_a
    if declared is not None and not within(before, most):
        most, case = declared, "declared"
    if not within(before, most):
        return None
    beside = _sources_beside(device, house)
    reach = total((before, max((_generated_a(beside, house, line) for line in LINES), default=0)))
    if within(reach, most if declared is None else max(most, declared)):
        return at_most(before, most, unit="A", case=case, related=related)
    return Verdict(
        outcome=Outcome.ADVICE,
        value=reach,
        limit=most,
        unit="A",
        terms=lambda: (Term("supply_device", before, "A"), Term("sources", total((reach, -before)), "A")),
        case="source_beside",
        related=tuple(f"equipment.{item.id}" for item in beside),
        citation=_inferred(),
    )


def _inferred() -> Citation:
    """Where the sum of supply and sources stands, as an inference: the regulation names no single device."""
    stated = assembly_fed_from_both_ends.citation
    return Citation(publication=stated.publication, clause=stated.clause, status=Status.DERIVED, edition=stated.edition)


def _sources_beside(device: Device, house: Installation) -> list[Equipment]:
    """The sources that join the board of a device before it, and after the overcurrent device before it."""
    own = {item.id for item in house.sources_below(device)}
    before = next((above for above in house.devices_above(device) if above.breaks_overcurrent), None)
    inside = None if before is None else {item.id for item in house.sources_below(before)}
    return [
        item
        for item in _sources_fed_through(house.boards[device.board], house)
        if item.id not in own and (inside is None or item.id in inside)
    ]


def _by_the_devices_after(device: Device, house: Installation) -> Verdict | None:
    """Protected by the overcurrent devices after it, added on the worst line."""
    after = _first_overcurrent_devices_below(device, house)
    if after is None:
        return None
    line_sum, on_line = _worst_line(after)
    rated = device.rated_current_a
    if not within(line_sum, rated):
        return None
    return at_most(line_sum, rated, unit="A", terms=lambda: _rating_terms(on_line), case="downstream_devices")


def _unprotected(device: Device, house: Installation) -> Verdict:
    before, related = _before(device, house)
    if before is None:
        return undetermined("supply.fuse_rated_current_a")
    return at_most(before, device.rated_current_a, unit="A", case="unprotected", related=related)


def _before(device: Device, house: Installation) -> tuple[float | None, tuple[str, ...]]:
    """The rating of the nearest overcurrent device before a device: the service fuse if there is none."""
    for above in house.devices_above(device):
        if above.breaks_overcurrent:
            return above.rated_current_a, (f"devices.{above.id}",)
    return house.supply.fuse_rated_current_a, ("supply",)


def _first_overcurrent_devices_below(device: Device, house: Installation) -> list[tuple[Device, str | None]] | None:
    """The first overcurrent devices after a device, each with its line; None when a path has none.

    A line of None stands for all three.
    """
    found: dict[str, tuple[Device, str | None]] = {}
    for circuit in house.circuits_below(device):
        first: Device | None = None
        for above in house.devices_above(circuit):
            if above.id == device.id:
                break
            if above.breaks_overcurrent:
                first = above
        if first is None:
            return None
        found[first.id] = (first, None if circuit.phases > 1 else circuit.line)
    return list(found.values())


def _worst_line(after: list[tuple[Device, str | None]]) -> tuple[float, list[Device]]:
    best: tuple[float, list[Device]] = (0.0, [])
    for line in LINES:
        on_line = [device for device, its_line in after if its_line is None or its_line == line]
        line_sum = total(device.rated_current_a for device in on_line)
        if line_sum > best[0]:
            best = (line_sum, on_line)
    return best


def _rating_terms(devices: Iterable[Device]) -> tuple[Term, ...]:
    return tuple(Term(device.id, device.rated_current_a, "A") for device in devices)


@rule("RAT-02", over=Over.BOARDS, consequence=Consequence.FIRE, objectives=("LO42", "LO20"))
def assembly_fed_from_both_ends(board: Board, house: Installation, _limits: Limits) -> Verdict | None:
    """The rated current of an assembly covers the supply's protective device and the sources together.

    Why: sources feed the busbar beside the supply; its loads can then draw more through one piece
    of bar than the supply's device would ever let pass.
    Remedy: an assembly of higher rating, a lower device before it, or the source at another point.
    Assumes: every source at its rated output at once; the worst line of a three-phase board.
    Formula: InA >= In(supply side) + sum of Ig
    """
    sources = _sources_fed_through(board, house)
    if not sources:
        return None
    if board.rated_current_a is None:
        return undetermined(f"boards.{board.id}.rated_current_a")
    incoming = incoming_rating_a(house, board)
    if incoming is None:
        return undetermined("supply.fuse_rated_current_a")
    generated = max(_generated_a(sources, house, line) for line in LINES)
    return at_most(
        total((incoming, generated)),
        board.rated_current_a,
        unit="A",
        terms=lambda: (Term("supply_device", incoming, "A"), Term("sources", generated, "A")),
        case="both_ends",
        related=tuple(f"equipment.{item.id}" for item in sources),
    )


def _sources_fed_through(board: Board, house: Installation) -> list[Equipment]:
    """The sources whose circuits lead through a board, in it or in a board beyond it."""
    return [
        item
        for item in house.sources()
        if any(device.board == board.id for device in house.devices_above(house.circuits[item.circuit]))
    ]


def _generated_a(sources: Iterable[Equipment], house: Installation, line: str) -> float:
    return total(
        item.source.rated_current_a
        for item in sources
        if item.source is not None
        and (house.circuits[item.circuit].phases > 1 or house.circuits[item.circuit].line == line)
    )


@rule("RAT-03", over=Over.BOARDS, consequence=Consequence.DESIGN, objectives=("LO42",))
def room_in_the_enclosure(board: Board, house: Installation, _limits: Limits) -> Verdict | None:
    """The devices of a board fit into its ways.

    Why: a device that does not fit is left out or replaced by a narrower one of the wrong type.
    Remedy: a larger enclosure, a second one, or devices that take less room.
    Assumes: widths as the data sheets give them; ways counted in modules.
    Formula: sum of module widths <= ways
    """
    devices = [device for device in house.devices.values() if device.board == board.id]
    if not devices:
        return None
    if board.ways is None:
        return undetermined(f"boards.{board.id}.ways")
    missing = [f"devices.{device.id}.modules" for device in devices if device.modules is None]
    if missing:
        return undetermined(*missing)
    return at_most(
        total(device.modules for device in devices if device.modules is not None),
        board.ways,
        unit="modules",
        terms=lambda: tuple(Term(device.id, device.modules, "modules") for device in devices if device.modules),
        case="modules",
    )


RULES: tuple[Rule, ...] = (load_current_of_switching_device, assembly_fed_from_both_ends, room_in_the_enclosure)
