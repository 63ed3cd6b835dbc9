"""The learning objectives in words, from the scenario data."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from trainer.resources import folder


@cache
def objectives() -> Mapping[str, str]:
    """What a learner should be able to do, by objective id."""
    data = tomllib.loads((folder("scenarios") / "objectives.toml").read_text("utf-8"))
    return MappingProxyType(dict(data["objectives"]))
