"""An installation with open decisions: reading an attribute that nobody has chosen yet raises.

Rules are plain functions; nothing tells beforehand which decisions one of them depends on. Here a
rule is run on a house whose open attributes have no value. The first one it reads raises
``NeedsDecision``; the solver chooses an option and runs the rule again. So a rule's dependence is
found exactly, by reading, and a rule needs no second description that could be wrong.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any

from trainer.domain.answers.decisions import Decision
from trainer.domain.installation import Installation


class NeedsDecision(BaseException):
    """Raised when an attribute is read that an open decision sets.

    Not an Exception, so that no handler in a rule can take it for an error of its own.
    """

    def __init__(self, decision: int) -> None:
        self.decision = decision
        super().__init__(decision)


_OPEN_CLASSES: dict[type[Any], type[Any]] = {}


def _open_class(record_class: type[Any]) -> type[Any]:
    """A subclass of a record whose unset attributes raise NeedsDecision when read."""
    if record_class not in _OPEN_CLASSES:

        def read_unset(self: Any, name: str) -> Any:
            decision = self._open_decisions.get(name)
            if decision is None:
                raise AttributeError(name)
            raise NeedsDecision(decision)

        _OPEN_CLASSES[record_class] = type(
            f"Open{record_class.__name__}",
            (record_class,),
            {"__slots__": ("_open_decisions",), "__getattr__": read_unset},
        )
    return _OPEN_CLASSES[record_class]


_STRUCTURE = frozenset({"fed_by", "circuit", "board"})


class OpenHouse:
    """A house in which decisions can be chosen and released in place.

    ``installation`` is always the same value to the rules, and open where nothing is chosen.
    Raises AttributeError at construction when a decision sets a path that does not exist.
    """

    def __init__(self, house: Installation, decisions: Sequence[Decision]) -> None:
        self._slots: list[list[tuple[Any, str]]] = [[] for _ in decisions]
        self._values = [[[edit.value for edit in option.edits] for option in each.options] for each in decisions]
        tree: dict[str, Any] = {}
        structural: list[bool] = []
        for number, decision in enumerate(decisions):
            for position, path in enumerate(decision.paths):
                _plant(tree, path.split("."), (number, position))
            last = {path.rpartition(".")[2] for path in decision.paths}
            structural.append(bool(last & _STRUCTURE))
            self._slots[number] = [(None, "")] * len(decision.paths)
        self._structural = structural
        self.installation: Installation = self._open(house, tree)

    def _open(self, record: Any, tree: Mapping[str, Any]) -> Any:
        """A copy of a record in which the leaves of ``tree`` are unset."""
        copy = object.__new__(_open_class(type(record)))
        decisions: dict[str, int] = {}
        names = {each.name for each in fields(record)}
        for name in tree:
            if name not in names:
                raise AttributeError(f"{type(record).__name__} has no {name}")
        for name in names:
            below = tree.get(name)
            if isinstance(below, tuple):
                number, position = below
                decisions[name] = number
                self._slots[number][position] = (copy, name)
                continue
            value = {} if name == "_memory" else getattr(record, name)
            if below is not None:
                value = self._open_member(value, below, name)
            object.__setattr__(copy, name, value)
        object.__setattr__(copy, "_open_decisions", decisions)
        return copy

    def _open_member(self, value: Any, tree: Mapping[str, Any], name: str) -> Any:
        if not isinstance(value, Mapping):
            return self._open(value, tree)
        for key in tree:
            if key not in value:
                raise AttributeError(f"{name} has no {key}")
        return {key: self._open(record, tree[key]) if key in tree else record for key, record in value.items()}

    def choose(self, decision: int, option: int) -> None:
        """Set what an option sets."""
        for (record, name), value in zip(self._slots[decision], self._values[decision][option], strict=True):
            object.__setattr__(record, name, value)
        if self._structural[decision]:
            self.installation.forget()

    def release(self, decision: int) -> None:
        """Leave a decision open again."""
        for record, name in self._slots[decision]:
            object.__delattr__(record, name)
        if self._structural[decision]:
            self.installation.forget()


def _plant(tree: dict[str, Any], parts: list[str], leaf: tuple[int, int]) -> None:
    """Put a leaf at a path of a nested dictionary."""
    for part in parts[:-1]:
        tree = tree.setdefault(part, {})
    if parts[-1] in tree:
        raise AttributeError(f"two decisions set {'.'.join(parts)}")
    tree[parts[-1]] = leaf
