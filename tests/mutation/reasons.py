"""Changes that no test notices although somebody looked at each: why nothing could notice, kept in reasons.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("reasons.toml")

Key = tuple[str, str, str]
"""A module, what its line said before and what it says after the change."""


@cache
def reasons() -> dict[Key, str]:
    """Why each change cannot be noticed."""
    groups = tomllib.loads(FILE.read_text("utf-8"))["reason"]
    return {(module, before, after): group["why"] for group in groups for module, before, after in group["changes"]}


def gone(root: Path, modules: Iterable[str]) -> list[Key]:
    """Reasons for lines that the modules no longer have."""
    texts = {module: " ".join((root / module).read_text("utf-8").split()) for module in modules}
    return [key for key in reasons() if key[0] in texts and " ".join(key[1].split()) not in texts[key[0]]]
