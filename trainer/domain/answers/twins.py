"""Branches of a house that a rule cannot tell apart, so that it has to be run on one of them only.

A branch is a final circuit with the device that feeds nothing else and the equipment at its end.
Rules follow names to find records and judge by what these state. What a rule forbids to a branch it
therefore forbids to a twin, with the two branches' decisions exchanged. Twins may differ in some
attributes; these are watched, and when a rule has read one in which two branches differ, it is run
on both.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from trainer.domain.answers.decisions import Decision, Edit, Option, names
from trainer.domain.cables import Circuit
from trainer.domain.installation import Installation

Exchange = Mapping[int, int]
"""The decisions of two branches, each with its counterpart in the other."""

_Place = tuple[int, str]
"""An attribute of a branch: the number of the record, and the path within it."""


class Twin(NamedTuple):
    """The path of a record in a later branch, the exchange, and the watched attributes in which the branches differ."""

    path: str
    exchange: Exchange
    apart: frozenset[int]


class Twins(NamedTuple):
    """The later twins of each record by its path, and the watched attributes as decisions of one option.

    The watched ones are numbered on from the decisions of the house.
    """

    of: Mapping[str, Sequence[Twin]]
    watched: tuple[Decision, ...]


class _Branch(NamedTuple):
    """The paths of a branch's records, what they state, and the numbers and options of its decisions."""

    paths: tuple[str, ...]
    facts: dict[_Place, Any]
    decisions: tuple[int, ...]
    options: list[Any]


def twins(house: Installation, decisions: Sequence[Decision]) -> Twins:
    """The twins among the branches of a house that have something to decide."""
    groups: list[list[_Branch]] = []
    for branch in _branches(house, decisions):
        for group in groups:
            if branch.options == group[0].options and branch.facts.keys() == group[0].facts.keys():
                group.append(branch)
                break
        else:
            groups.append([branch])
    of: dict[str, list[Twin]] = {}
    watched: list[Decision] = []
    for group in groups:
        _pair_all(group, len(decisions), of, watched)
    return Twins(of, tuple(watched))


def _pair_all(group: list[_Branch], size: int, of: dict[str, list[Twin]], watched: list[Decision]) -> None:
    """Enter the twins of one group, and watch what differs within it."""
    first = group[0].facts
    differing = [fact for fact in first if any(branch.facts[fact] != first[fact] for branch in group[1:])]
    numbers: list[list[int]] = []
    for branch in group:
        start = size + len(watched)
        numbers.append(list(range(start, start + len(differing))))
        watched.extend(
            _as_it_is(f"{branch.paths[place]}.{name}", branch.facts[place, name]) for place, name in differing
        )
    for one, branch in enumerate(group):
        for other in range(one + 1, len(group)):
            later = group[other]
            there = dict(zip(branch.decisions, later.decisions, strict=True))
            exchange = there | {number: own for own, number in there.items()}
            apart = frozenset(
                number
                for fact, *both in zip(differing, numbers[one], numbers[other], strict=True)
                if branch.facts[fact] != later.facts[fact]
                for number in both
            )
            for path, counterpart in zip(branch.paths, later.paths, strict=True):
                of.setdefault(path, []).append(Twin(counterpart, exchange, apart))


def _as_it_is(path: str, value: Any) -> Decision:
    """An attribute as a decision of one option, so that its reading is noted."""
    option = Option(id="as it is", label="as it is", edits=(Edit(path=path, value=value),))
    return Decision(id=path, subject="", question="", options=(option,))


def _branches(house: Installation, decisions: Sequence[Decision]) -> Iterable[_Branch]:
    """The branches with decisions of their own that nothing outside them names."""
    fed = Counter(node.fed_by for nodes in (house.devices, house.circuits) for node in nodes.values())
    values = (edit.value for each in decisions for option in each.options for edit in option.edits)
    named = {board.fed_by for board in house.boards.values()} | {value for value in values if type(value) is str}
    owners = [{_record_of(path) for path in each.paths} for each in decisions]
    for circuit in house.circuits.values():
        if fed[circuit.fed_by] != 1 or circuit.fed_by not in house.devices:
            continue
        records: tuple[Any, ...] = (house.devices[circuit.fed_by], circuit, *house.equipment_on(circuit))
        places = ("devices", "circuits", *["equipment"] * len(records))
        paths = tuple(f"{place}.{each.id}" for place, each in zip(places, records, strict=False))
        own = tuple(number for number, owner in enumerate(owners) if not owner.isdisjoint(paths))
        if own and named.isdisjoint(each.id for each in records) and all(owners[n] <= set(paths) for n in own):
            yield _branch(paths, records, own, [decisions[number] for number in own])


def _record_of(path: str) -> str:
    """The path of the record in which an attribute stands."""
    collection, _, rest = path.partition(".")
    return f"{collection}.{rest.partition('.')[0]}"


def _branch(paths: tuple[str, ...], records: Sequence[Any], own: tuple[int, ...], decisions: list[Decision]) -> _Branch:
    undecided: dict[str, _Place] = {}
    for path in (path for each in decisions for path in each.paths):
        record = _record_of(path)
        undecided[path] = (paths.index(record), path[len(record) + 1 :])
    facts: dict[_Place, Any] = {}
    for number, record in enumerate(records):
        above = {"id", "fed_by" if type(record) is Circuit else "circuit"} if number else {"id"}
        _state(record, (number, ""), [name for place, name in undecided.values() if place == number], above, facts)
    options = [
        [(undecided[edit.path], edit.value) for edit in option.edits] for each in decisions for option in each.options
    ]
    return _Branch(paths, facts, own, [[len(each.options) for each in decisions], options])


def _state(record: Any, at: _Place, undecided: list[str], skipped: set[str], facts: dict[_Place, Any]) -> None:
    """Enter what a record states and no decision sets; a record with something to decide is gone through."""
    number, prefix = at
    within = {name.partition(".")[0] for name in undecided if "." in name}
    apart = within.union(skipped, undecided)
    for name in names(type(record)):
        if name not in apart:
            facts[number, prefix + name] = getattr(record, name)
    for name in sorted(within.difference(skipped, undecided)):
        below = [each.partition(".")[2] for each in undecided if each.startswith(f"{name}.")]
        _state(getattr(record, name), (number, f"{prefix}{name}."), below, set(), facts)
