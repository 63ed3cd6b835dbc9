"""An installation with open decisions: what a rule reads of them is noted as it is read.

Rules are plain functions; nothing tells beforehand which decisions one of them depends on. Here a
rule is run on a house whose open attributes have no value. The first time it reads one, the house
puts an option in and notes the decision. So a rule's dependence is found exactly, by reading, and
a rule needs no second description that could be wrong.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from trainer.domain.answers.decisions import Decision, names
from trainer.domain.installation import REFERENCES, Installation, Tree

_put = object.__setattr__
"""Sets an attribute of a frozen record."""


_OPEN_CLASSES: dict[type[Any], type[Any]] = {}


def _open_class(record_class: type[Any]) -> type[Any]:
    """A subclass of a record whose unset attributes are put in, and noted, when read."""
    known = _OPEN_CLASSES.get(record_class)
    if known is None:
        known = _OPEN_CLASSES[record_class] = _made_open(record_class)
    return known


def _made_open(record_class: type[Any]) -> type[Any]:

    def read_unset(self: Any, name: str) -> Any:
        place = self._open_decisions.get(name)
        if place is None:
            raise AttributeError(name)
        value = self._on_read(*place)
        _put(self, name, value)
        return value

    return type(
        f"Open{record_class.__name__}",
        (record_class,),
        {"__slots__": ("_on_read", "_open_decisions"), "__getattr__": read_unset},
    )


class OpenHouse:
    """A house in which decisions are put in as they are read, and can be changed and released in place.

    ``installation`` is always the same value to the rules, and open where nothing was read.
    ``read`` lists the decisions read and not released, in that order; ``ever_read`` all since it was
    last cleared. ``first`` holds the option that each decision takes when it is read. Of what a decision
    sets only that is put in which is read, so that options can be told alike. Raises
    AttributeError at construction when a decision sets a path that does not exist.
    """

    def __init__(self, house: Installation, decisions: Sequence[Decision], first: Sequence[int] = ()) -> None:
        self.read: list[int] = []
        self._memory: dict[Any, Any] = {}
        self._known_before: list[int] = []
        self.ever_read: set[int] = set()
        self.sizes = [len(each.options) for each in decisions]
        self._first = first or [0] * len(decisions)
        places: list[list[tuple[Any, str]]] = []
        tree: dict[str, Any] = {}
        for number, decision in enumerate(decisions):
            paths = decision.paths
            for position, path in enumerate(paths):
                _plant(tree, path.split("."), (number, position))
            places.append([(None, "")] * len(paths))
        self._places = places
        self._moving = [any(path.rpartition(".")[2] in REFERENCES for path in each.paths) for each in decisions]
        self._tree_before: dict[int, Tree] = {}
        self.installation: Installation = self._open(house, tree)
        _put(self.installation, "_memory", self._memory)
        _put(self.installation, "_tree", Tree())
        self._values = [[tuple(edit.value for edit in option.edits) for option in each.options] for each in decisions]
        self._taken: list[int | None] = [None] * len(decisions)
        self._seen: list[list[int]] = [[] for _ in decisions]
        self._firsts: dict[tuple[int, tuple[int, ...]], list[int | None]] = {}

    def _open(self, record: Any, tree: Mapping[str, Any]) -> Any:
        """A copy of a record in which the leaves of ``tree`` are unset."""
        copy = object.__new__(_open_class(type(record)))
        decisions: dict[str, tuple[int, int]] = {}
        known = names(type(record))
        for name in tree:
            if name not in known:
                raise AttributeError(f"{type(record).__name__} has no {name}")
        for name in known:
            below = tree.get(name)
            if isinstance(below, tuple):
                number, position = below
                decisions[name] = below
                self._places[number][position] = (copy, name)
                continue
            value = getattr(record, name)
            if below is not None:
                value = self._open_member(value, below, name)
            _put(copy, name, value)
        _put(copy, "_open_decisions", decisions)
        _put(copy, "_on_read", self._on_read)
        return copy

    def _open_member(self, value: Any, tree: Mapping[str, Any], name: str) -> Any:
        if not isinstance(value, Mapping):
            return self._open(value, tree)
        for key in tree:
            if key not in value:
                raise AttributeError(f"{name} has no {key}")
        return {key: self._open(record, tree[key]) if key in tree else record for key, record in value.items()}

    def _on_read(self, decision: int, position: int) -> Any:
        """One of the values that a decision sets, which is noted; nothing remembered can depend on it yet."""
        option = self._taken[decision]
        if option is None:
            option = self._taken[decision] = self._first[decision]
            self.read.append(decision)
            self.ever_read.add(decision)
            self._known_before.append(len(self._memory))
            if self._moving[decision]:
                self._keep_tree(decision)
        self._seen[decision].append(position)
        return self._values[decision][option][position]

    def _keep_tree(self, decision: int) -> None:
        """Fill a tree apart from now on: what is found out about it may depend on a decision that makes it."""
        before = self._tree_before[decision] = self.installation._tree  # noqa: SLF001 - put aside, as the memory is
        _put(self.installation, "_tree", before.copy())

    @property
    def taken(self) -> tuple[int | None, ...]:
        """The option of each decision that was read; None of the others."""
        return tuple(self._taken)

    def alike(self, option: int) -> int | None:
        """An earlier option of the decision that was read last, if the two differ in nothing that was read of it."""
        decision = self.read[-1]
        key = (decision, tuple(self._seen[decision]))
        firsts = self._firsts.get(key)
        if firsts is None:
            firsts = self._firsts[key] = _firsts(self._values[decision], key[1])
        return firsts[option]

    def change(self, option: int) -> None:
        """Put in another option of the decision that was read last, and drop what was remembered since.

        A dictionary keeps the order of its entries, so the latest are those that may depend on it.
        """
        decision = self.read[-1]
        self._taken[decision] = option
        places, values = self._places[decision], self._values[decision][option]
        for position in self._seen[decision]:
            record, name = places[position]
            _put(record, name, values[position])
        if self._moving[decision]:
            _put(self.installation, "_tree", self._tree_before[decision].copy())
        memory, known = self._memory, self._known_before[-1]
        while len(memory) > known:
            memory.popitem()

    def release(self) -> None:
        """Leave the decision that was read last open again."""
        self._leave(self.read.pop())
        memory, known = self._memory, self._known_before.pop()
        while len(memory) > known:
            memory.popitem()

    def _leave(self, decision: int) -> None:
        """Take out what was put in of a decision."""
        places, seen = self._places[decision], self._seen[decision]
        for position in seen:
            record, name = places[position]
            object.__delattr__(record, name)
        seen.clear()
        self._taken[decision] = None
        if self._moving[decision]:
            _put(self.installation, "_tree", self._tree_before.pop(decision))

    def release_all(self) -> None:
        """Leave every decision open again."""
        if not self.read:
            return
        for decision in reversed(self.read):
            self._leave(decision)
        self.read.clear()
        memory, known = self._memory, self._known_before[0]
        self._known_before.clear()
        while len(memory) > known:
            memory.popitem()


def _firsts(values: Sequence[Sequence[Any]], seen: Sequence[int]) -> list[int | None]:
    """For each option the first of the earlier ones that agrees with it, down to the type, in what was seen."""
    firsts: list[int | None] = []
    for own in values:
        earlier = (
            number
            for number, other in enumerate(values[: len(firsts)])
            if all(type(other[each]) is type(own[each]) and other[each] == own[each] for each in seen)
        )
        firsts.append(next(earlier, None))
    return firsts


def _plant(tree: dict[str, Any], parts: list[str], leaf: tuple[int, int]) -> None:
    """Put a leaf at a path of a nested dictionary."""
    for part in parts[:-1]:
        tree = tree.setdefault(part, {})
    if parts[-1] in tree:
        raise AttributeError(f"two decisions set {'.'.join(parts)}")
    tree[parts[-1]] = leaf
