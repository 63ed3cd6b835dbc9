"""The format of installations as a listing for people: one line for each field."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from trainer.interop.schema import installation_schema


def schema_text() -> str:
    """Every table of the format with its fields: name, what it takes, whether it is required."""
    schema = installation_schema()
    tables = {"(top of the file)": schema}
    words: dict[str, Any] = {}
    for name, definition in schema["$defs"].items():
        (tables if "properties" in definition else words)[name] = definition
    lines: list[str] = []
    for name, table in tables.items():
        lines.extend([name, f"  {table['description']}", *_fields(table, words), ""])
    return "\n".join(lines)


def _fields(table: dict[str, Any], words: dict[str, Any]) -> Iterator[str]:
    for name, field in table["properties"].items():
        required = ", required" if name in table["required"] else ""
        yield f"    {name}: {_takes(field, words)}{required}"


def _takes(field: dict[str, Any], words: dict[str, Any]) -> str:
    shape = field["anyOf"][0] if "anyOf" in field else field
    if "$ref" in shape:
        target = shape["$ref"].rpartition("/")[2]
        return " | ".join(words[target]["enum"]) if target in words else f"table {target}"
    if "enum" in shape:
        return " | ".join(str(each) for each in shape["enum"])
    if "const" in shape:
        return str(shape["const"])
    if shape["type"] == "array":
        return f"list of {_takes(shape['items'], words)}"
    if "minimum" in shape:
        return f"{shape['type']}, {shape['minimum']:g} to {shape['maximum']:g}"
    return str(shape["type"])
