"""The words of all families of questions from the tables of their files."""

from __future__ import annotations

from collections.abc import Mapping
from string import Formatter
from typing import Any

from trainer.domain.errors import Problem, unknown
from trainer.domain.generator.reading import HEAD, head
from trainer.domain.generator.tables import TableReader
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.questions.words import COMMON, FamilyWords

FOLDER = "questions/"
_KEYS = ("question", "why", "wrong", "labels")


def read_questions(tables: Mapping[str, Mapping[str, Any]], problems: list[Problem]) -> dict[str, FamilyWords]:
    """The words of every family, by id, of all files in the folder of questions.

    A family without words, words without a family, words that stand twice and placeholders that
    cannot be read are noted as problems with file, family and key.
    """
    names = {COMMON, *(each.id for each in ALL_FAMILIES)}
    found: dict[str, FamilyWords] = {}
    for path, raw in sorted(tables.items()):
        if path.startswith(FOLDER):
            _read_file(raw, path, names, found, problems)
    missing = sorted(names - set(found))
    problems += [Problem(path=FOLDER, value=each, problem="no file has the words of this family") for each in missing]
    return found


def _read_file(
    raw: Mapping[str, Any], path: str, names: set[str], found: dict[str, FamilyWords], problems: list[Problem]
) -> None:
    head(TableReader(raw, path, problems), "questions")
    for name, table in raw.items():
        if name in HEAD:
            continue
        place = f"{path}: {name}"
        if name not in names:
            problems.append(unknown(place, name, sorted(names), "family of questions"))
        elif name in found:
            problems.append(Problem(path=place, value=name, problem=f"stands in {found[name].file} already"))
        elif not isinstance(table, Mapping):
            problems.append(Problem(path=place, problem="must be a table"))
        else:
            found[name] = _read_family(TableReader(table, place, problems), name, path)


def _read_family(reader: TableReader, name: str, path: str) -> FamilyWords:
    reader.only(_KEYS)
    for key in ("question", "why"):
        if name != COMMON and key not in reader.raw:
            reader.note(key, "missing; it is required")
    raw_why = reader.raw.get("why", {})
    words = FamilyWords(
        id=name,
        file=path,
        question=reader.texts("question"),
        why={"why": raw_why} if isinstance(raw_why, str) else _texts(reader, "why"),
        wrong=_texts(reader, "wrong"),
        labels=_texts(reader, "labels"),
    )
    for part in ("why", "wrong", "labels"):
        for key, text in getattr(words, part).items():
            _check(reader, f"{part}.{key}", text)
    for number, text in enumerate(words.question):
        _check(reader, f"question[{number}]", text)
    return words


def _texts(reader: TableReader, key: str) -> dict[str, str]:
    table = TableReader(reader.table(key), reader.place(key), reader.problems)
    return {name: table.get(name, str) for name in table.raw}


def _check(reader: TableReader, key: str, text: str) -> None:
    """Note a text that is empty or whose braces do not hold a plain name."""
    if not text.strip():
        reader.note(key, "must not be empty")
    try:
        parts = list(Formatter().parse(text))
    except ValueError as error:
        reader.note(key, f"has a brace too many or too few: {error}", text)
        return
    for _, name, spec, conversion in parts:
        if name is not None and (not name.isidentifier() or spec or conversion):
            reader.note(key, "between braces stands the name of a placeholder and nothing else", text)
