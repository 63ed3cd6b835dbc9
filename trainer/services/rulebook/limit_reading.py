"""Which limits each rule reads, worked out from the text of the rule and of all that it calls."""

from __future__ import annotations

import ast
import inspect
import sys
import textwrap
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields
from functools import cache
from typing import Any, get_type_hints

from trainer.domain.cables import Cable, Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Charger, Equipment, Source
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Rule
from trainer.domain.supply import Earthing, Supply

_CALLED_IN = "trainer.domain."
_NOT_FOLLOWED = tuple(f"{_CALLED_IN}{name}" for name in ("limits", "findings", "vocabulary", "citations", "errors"))
_RECORDS = (Installation, Supply, Earthing, Board, Device, Circuit, Cable, Equipment, Charger, Source)
_ON_LIMITS = {"least_type": "residual.least_type_rank", "is_listed": "residual.listed_standards"}
"""What is asked of a group itself, and the values behind it."""


def limits_read(rule: Rule) -> tuple[str, ...]:
    """The paths of the limits that the code of a rule can reach, in the order of their names."""
    found: set[str] = set()
    _follow(rule.judge, set(), found)
    return tuple(sorted(found))


def _follow(function: Callable[..., Any], seen: set[object], found: set[str]) -> None:
    function = inspect.unwrap(function)
    if function in seen:
        return
    seen.add(function)
    named, reached = _read(function)
    found.update(named)
    for called in reached:
        _follow(called, seen, found)


@cache
def _read(function: Callable[..., Any]) -> tuple[tuple[str, ...], tuple[Callable[..., Any], ...]]:
    """The limits that the text of one function names, and the functions that it may call."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(function)))
    reached = (*_reached(tree, vars(sys.modules[function.__module__])), *_enclosed(function))
    return tuple(_named(tree)), reached


def _named(tree: ast.AST) -> Iterator[str]:
    """The limits whose names stand in a piece of code."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute):
            if node.attr in _ON_LIMITS:
                yield _ON_LIMITS[node.attr]
            groups = _groups_by_field().get(node.attr, ())
            holder = ast.unparse(node.value).rpartition(".")[2]
            certain = len(groups) == 1 and node.attr not in _unclear_names()
            yield from (f"{group}.{node.attr}" for group in groups if certain or group == holder)


@cache
def _unclear_names() -> frozenset[str]:
    """Names that do not tell a limit by themselves: attributes of records, and groups of limits."""
    return frozenset(field.name for record in (*_RECORDS, Limits) for field in fields(record))


@cache
def _groups_by_field() -> Mapping[str, tuple[str, ...]]:
    """The groups of limits that have a field of a name."""
    hints = {name: kind for name, kind in get_type_hints(Limits).items() if name != "edition"}
    found: dict[str, tuple[str, ...]] = {}
    for group, kind in hints.items():
        for field in fields(kind):
            found[field.name] = (*found.get(field.name, ()), group)
    return found


def _reached(tree: ast.AST, names: Mapping[str, Any]) -> Iterator[Callable[..., Any]]:
    """The functions of rules and calculations that a piece of code names, also through tables of functions."""
    for node in ast.walk(tree):
        value = names.get(node.id) if isinstance(node, ast.Name) else None
        for each in value.values() if isinstance(value, dict) else (value,):
            module = getattr(each, "__module__", None) or ""
            followed = module.startswith(_CALLED_IN) and not module.startswith(_NOT_FOLLOWED)
            if followed and callable(each) and _has_text(each):
                yield each


def _enclosed(function: Callable[..., Any]) -> Iterator[Callable[..., Any]]:
    """The functions that a function was made round, as by a decorator that remembers."""
    for cell in getattr(function, "__closure__", None) or ():
        if inspect.isfunction(cell.cell_contents):
            yield cell.cell_contents


def _has_text(value: Callable[..., Any]) -> bool:
    return inspect.isfunction(inspect.unwrap(value)) or inspect.isclass(value)
