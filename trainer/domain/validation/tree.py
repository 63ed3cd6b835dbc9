"""References and the tree: every name is known, and every way leads to the supply once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import Any

from trainer.domain.devices import Device
from trainer.domain.errors import Problem, unknown
from trainer.domain.installation import SUPPLY
from trainer.domain.validation.draft import COLLECTIONS, Draft
from trainer.domain.validation.loops import loop_problems


def tree_problems(draft: Draft) -> Iterator[Problem]:
    """Every unknown name, every name used twice, every loop and every way that is wrong."""
    yield from _names(draft)
    yield from _boards(draft)
    yield from _devices(draft)
    yield from _circuits(draft)
    yield from _equipment(draft)
    yield from loop_problems(draft)
    yield from _ways(draft)


def _names(draft: Draft) -> Iterator[Problem]:
    for name in COLLECTIONS:
        for key, record in getattr(draft, name).items():
            if record.id != key:
                yield Problem(path=f"{name}.{key}.id", value=record.id, problem=f"kept under another id: {key}")
    for key in draft.boards:
        if key == SUPPLY:
            yield Problem(path=f"boards.{key}.id", value=key, problem="this word means the supply itself")
        if key in draft.devices:
            problem = "a device has the same id; what is fed by it would be in doubt"
            yield Problem(path=f"boards.{key}.id", value=key, problem=problem)
    for needed in ("boards", "devices", "circuits"):
        if not getattr(draft, needed):
            yield Problem(path=needed, problem="at least one is needed")


def _known(key: str | None, *groups: Mapping[str, Any]) -> bool:
    """True when one of the groups has the key, or the key itself could not be read."""
    return key is None or any(key in group for group in groups)


def _boards(draft: Draft) -> Iterator[Problem]:
    fed: dict[str, str] = {}
    for board in draft.boards.values():
        path = f"boards.{board.id}.fed_by"
        if board.fed_by == SUPPLY:
            continue
        if not _known(board.fed_by, draft.circuits):
            yield unknown(path, board.fed_by, (SUPPLY, *draft.circuits), "circuit; a board is fed by a circuit")
        elif board.fed_by in fed:
            problem = f"this circuit already feeds board {fed[board.fed_by]}"
            yield Problem(path=path, value=board.fed_by, problem=problem)
        fed.setdefault(board.fed_by, board.id)


def _devices(draft: Draft) -> Iterator[Problem]:
    for device in draft.devices.values():
        path = f"devices.{device.id}"
        if not _known(device.board, draft.boards):
            yield unknown(f"{path}.board", device.board, draft.boards, "board")
        feeder = draft.devices.get(device.fed_by)
        if feeder is not None and feeder.board != device.board:
            yield _other_board(path, device, feeder)
        elif device.fed_by in draft.boards and device.fed_by != device.board:
            problem = f"is in board {device.board} but fed by another; feed that board by a circuit instead"
            yield Problem(path=f"{path}.fed_by", value=device.fed_by, problem=problem)
        elif not _known(device.fed_by, draft.devices, draft.boards):
            here = [d.id for d in draft.devices.values() if d.board == device.board and d.id != device.id]
            possible = (device.board, *here)
            yield unknown(f"{path}.fed_by", device.fed_by, possible, "device of this board; an incomer names its board")


def _other_board(path: str, device: Device, feeder: Device) -> Problem:
    return Problem(
        path=f"{path}.fed_by",
        value=device.fed_by,
        problem=f"is in board {device.board}, its feeder in board {feeder.board}; "
        "boards are joined by a circuit, not by a device",
    )


def _circuits(draft: Draft) -> Iterator[Problem]:
    for circuit in draft.circuits.values():
        path = f"circuits.{circuit.id}.fed_by"
        if circuit.fed_by in draft.boards or circuit.fed_by == "":
            problem = "a circuit needs a way: name the device that feeds it, not the board"
            yield Problem(path=path, value=circuit.fed_by, problem=problem, possible=tuple(draft.devices))
        elif not _known(circuit.fed_by, draft.devices):
            yield unknown(path, circuit.fed_by, draft.devices, "device; a circuit without a way")


def _equipment(draft: Draft) -> Iterator[Problem]:
    feeding = {board.fed_by: board.id for board in draft.boards.values()}
    for item in draft.equipment.values():
        path = f"equipment.{item.id}.circuit"
        if not _known(item.circuit, draft.circuits):
            yield unknown(path, item.circuit, draft.circuits, "circuit")
        elif item.circuit in feeding:
            problem = f"this circuit feeds board {feeding[item.circuit]}; equipment needs a final circuit"
            yield Problem(path=path, value=item.circuit, problem=problem)


def _ways(draft: Draft) -> Iterator[Problem]:
    taken: dict[tuple[str, int], list[str]] = defaultdict(list)
    for device in draft.devices.values():
        if device.way is None:
            continue
        taken[device.board, device.way].append(device.id)
        others = taken[device.board, device.way][:-1]
        path = f"devices.{device.id}.way"
        if others:
            yield Problem(path=path, value=device.way, problem=f"this way already holds device {others[0]}")
        board = draft.boards.get(device.board)
        if board is not None and board.ways is not None and device.way > board.ways:
            problem = f"board {board.id} has {board.ways} ways"
            yield Problem(path=path, value=device.way, problem=problem)
