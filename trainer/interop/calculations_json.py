"""One calculation as the object that ``trainer calc`` prints for machines."""

from __future__ import annotations

from typing import Any, Final

from trainer.domain.calculations.catalogue import CATALOGUE, Calculation, Result
from trainer.domain.vocabulary import Edition
from trainer.interop.findings_json import citation_json

FORMAT: Final = "protection-trainer/calculation"
FORMAT_VERSION: Final = 1


def calculation_json(calculation: Calculation, result: Result, edition: Edition, caution: str) -> dict[str, Any]:
    """The value with its formula, its terms and their sources, and the limit where there is one."""
    return {
        "format": FORMAT,
        "format_version": FORMAT_VERSION,
        "edition": edition.value,
        "calculation": calculation.name,
        "value": result.value,
        "unit": result.unit,
        "formula": calculation.formula,
        "terms": [
            {"name": term.name, "value": term.value, "unit": term.unit, "source": term.source} for term in result.terms
        ],
        "limit": result.limit,
        "outcome": None if result.outcome is None else result.outcome.value,
        "citation": citation_json(result.citation),
        "caution": caution,
    }


def catalogue_json() -> dict[str, Any]:
    """Every calculation with its parameters."""
    return {
        "format": "protection-trainer/calculations",
        "format_version": FORMAT_VERSION,
        "calculations": [
            {
                "name": each.name,
                "title": each.title,
                "formula": each.formula,
                "parameters": [
                    {
                        "name": parameter.name,
                        "short": parameter.short,
                        "label": parameter.label,
                        "unit": parameter.unit,
                        "required": parameter.required,
                        "many": parameter.many,
                        "choices": list(parameter.choices),
                    }
                    for parameter in each.parameters
                ],
            }
            for each in CATALOGUE.values()
        ],
    }
