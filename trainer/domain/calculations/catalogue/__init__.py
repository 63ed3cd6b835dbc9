"""Calculations that can be asked for one by one, by name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from trainer.domain.calculations.catalogue import cable_entries, loop_entries, source_entries
from trainer.domain.calculations.catalogue.reading import read_values
from trainer.domain.calculations.catalogue.shape import Calculation, Parameter, Result, SourcedTerm
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.errors import OutOfRangeError, Problem, UnknownNameError, unknown
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition

__all__ = ["CATALOGUE", "Calculation", "Parameter", "Result", "SourcedTerm", "calculate", "calculation_of"]

CATALOGUE: Final[Mapping[str, Calculation]] = MappingProxyType(
    {each.name: each for each in (*loop_entries.ENTRIES, *cable_entries.ENTRIES, *source_entries.ENTRIES)}
)


def calculation_of(name: str) -> Calculation:
    """The calculation of that name. *Raises* UnknownNameError."""
    found = CATALOGUE.get(name)
    if found is None:
        raise UnknownNameError(unknown("calculation", name, CATALOGUE, "calculation"))
    return found


def calculate(name: str, given: Mapping[str, str | Sequence[str]], edition: Edition = DEFAULT_EDITION) -> Result:
    """The result of a calculation from its parameters as text, by their names.

    *Raises* UnknownNameError for the calculation or a parameter, OutOfRangeError with every value
    that cannot be used, also where the tables do not reach.
    """
    calculation = calculation_of(name)
    values = read_values(calculation.parameters, given)
    try:
        return calculation.compute(values, limits_for(edition))
    except MissingFactError as gap:
        raise OutOfRangeError(*(_beyond_the_tables(path, calculation, values) for path in gap.paths)) from gap


def _beyond_the_tables(path: str, calculation: Calculation, values: Mapping[str, object]) -> Problem:
    """The fact that is missing, as the parameter from which it is made."""
    name = path.rpartition(".")[2].replace("type", "cable")
    value = values.get(name)
    known = next((each for each in calculation.parameters if each.name == name), None)
    if value is None:
        return Problem(path=known.short if known else name, problem="is needed here")
    shown = value if isinstance(value, str | float) else str(value)
    problem = "lies outside the tables that this calculation reads"
    return Problem(path=known.short if known else name, value=shown, problem=problem)
