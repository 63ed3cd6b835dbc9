"""Puts the code of a changed source into the functions of a module that is loaded.

The alternative, a new process that imports everything again, takes twenty times as long.
"""

from __future__ import annotations

import gc
from collections import defaultdict
from collections.abc import Iterable, Iterator
from inspect import CO_OPTIMIZED
from types import CodeType, FunctionType

Place = tuple[str, int]


class NotSwappableError(Exception):
    """The change shows only when the module is imported with it."""


def place(code: CodeType) -> Place:
    """Where the code stands: its name and its first line."""
    return code.co_qualname, code.co_firstlineno


def _inner(code: CodeType) -> list[CodeType]:
    return [each for each in code.co_consts if isinstance(each, CodeType)]


def _runs_at_import(code: CodeType) -> bool:
    """Bodies of modules and classes do; only functions keep their variables by number."""
    return not code.co_flags & CO_OPTIMIZED


def _own_part(code: CodeType) -> object:
    """What a body does but for the functions in it."""
    constants = [each.co_qualname if isinstance(each, CodeType) else each for each in code.co_consts]
    # repr tells 1 from True and from 1.0, which are equal.
    return code.co_code, code.co_names, code.co_varnames, repr(constants)


def _differing(before: CodeType, after: CodeType) -> Iterator[tuple[CodeType, CodeType]]:
    if _runs_at_import(before):
        if _own_part(before) != _own_part(after):
            raise NotSwappableError
    elif before != after:
        yield before, after
    inner, other = _inner(before), _inner(after)
    if [each.co_qualname for each in inner] != [each.co_qualname for each in other]:
        if _runs_at_import(before):
            raise NotSwappableError
        return
    for old, new in zip(inner, other, strict=True):
        yield from _differing(old, new)


def differing(before: str, after: str) -> list[tuple[Place, CodeType]]:
    """The functions whose code differs, with the code after.

    Raises: NotSwappableError where a body that runs at import differs.
    """
    try:
        pairs = list(_differing(compile(before, "before", "exec"), compile(after, "after", "exec")))
    except SyntaxError as error:
        raise NotSwappableError from error
    return [(place(old), new) for old, new in pairs]


def living(files: Iterable[str]) -> dict[str, dict[Place, list[FunctionType]]]:
    """The functions of each file that exist now, those in closures too, by their places."""
    wanted = set(files)
    found: dict[str, dict[Place, list[FunctionType]]] = defaultdict(lambda: defaultdict(list))
    for each in gc.get_objects():
        if isinstance(each, FunctionType) and each.__code__.co_filename in wanted:
            found[each.__code__.co_filename][place(each.__code__)].append(each)
    return found


def swap(functions: dict[Place, list[FunctionType]], parts: Iterable[tuple[Place, CodeType]]) -> None:
    """Give the functions the code; what is made while the code runs needs nothing.

    Raises: NotSwappableError where a function reaches other variables around it than before.
    """
    for where, code in parts:
        for function in functions.get(where, ()):
            try:
                function.__code__ = code
            except ValueError as error:
                raise NotSwappableError from error
