"""JSON Schema (2020-12) of the file formats, made from the records that the program reads into."""

from __future__ import annotations

import dataclasses
import inspect
import re
from enum import StrEnum
from typing import Any, Final, get_args, get_origin

from trainer.domain.installation import Installation
from trainer.domain.validation.keywords import KEYWORDS, NOTICES
from trainer.domain.validation.plausible import range_of
from trainer.domain.validation.units import name_and_unit
from trainer.domain.validation.values import ID_PATTERN, TEXT_MAXIMUM
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.interop.installations import FORMAT, FORMAT_VERSION
from trainer.interop.reading import RECORDS_MAXIMUM, fields_of, hints_of, is_required, without_none

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"
_DESCRIPTION: Final = (
    "One electrical installation. What is left out is unknown or has the default named here; "
    "a rule that needs something unknown answers undetermined. The tree is held by references: "
    "a circuit is fed by a device, a device by a device of its board or by the board itself, "
    "a board by the supply or by a circuit."
)
_MARKUP: Final = re.compile(r"``([^`]*)``")


def installation_schema() -> dict[str, Any]:
    """The schema of a file of an installation."""
    definitions: dict[str, Any] = {}
    body = _record(Installation, definitions)
    head = {
        "format": {"const": FORMAT},
        "format_version": {"const": FORMAT_VERSION},
        "edition": {
            "description": "The edition to judge under.",
            "default": DEFAULT_EDITION.value,
            "enum": [edition.value for edition in Edition],
        },
    }
    return {
        "$schema": DIALECT,
        "title": FORMAT,
        **body,
        "description": _DESCRIPTION,
        "properties": {**head, **body["properties"]},
        "required": ["format", "format_version", *body["required"]],
        "$defs": dict(sorted(definitions.items())),
    }


def described(record: type) -> str:
    """The docstring of a record as one paragraph of plain text."""
    words = (inspect.getdoc(record) or "").split()
    return _MARKUP.sub(r"\1", " ".join(words))


def label_of(name: str) -> str:
    """The name of a field in words, its unit in brackets: ``tails length (m)``."""
    bare, unit = name_and_unit(name)
    if unit is None or not unit.sign:
        return name.replace("_", " ")
    return f"{bare.replace('_', ' ')} ({unit.sign})"


def _record(record: type, definitions: dict[str, Any]) -> dict[str, Any]:
    properties: dict[str, Any] = {}
    for field in fields_of(record):
        hint, optional = without_none(hints_of(record)[field.name])
        schema = _value(hint, record, field.name, definitions)
        if optional:
            schema = {"anyOf": [schema, {"type": "null"}]}
        if isinstance(field.default, bool | int | float | str):
            schema = {**schema, "default": field.default}
        properties[field.name] = {"title": label_of(field.name), **schema}
    return {
        "type": "object",
        "description": described(record),
        "properties": properties,
        "required": [field.name for field in fields_of(record) if is_required(record, field)],
        "additionalProperties": False,
    }


def _value(hint: Any, record: type, name: str, definitions: dict[str, Any]) -> dict[str, Any]:
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return _reference(hint, definitions)
    if get_origin(hint) is frozenset:
        return {"type": "array", "items": {"enum": list(NOTICES)}, "uniqueItems": True}
    if get_origin(hint) is not None:
        items = _reference(get_args(hint)[1], definitions)
        return {"type": "array", "items": items, "maxItems": RECORDS_MAXIMUM}
    if issubclass(hint, StrEnum):
        if hint.__name__ not in definitions:
            words = [word.value for word in hint]
            definitions[hint.__name__] = {"description": described(hint), "enum": words}
        return {"$ref": f"#/$defs/{hint.__name__}"}
    return _plain(hint, record, name)


def _reference(record: type, definitions: dict[str, Any]) -> dict[str, Any]:
    if record.__name__ not in definitions:
        definitions[record.__name__] = {}
        definitions[record.__name__] = _record(record, definitions)
    return {"$ref": f"#/$defs/{record.__name__}"}


def _plain(hint: type, record: type, name: str) -> dict[str, Any]:
    if hint is bool:
        return {"type": "boolean"}
    if hint is str:
        words = KEYWORDS.get((record.__name__, name))
        if words is not None:
            return {"enum": [str(word) for word in words]}
        return {
            "type": "string",
            **({"pattern": f"^{ID_PATTERN.pattern}$"} if name == "id" else {"maxLength": TEXT_MAXIMUM}),
        }
    if name == "phases":
        return {"enum": [1, 3]}
    allowed = range_of(name)
    lowest = min(0.0, allowed.minimum) if allowed.zero else allowed.minimum
    return {"type": "integer" if hint is int else "number", "minimum": lowest, "maximum": allowed.maximum}
