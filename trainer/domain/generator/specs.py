"""Values that a data file leaves to chance: one of a list, or a range in whole steps."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from trainer.domain.errors import Problem
from trainer.domain.generator.randomness import Draws


@dataclass(frozen=True, slots=True)
class OneOf:
    """One of the values, likely in proportion to its weight."""

    values: tuple[Any, ...]
    weights: tuple[float, ...]

    def draw(self, draws: Draws) -> Any:
        """A drawn value. A single value takes no draw."""
        if len(self.values) == 1:
            return self.values[0]
        return draws.weighted(self.values, self.weights)

    def within(self, accepted: Sequence[Any]) -> OneOf | None:
        """The same with only the accepted values; None when none is left."""
        pairs = [(v, w) for v, w in zip(self.values, self.weights, strict=True) if v in accepted]
        return OneOf(tuple(v for v, _ in pairs), tuple(w for _, w in pairs)) if pairs else None


@dataclass(frozen=True, slots=True)
class Steps:
    """A number from ``low`` to ``high`` in whole steps."""

    low: float
    high: float
    step: float

    def draw(self, draws: Draws) -> float:
        """A drawn value."""
        return draws.stepped(self.low, self.high, self.step)


Spec = OneOf | Steps


def fixed(value: Any) -> OneOf:
    """A value that is not left to chance."""
    return OneOf((value,), (1.0,))


def read_spec(raw: Any, path: str, problems: list[Problem]) -> Spec:
    """A spec from its TOML form: a plain value, ``{from, to, step}`` or ``{one_of, weights}``."""
    if not isinstance(raw, Mapping):
        return fixed(raw)
    keys = set(raw)
    if keys == {"from", "to", "step"}:
        return _steps(raw, path, problems)
    if keys <= {"one_of", "weights"} and "one_of" in keys:
        return _one_of(raw, path, problems)
    problems.append(Problem(path=path, value=str(dict(raw)), problem="needs from, to and step, or one_of and weights"))
    return fixed(None)


def _steps(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> Spec:
    low, high, step = raw["from"], raw["to"], raw["step"]
    if not all(isinstance(part, int | float) for part in (low, high, step)) or low > high or step <= 0:
        problems.append(
            Problem(path=path, value=str(dict(raw)), problem="from must not exceed to, step must be above 0")
        )
        return fixed(None)
    return Steps(float(low), float(high), float(step))


def _one_of(raw: Mapping[str, Any], path: str, problems: list[Problem]) -> Spec:
    values = tuple(raw["one_of"])
    weights = tuple(float(weight) for weight in raw.get("weights", [1] * len(values)))
    if not values or len(values) != len(weights) or min(weights) <= 0:
        problems.append(Problem(path=path, value=str(dict(raw)), problem="needs one weight above 0 for each value"))
        return fixed(None)
    return OneOf(values, weights)


def each_value(spec: Spec) -> Iterator[Any]:
    """The values that a spec can draw, or the ends of its range."""
    if isinstance(spec, OneOf):
        yield from spec.values
    else:
        yield from (spec.low, spec.high)
