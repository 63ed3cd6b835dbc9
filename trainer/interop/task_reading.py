"""Tasks out of JSON, with every problem at once. See ``task_json`` for the form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, get_args, get_origin

from trainer.domain.answers.decisions import Decision, Edit, Option
from trainer.domain.asks.forms import Ask
from trainer.domain.errors import Problem, TrainerError
from trainer.domain.installation import Installation
from trainer.domain.tasks import Key, Sheet, SheetKind, SheetRow, Task, TaskKind, Trap
from trainer.domain.validation.draft import COLLECTIONS
from trainer.domain.vocabulary import Edition
from trainer.interop.asks_json import ask_keys_from_json, asks_from_json
from trainer.interop.documents import parsed
from trainer.interop.installations import installation_from_json
from trainer.interop.reading import UNREADABLE, Reader, hints_of, without_none
from trainer.interop.task_json import FORMAT_VERSION, TASK_FORMAT, holder_of, task_id

SEED_END: Final = 2**63


class TaskError(TrainerError):
    """A task that cannot be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadTask:
    """A task with the id that its content gives it."""

    id: str
    task: Task


def asked_from_json(document: Mapping[str, Any]) -> tuple[tuple[Decision, ...], tuple[Ask, ...]]:
    """What a task wants to be decided and answered, without its house and its papers. *Raises* TaskError."""
    reader = Reader()
    decisions = tuple(_read_decision(each, n, reader) for n, each in enumerate(document["decisions"]))
    asks = asks_from_json(document.get("asks", []), reader)
    if reader.problems:
        raise TaskError(*reader.problems)
    return decisions, asks


def read_task(data: bytes) -> ReadTask:
    """The task in the bytes of a JSON file. *Raises* TrainerError with every problem found."""
    return task_from_json(parsed(data))


def task_from_json(document: Mapping[str, Any], *, kept: bool = False) -> ReadTask:
    """The task that an object of the format holds. *Raises* TrainerError with every problem found.

    Of one that this program ``kept`` under its id, neither the id is worked out again nor the house validated.
    """
    reader = Reader()
    values = _values(document, reader)
    given = document.get("id")
    own_id = str(given) if kept else "" if reader.problems else task_id(document)
    if not reader.problems and given is not None and given != own_id:
        reader.note("id", "does not fit the content: the task was changed after it was made; make it again", given)
    if reader.problems:
        raise TaskError(*reader.problems)
    decisions = tuple(_read_decision(each, n, reader) for n, each in enumerate(values["decisions"]))
    sheets = tuple(_read_sheet(each, n, reader) for n, each in enumerate(values["pack"]))
    asks = asks_from_json(values["asks"], reader)
    key = _read_key(document.get("key", {}), asks, reader)
    if reader.problems:
        raise TaskError(*reader.problems)
    house = _read_house(values["installation"], values["decisions"], kept=kept)
    names = ("seed", "generator_version", "rule_set_version", "level", "archetype", "title", "story", "language")
    task = Task(
        **{name: values[name] for name in names},
        edition=Edition(values["edition"]),
        kind=TaskKind(values["kind"]),
        house=house,
        pack=sheets,
        decisions=decisions,
        asks=asks,
        key=key,
    )
    return ReadTask(id=own_id, task=task)


_KINDS: Final[dict[str, Any]] = {
    "format": str,
    "format_version": int,
    "seed": int,
    "generator_version": str,
    "rule_set_version": str,
    "edition": Edition,
    "kind": TaskKind,
    "level": int,
    "archetype": str,
    "language": str,
    "title": str,
    "story": str,
    "installation": dict,
    "pack": list,
    "decisions": list,
    "asks": list,
}
_OPTIONAL: Final = ("asks",)
_ALSO: Final = ("id", "key", "caution")


def _values(document: Mapping[str, Any], reader: Reader) -> dict[str, Any]:
    """The parts of a task by name, with a note of everything missing, misspelt or of the wrong kind."""
    for name in document:
        if name not in _KINDS and name not in _ALSO:
            reader.note(name, "not a part of a task", possible=tuple(_KINDS))
    values: dict[str, Any] = {}
    for name, kind in _KINDS.items():
        if name in _OPTIONAL and name not in document:
            values[name] = []
        elif name in document:
            values[name] = _part(name, kind, document[name], reader)
        else:
            reader.note(name, "missing; it is required")
    if values.get("format", TASK_FORMAT) != TASK_FORMAT:
        reader.note("format", "is not a task", values["format"], (TASK_FORMAT,))
    if values.get("format_version", FORMAT_VERSION) != FORMAT_VERSION:
        reader.note("format_version", "this program reads another version", values["format_version"], ("1",))
    return values


def _part(name: str, kind: Any, value: Any, reader: Reader) -> Any:
    """One part of a task in its kind; a seed may be larger than the numbers of other files."""
    if kind in (dict, list):
        if not isinstance(value, kind):
            reader.note(name, "must be a table" if kind is dict else "must be a list", value)
        return value
    if name == "seed":
        if type(value) is not int or not 0 <= value < SEED_END:
            reader.note(name, "must be a whole number from 0 to 2^63 - 1", value)
        return value
    return reader.value(kind, value, name)


def _text(data: Any, name: str, path: str, reader: Reader) -> str:
    value = data.get(name) if isinstance(data, dict) else None
    if isinstance(value, str):
        return value
    reader.note(f"{path}.{name}", "must be a text", value if value is not None else UNREADABLE)
    return ""


def _items(data: Any, name: str, path: str, reader: Reader) -> list[Any]:
    value = data.get(name) if isinstance(data, dict) else None
    if isinstance(value, list):
        return value
    reader.note(f"{path}.{name}", "must be a list")
    return []


def _read_decision(data: Any, number: int, reader: Reader) -> Decision:
    path = f"decisions[{number}]"
    options = _items(data, "options", path, reader)
    if not options:
        reader.note(f"{path}.options", "must hold at least one option")
    return Decision(
        id=_text(data, "id", path, reader),
        subject=_text(data, "subject", path, reader),
        question=_text(data, "question", path, reader),
        options=tuple(_read_option(each, f"{path}.options[{n}]", reader) for n, each in enumerate(options)),
        objectives=tuple(str(each) for each in _items(data, "objectives", path, reader)),
    )


def _read_option(data: Any, path: str, reader: Reader) -> Option:
    sets = _items(data, "sets", path, reader)
    if not sets:
        reader.note(f"{path}.sets", "must list what the option sets")
    cost = data.get("cost", 0) if isinstance(data, Mapping) else 0
    if type(cost) is not int:
        reader.note(f"{path}.cost", "must be a whole number", cost)
        cost = 0
    edits = tuple(_read_edit(each, f"{path}.sets[{n}]", reader) for n, each in enumerate(sets))
    return Option(id=_text(data, "id", path, reader), label=_text(data, "label", path, reader), edits=edits, cost=cost)


def _read_edit(data: Any, path: str, reader: Reader) -> Edit:
    place = _text(data, "path", path, reader)
    if not isinstance(data, Mapping) or "value" not in data:
        reader.note(f"{path}.value", "missing; it is required")
        return Edit(path=place, value=None)
    return Edit(path=place, value=_typed(place, data["value"], path, reader))


def _typed(place: str, value: object, path: str, reader: Reader) -> object:
    """A value in the type of the attribute at a path of the installation."""
    hint = _hint(place.split("."))
    if hint is None:
        reader.note(f"{path}.path", "names something that an installation does not have", place)
        return None
    return reader.value(hint, value, f"{path}.value")


_HINTS: Final[dict[tuple[str, ...], Any]] = {}
"""The types that were found, by the way to them without the id of a record; there are as many as attributes."""


def _hint(parts: Sequence[str]) -> Any:
    """The type of the attribute at a path; None where an installation has no such place."""
    of_record = parts[0] in COLLECTIONS
    if of_record and len(parts) <= _WHOLE_RECORD:
        return _looked_up(parts)
    way = (parts[0], *parts[_WHOLE_RECORD:]) if of_record else tuple(parts)
    found = _HINTS.get(way)
    if found is None:
        found = _looked_up(parts)
        if found is not None:
            _HINTS[way] = found
    return found


_WHOLE_RECORD: Final = 2
"""Parts of a path that names a record, its collection and its id, and nothing in it."""


def _looked_up(parts: Sequence[str]) -> Any:
    hint: Any = Installation
    parts = list(parts)
    while parts:
        record, _ = without_none(hint)
        if get_origin(record) is not None and len(get_args(record)) > 1:
            hint = get_args(record)[1]
            parts.pop(0)
            continue
        known = hints_of(record) if isinstance(record, type) and hasattr(record, "__dataclass_fields__") else {}
        if parts[0] not in known:
            return None
        hint = known[parts.pop(0)]
    return hint


def _read_sheet(data: Any, number: int, reader: Reader) -> Sheet:
    path = f"pack[{number}]"
    kind = reader.value(SheetKind, _text(data, "kind", path, reader), f"{path}.kind")
    rows = _items(data, "rows", path, reader)
    return Sheet(
        id=_text(data, "id", path, reader),
        title=_text(data, "title", path, reader),
        kind=kind if isinstance(kind, SheetKind) else SheetKind.SURVEY,
        rows=tuple(_read_row(row, f"{path}.rows[{n}]", reader) for n, row in enumerate(rows)),
        notes=tuple(str(note) for note in _items(data, "notes", path, reader)),
        subject=_text(data, "subject", path, reader),
    )


def _read_row(data: Any, path: str, reader: Reader) -> SheetRow:
    return SheetRow(
        label=_text(data, "label", path, reader),
        value=_text(data, "value", path, reader),
        unit=_text(data, "unit", path, reader),
    )


def _read_key(data: Any, asks: Sequence[Ask], reader: Reader) -> Key:
    if not data:
        return Key(intended={})
    traps = [
        Trap(**{name: _text(each, name, f"key.traps[{n}]", reader) for name in _TRAP})
        for n, each in enumerate(_items(data, "traps", "key", reader))
    ]
    intended = data.get("intended") if isinstance(data, Mapping) else None
    if not isinstance(intended, Mapping):
        reader.note("key.intended", "must be a table of decision and option")
        intended = {}
    return Key(
        intended={str(name): str(value) for name, value in intended.items()},
        traps=tuple(traps),
        asks=ask_keys_from_json(data.get("asks", {}), asks, reader) if isinstance(data, Mapping) else {},
    )


_TRAP: Final = ("id", "misconception", "decision", "option", "rule")


def _copied(value: Any) -> Any:
    """A value of JSON with tables and lists of its own."""
    if isinstance(value, dict):
        return {name: _copied(each) for name, each in value.items()}
    return [_copied(each) for each in value] if isinstance(value, list) else value


def _read_house(data: dict[str, Any], decisions: list[Any], *, kept: bool) -> Installation:
    """The installation with the first option of every decision put in, which makes it whole."""
    document = _copied(data)
    problems: list[Problem] = []
    for number, decision in enumerate(decisions):
        for place, value in ((each["path"], each["value"]) for each in decision["options"][0]["sets"]):
            holder, name = holder_of(document, place)
            if holder is None:
                where = f"decisions[{number}].options[0].sets"
                problems.append(Problem(path=where, value=place, problem="no such place in the installation"))
            elif value is not None:
                holder[name] = value
    if problems:
        raise TaskError(*problems)
    return installation_from_json(document, kept=kept)
