"""Loops: boards or devices that feed each other and never reach the supply."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.domain.devices import Device
from trainer.domain.errors import Problem
from trainer.domain.validation.draft import Draft


def loop_problems(draft: Draft) -> Iterator[Problem]:
    """Each loop once, at its first device or board in the order of the file."""
    settled: set[str] = set()
    for start in draft.devices.values():
        trail: list[str] = []
        place: Device | None = start
        while place is not None and place.id not in settled and place.id not in trail:
            trail.append(place.id)
            place = draft.next_above(place)
        if place is not None and place.id in trail:
            yield _loop(draft, trail[trail.index(place.id) :])
        settled.update(trail)


def _loop(draft: Draft, loop: list[str]) -> Problem:
    devices = [draft.devices[each] for each in loop]
    boards = list(dict.fromkeys(device.board for device in devices))
    entered = [device.fed_by for device in devices if device.fed_by in draft.boards]
    if not entered:
        problem = "the device feeds itself" if len(loop) == 1 else f"devices feed each other: {_ring(loop)}"
        path = f"devices.{loop[0]}.fed_by"
        return Problem(path=path, value=devices[0].fed_by, problem=f"{problem}; one must be fed by its board")
    if len(boards) > 1:
        problem = f"boards feed each other: {_ring(boards)}; one must be fed by the supply"
    else:
        problem = "the board is fed by one of its own circuits; the supply or another board must feed it"
    board = draft.boards[entered[0]]
    return Problem(path=f"boards.{board.id}.fed_by", value=board.fed_by, problem=problem)


def _ring(names: list[str]) -> str:
    return " - ".join([*names, names[0]])
