"""What the bench was asked: an installation from one of three places, a value to move, rules."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import groupby

from flask_babel import gettext
from werkzeug.datastructures import MultiDict

from trainer.domain.errors import OutOfRangeError, Problem, TrainerError, UnknownNameError, unknown
from trainer.domain.generator.reading import LEVELS
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Edition
from trainer.interop.installations import InstallationFile, read_installation
from trainer.resources import folder
from trainer.services.rulebook.rules import rule_of
from trainer.services.trying.installations import house_of_seed
from trainer.services.trying.places import Place, Value, place_of, places, shown
from trainer.services.trying.values import asked_values, usual_text

FIRST_EXAMPLE = "detached-house-four-sources"
_FIRST_PLACES = ("circuits.charger.cable.length_m", "supply.external_earth_fault_loop_impedance_ohm")

_RECORDS_JUDGED = 2500
_STEPS_ALWAYS = 25

Form = Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """The installation that is tried, where it came from, and the edition it is judged under."""

    house: Installation
    edition: Edition
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The value that moves, over which values, judged by which rules; ``first``, ``last`` and ``step`` as written."""

    place: Place
    values: tuple[Value, ...]
    rules: tuple[Rule, ...]
    first: str
    last: str
    step: str

    @property
    def chosen(self) -> frozenset[str]:
        """The words of a list that were chosen, as they are written."""
        return frozenset(shown(self.place, value) for value in self.values)


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """The values of one record."""

    name: str
    places: tuple[tuple[str, Place], ...]


def bench_of(form: Form) -> tuple[Bench | None, tuple[Problem, ...]]:
    """The installation that a form names, or why it cannot be used."""
    try:
        return _named(form), ()
    except TrainerError as error:
        return None, error.problems


def _named(form: Form) -> Bench:
    text, seed = form.get("text", ""), form.get("seed", "").strip()
    if text.strip():
        read = read_installation(text.encode("utf-8", "replace"))
        return Bench(house=read.installation, edition=read.edition, source="text")
    if seed:
        house, edition = house_of_seed(_whole("seed", seed), _whole("level", form.get("level", "") or str(LEVELS[0])))
        return Bench(house=house, edition=edition, source="seed")
    name = form.get("example") or FIRST_EXAMPLE
    if name not in examples():
        raise UnknownNameError(unknown("example", name[:80], examples(), "example"))
    example = examples()[name]
    return Bench(house=example.installation, edition=example.edition, source="example")


def _whole(name: str, text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > 19:
        raise OutOfRangeError(Problem(path=name, value=text[:40], problem=gettext("must be a whole number")))
    return int(text)


@cache
def examples() -> Mapping[str, InstallationFile]:
    """The worked examples that come with the program, by the names of their files."""
    files = sorted((folder("scenarios") / "examples").glob("*.toml"))
    return {file.stem: read_installation(file.read_bytes()) for file in files}


def asked_of(form: Form, bench: Bench) -> Asked:
    """What is to be moved. *Raises* TrainerError.

    Values are kept only for the path that they were written for: after a change of path they
    are those that suit it.
    """
    place = place_of(bench.house, form.get("path") or _first_path(bench.house))
    fresh = form.get("for", place.path) != place.path
    text = "" if fresh else _text(form, place)
    values = asked_values(bench.house, place, text)
    first, _, rest = (text or usual_text(place)).partition(":")
    last, _, step = rest.partition(":")
    _refuse_too_much(bench.house, place, len(values))
    rule_id = form.get("rule", "")
    return Asked(
        place=place,
        values=values,
        rules=(rule_of(rule_id),) if rule_id else ALL_RULES,
        first=first,
        last=last,
        step=step,
    )


def _refuse_too_much(house: Installation, place: Place, steps: int) -> None:
    """Keep one page within about a second. *Raises* OutOfRangeError."""
    records = len(house.devices) + len(house.circuits) + len(house.equipment)
    most = max(_STEPS_ALWAYS, _RECORDS_JUDGED // max(1, records))
    if steps > most:
        problem = gettext(
            "too many steps for a page and an installation of this size; take fewer, or the command trainer flip"
        )
        possible = (gettext("at most %(count)s", count=most),)
        raise OutOfRangeError(Problem(path=f"vary {place.path}", value=steps, problem=problem, possible=possible))


def _first_path(house: Installation) -> str:
    known = {each.path for each in places(house)}
    return next((path for path in _FIRST_PLACES if path in known), "stated_maximum_demand_a")


def _text(form: Form, place: Place) -> str:
    """The values of a form in the words that a command would take."""
    if form.get("values"):
        return form["values"]
    if place.choices:
        return ",".join(form.getlist("value") if isinstance(form, MultiDict) else ())
    parts = [form.get(name, "").strip() for name in ("from", "to", "step")]
    if not any(parts):
        return ""
    return ":".join(parts if parts[2] else parts[:2])


def groups_of(found: Sequence[Place]) -> tuple[Group, ...]:
    """The places by record, each with what remains of its path."""

    def record(place: Place) -> str:
        parts = place.path.split(".")
        return ".".join(parts[:2]) if len(parts) > 2 else parts[0] if len(parts) == 2 else ""

    def rest(place: Place) -> str:
        own = record(place)
        return place.path[len(own) + 1 :] if own else place.path

    return tuple(
        Group(name=name, places=tuple((rest(each), each) for each in members))
        for name, members in groupby(found, record)
    )
