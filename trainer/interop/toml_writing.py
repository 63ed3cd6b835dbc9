"""An installation as a TOML file that a person can read and change."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from trainer.domain.installation import Installation
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.interop.canonical import rounded
from trainer.interop.installations import installation_to_json


def installation_to_toml(house: Installation, edition: Edition = DEFAULT_EDITION, comment: str = "") -> str:
    """The installation as TOML; each line of the comment stands at the top behind a #."""
    data = rounded(installation_to_json(house, edition))
    lines = [f"# {line}".rstrip() for line in comment.splitlines()]
    return "\n".join([*lines, *_table(data)]) + "\n"


def _table(data: Any, name: str = "") -> Iterator[str]:
    """The plain values of a table first, then its tables, as TOML wants it."""
    tables: list[tuple[str, Any]] = []
    for key, value in data.items():
        if isinstance(value, dict) or (isinstance(value, list) and value and isinstance(value[0], dict)):
            tables.append((f"{name}.{key}" if name else key, value))
        else:
            yield f"{key} = {_value(value)}"
    for path, value in tables:
        for item in value if isinstance(value, list) else [value]:
            yield ""
            yield f"[[{path}]]" if isinstance(value, list) else f"[{path}]"
            yield from _table(item, path)


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, list):
        return f"[{', '.join(_value(item) for item in value)}]"
    return repr(value)
