"""Asks and their keys as JSON, there and back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from trainer.domain.asks.forms import Ask, AskForm, AskKey, Choice, Figure, FigureKind, Wrong
from trainer.domain.asks.marking import marks_of
from trainer.domain.vocabulary import Consequence
from trainer.interop.reading import Reader


def asks_json(asks: Sequence[Ask], keys: Mapping[str, AskKey]) -> list[dict[str, Any]]:
    """What is asked, with the marks of each; nothing of the answers."""
    return [_ask(each, marks_of(keys[each.id])) for each in asks]


def _ask(ask: Ask, marks: int) -> dict[str, Any]:
    document: dict[str, Any] = {
        "id": ask.id,
        "subject": ask.subject,
        "question": ask.question,
        "form": ask.form.value,
        "choices": [{"id": each.id, "label": each.label} for each in ask.choices],
        "unit": ask.unit,
        "marks": marks,
        "objectives": list(ask.objectives),
    }
    if ask.partners:
        document["partners"] = [{"id": each.id, "label": each.label} for each in ask.partners]
    if ask.usual:
        document["usual"] = ask.usual
    if ask.figure is not None:
        document["figure"] = {"kind": ask.figure.kind.value, "values": dict(ask.figure.values)}
    return document


def ask_keys_json(keys: Mapping[str, AskKey]) -> dict[str, Any]:
    """The answers by ask."""
    return {name: _key(key) for name, key in keys.items()}


def _key(key: AskKey) -> dict[str, Any]:
    return {
        "answers": list(key.answers),
        "why": key.why,
        "consequence": key.consequence.value,
        "rules": list(key.rules),
        "wrongs": [
            {"answer": each.answer, "misconception": each.misconception, "why": each.why} for each in key.wrongs
        ],
        "tolerance": key.tolerance,
        "leaves_hazard": key.leaves_hazard,
    }


def asks_from_json(items: Sequence[Any], reader: Reader) -> tuple[Ask, ...]:
    """The asks of a task; problems are noted."""
    return tuple(_read_ask(each, f"asks[{number}]", reader) for number, each in enumerate(items))


def ask_keys_from_json(data: Any, asks: Sequence[Ask], reader: Reader) -> dict[str, AskKey]:
    """The keys of a task that holds them; empty for one that was delivered without."""
    table = _table(data, "key.asks", reader)
    missing = [each.id for each in asks if table and each.id not in table]
    for name in missing:
        reader.note(f"key.asks.{name}", "missing: every ask needs its answer")
    return {each.id: _read_key(table[each.id], f"key.asks.{each.id}", reader) for each in asks if each.id in table}


def _read_ask(data: Any, path: str, reader: Reader) -> Ask:
    item = _table(data, path, reader)
    figure = item.get("figure")
    return Ask(
        id=_text(item, "id", path, reader),
        question=_text(item, "question", path, reader),
        form=_member(AskForm, item.get("form"), f"{path}.form", reader, AskForm.ONE),
        choices=_choices(item.get("choices", []), f"{path}.choices", reader),
        partners=_choices(item.get("partners", []), f"{path}.partners", reader),
        unit=str(item.get("unit", "")),
        subject=str(item.get("subject", "")),
        usual=str(item.get("usual", "")),
        objectives=tuple(str(each) for each in _list(item.get("objectives", []), f"{path}.objectives", reader)),
        figure=None if figure is None else _read_figure(figure, f"{path}.figure", reader),
    )


def _read_figure(data: Any, path: str, reader: Reader) -> Figure:
    item = _table(data, path, reader)
    values = _table(item.get("values", {}), f"{path}.values", reader)
    kind = _member(FigureKind, item.get("kind"), f"{path}.kind", reader, FigureKind.DIAGRAM)
    return Figure(kind=kind, values={str(name): str(value) for name, value in values.items()})


def _read_key(data: Any, path: str, reader: Reader) -> AskKey:
    item = _table(data, path, reader)
    answers = tuple(str(each) for each in _list(item.get("answers", []), f"{path}.answers", reader))
    if not answers:
        reader.note(f"{path}.answers", "must hold at least one right answer")
    tolerance = item.get("tolerance", 0.0)
    if isinstance(tolerance, bool) or not isinstance(tolerance, int | float) or tolerance < 0:
        reader.note(f"{path}.tolerance", "must be a number that is not negative", tolerance)
        tolerance = 0.0
    return AskKey(
        answers=answers,
        why=_text(item, "why", path, reader),
        consequence=_member(
            Consequence, item.get("consequence"), f"{path}.consequence", reader, Consequence.DOCUMENTATION
        ),
        rules=tuple(str(each) for each in _list(item.get("rules", []), f"{path}.rules", reader)),
        wrongs=tuple(
            Wrong(**{name: _text(each, name, f"{path}.wrongs[{number}]", reader) for name in _WRONG})
            for number, each in enumerate(_list(item.get("wrongs", []), f"{path}.wrongs", reader))
        ),
        tolerance=float(tolerance),
        leaves_hazard=bool(item.get("leaves_hazard", False)),
    )


_WRONG = ("answer", "misconception", "why")


def _choices(data: Any, path: str, reader: Reader) -> tuple[Choice, ...]:
    return tuple(
        Choice(
            id=_text(each, "id", f"{path}[{number}]", reader), label=_text(each, "label", f"{path}[{number}]", reader)
        )
        for number, each in enumerate(_list(data, path, reader))
    )


def _member(kind: Any, value: object, path: str, reader: Reader, instead: Any) -> Any:
    read = reader.value(kind, value, path)
    return read if isinstance(read, kind) else instead


def _text(data: Any, name: str, path: str, reader: Reader) -> str:
    value = data.get(name) if isinstance(data, Mapping) else None
    if isinstance(value, str):
        return value
    reader.note(f"{path}.{name}", "must be a text", value)
    return ""


def _list(data: Any, path: str, reader: Reader) -> list[Any]:
    if isinstance(data, list):
        return data
    reader.note(path, "must be a list", data)
    return []


def _table(data: Any, path: str, reader: Reader) -> dict[str, Any]:
    if isinstance(data, dict):
        return data
    reader.note(path, "must be a table", data)
    return {}
