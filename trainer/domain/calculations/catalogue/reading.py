"""The parameters of a calculation, read from text: every problem at once."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from trainer.domain.calculations.catalogue.shape import Pairs, Parameter
from trainer.domain.errors import OutOfRangeError, Problem, UnknownNameError, unknown

_LARGEST = 1e6


def read_values(
    parameters: Sequence[Parameter], given: Mapping[str, str | Sequence[str]]
) -> dict[str, float | str | Pairs]:
    """The values by the names of their parameters; texts may be given by name or by short name.

    *Raises* UnknownNameError or OutOfRangeError with every problem.
    """
    by_word = {each.short: each for each in parameters} | {each.name: each for each in parameters}
    strangers = [unknown(word, word, by_word, "parameter") for word in given if word not in by_word]
    if strangers:
        raise UnknownNameError(*strangers)
    texts = {by_word[word].name: text for word, text in given.items()}
    values: dict[str, float | str | Pairs] = {}
    problems: list[Problem] = []
    for parameter in parameters:
        text = texts.get(parameter.name)
        if not text:
            if parameter.required:
                problems.append(Problem(path=parameter.short, problem=f"is needed: {parameter.label}"))
            continue
        found = _read(parameter, text)
        if isinstance(found, list):
            problems.extend(found)
        else:
            values[parameter.name] = found
    if problems:
        raise OutOfRangeError(*problems)
    return values


def _read(parameter: Parameter, text: str | Sequence[str]) -> float | str | Pairs | list[Problem]:
    if parameter.many:
        return _pairs(parameter, [text] if isinstance(text, str) else text)
    if not isinstance(text, str):
        return [Problem(path=parameter.short, problem="may be given once only")]
    found = _word(parameter, text) if parameter.choices else _number(parameter, text)
    return [found] if isinstance(found, Problem) else found


def _word(parameter: Parameter, text: str) -> str | Problem:
    for choice in parameter.choices:
        if text.casefold() == choice.casefold():
            return choice
    return unknown(parameter.short, text, parameter.choices, parameter.short)


def _number(parameter: Parameter, text: str) -> float | Problem:
    try:
        value = float(text)
    except ValueError:
        return Problem(path=parameter.short, value=text, problem=f"needs a number{_in_unit(parameter)}")
    least = parameter.minimum
    if not math.isfinite(value) or abs(value) > _LARGEST:
        return Problem(path=parameter.short, value=text, problem="is too large for this calculation")
    if least is not None and value < least:
        problem = f"must not be below {least:g} {parameter.unit}".rstrip()
        return Problem(path=parameter.short, value=text, problem=problem)
    if parameter.maximum is not None and value > parameter.maximum:
        problem = f"must not be above {parameter.maximum:g} {parameter.unit}".rstrip()
        return Problem(path=parameter.short, value=text, problem=problem)
    if parameter.whole and not value.is_integer():
        return Problem(path=parameter.short, value=text, problem="is counted: a whole number is needed")
    return value


def _in_unit(parameter: Parameter) -> str:
    return f" in {parameter.unit}" if parameter.unit else ""


def _pairs(parameter: Parameter, texts: Sequence[str]) -> Pairs | list[Problem]:
    pairs: list[tuple[str, float]] = []
    problems: list[Problem] = []
    for text in texts:
        kind, equals, amount = text.partition("=")
        found = _word(parameter, kind)
        value = (
            _number(parameter, amount)
            if equals
            else Problem(
                path=parameter.short, value=text, problem="needs the form KIND=NUMBER", possible=parameter.choices
            )
        )
        if isinstance(found, Problem) or isinstance(value, Problem):
            problems += [each for each in (found if equals else None, value) if isinstance(each, Problem)]
        else:
            pairs.append((found, value))
    return problems or tuple(pairs)
