"""What a value is moved over: a range of numbers or a list, out of the words of a command or a form."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from trainer.domain.errors import OutOfRangeError, Problem, unknown
from trainer.domain.installation import Installation
from trainer.services.trying.places import LEFT_OUT, Kind, Place, Value, shown, typed

STEPS_MAXIMUM = 200
_USUAL_STEPS = 12
_TEXT_MAXIMUM = 4000
_NUMBER = re.compile(r"[+-]?(\d{1,12}(\.\d{0,9})?|\.\d{1,9})")
_NICE = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The place to move and the values to move it over, in their order."""

    place: Place
    values: tuple[Value, ...]


def asked_values(house: Installation, place: Place, text: str) -> tuple[Value, ...]:
    """The values in ``FROM:TO:STEP``, ``FROM:TO`` or ``A,B,C``; those that suit the place where nothing is said.

    *Raises* OutOfRangeError.
    """
    given = text.strip()
    if len(given) > _TEXT_MAXIMUM:
        _refuse(place, given, f"longer than {_TEXT_MAXIMUM} characters")
    if not given:
        given = usual_text(place)
    if place.is_number and ":" in given:
        return _over_range(place, given)
    words = [word.strip() for word in given.split(",") if word.strip()]
    values = tuple(dict.fromkeys(_value(house, place, word) for word in words))
    if len(values) > STEPS_MAXIMUM:
        _refuse(place, f"{len(values)} values", f"more than {STEPS_MAXIMUM} values")
    if not values:
        _refuse(place, given, "names no value")
    return tuple(sorted(values, key=_rank)) if place.is_number else values


def usual_text(place: Place) -> str:
    """What suits a place: all words of a list, all rows of a table, else a quarter to four times the present number."""
    if place.choices:
        return ",".join((*place.choices, LEFT_OUT) if place.optional and not place.is_number else place.choices)
    low, high = _usual_range(place)
    step = _nice_step(place, low, high)
    least, most = _plausible(place)
    low = max(least, math.floor(low / step) * step)
    high = min(most, math.ceil(high / step) * step)
    return f"{shown(place, low)}:{shown(place, high)}:{shown(place, step)}"


def _plausible(place: Place) -> tuple[float, float]:
    allowed = place.plausible
    return (allowed.minimum, allowed.maximum) if allowed else (0.0, 100.0)


def _usual_range(place: Place) -> tuple[float, float]:
    """A quarter to four times the present number; the lower part of what is plausible where there is none."""
    least, most = _plausible(place)
    if not isinstance(place.value, int | float) or place.value == 0:
        return least, min(most, max(100 * abs(least), 10.0))
    low, high = sorted((place.value / 4, place.value * 4))
    return max(least, low), min(most, high)


def _nice_step(place: Place, low: float, high: float) -> float:
    rough = max((high - low) / _USUAL_STEPS, 10.0**-place.decimals)
    magnitude = 10.0 ** math.floor(math.log10(rough))
    step = next(each * magnitude for each in _NICE if each * magnitude >= rough * 0.999)
    return max(1.0, math.ceil(step)) if place.kind is Kind.WHOLE else step


def _over_range(place: Place, text: str) -> tuple[Value, ...]:
    parts = [part.strip() for part in text.split(":")]
    if len(parts) not in (2, 3) or not all(_NUMBER.fullmatch(part) for part in parts):
        _refuse(place, text, "must be FROM:TO or FROM:TO:STEP, all of them numbers")
    first, last = float(parts[0]), float(parts[1])
    if first > last:
        _refuse(place, text, "must go from the smaller number to the greater one", nearest=f"{parts[1]}:{parts[0]}")
    step = float(parts[2]) if len(parts) == 3 else _nice_step(place, first, last)
    least = 10.0**-place.decimals
    if step < least:
        _refuse(place, text, f"the step must be at least {least:g} {place.unit}".rstrip(), nearest=f"{least:g}")
    number = math.floor((last - first) / step + 1e-9) + 1
    if number >= STEPS_MAXIMUM:
        wider = _nice_step(place, first, last)
        _refuse(
            place,
            text,
            f"{number} steps; at most {STEPS_MAXIMUM} are possible, the place of a flip is found between them",
            nearest=f"{parts[0]}:{parts[1]}:{shown(place, wider)}",
        )
    values = [_rounded(place, first + count * step) for count in range(number)]
    if values[-1] < _rounded(place, last):
        values.append(_rounded(place, last))
    return tuple(dict.fromkeys(values))


def _rounded(place: Place, value: float) -> float:
    return round(value) if place.kind is Kind.WHOLE else round(value, place.decimals)


def _value(house: Installation, place: Place, word: str) -> Value:
    if word == LEFT_OUT:
        if not place.optional:
            _refuse(place, word, "this value cannot be left out")
        return None
    if not place.is_number:
        if word not in place.choices:
            problem = unknown(f"vary {place.path}", word[:80], place.choices, "value")
            raise OutOfRangeError(problem)
        return typed(house, place, word)
    if not _NUMBER.fullmatch(word):
        _refuse(place, word, "must be a number" + (f" of {place.unit}, without the unit" if place.unit else ""))
    if place.kind is Kind.WHOLE and not float(word).is_integer():
        _refuse(place, word, "must be a whole number", nearest=f"{float(word):.0f}")
    return _rounded(place, float(word))


def _rank(value: Value) -> tuple[bool, float]:
    return (value is None, float(value) if isinstance(value, int | float) else 0.0)


def _refuse(place: Place, value: str, problem: str, nearest: str | None = None) -> None:
    possible = place.choices or ((str(place.plausible),) if place.plausible and place.is_number else ())
    raise OutOfRangeError(
        Problem(path=f"vary {place.path}", value=value[:80], problem=problem, possible=possible, nearest=nearest)
    )
