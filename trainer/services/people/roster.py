"""A roster in a CSV file (RFC 4180): read whole, each bad line told with its number, the remedy with it."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trainer.domain.errors import Problem, TrainerError, unknown
from trainer.services.people.errors import RosterError
from trainer.services.people.names import LONGEST_SHORT, checked_email, checked_name, clean

MOST_BYTES = 2 * 1024 * 1024
MOST_LINES = 10_000
COLUMNS = ("name", "email", "reference", "group", "site", "works as")
ENCODINGS = {"utf-8": "utf-8-sig", "windows-1252": "cp1252"}

# What a spreadsheet would take for a formula (OWASP, CSV injection).
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_DELIMITERS = ",;\t"


@dataclass(frozen=True, slots=True, kw_only=True)
class RosterRow:
    """One line of a roster; what is not given is empty."""

    line: int
    name: str
    email: str = ""
    reference: str = ""
    group: str = ""
    site: str = ""
    works_as: str = ""

    @property
    def key(self) -> str:
        """By what the line names its person: reference, else address, else name."""
        return (
            f"r{self.reference.casefold()}"
            if self.reference
            else f"e{self.email}"
            if self.email
            else f"n{self.name.casefold()}"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class BadLine:
    """A line that cannot be used, and why."""

    line: int
    problem: str
    value: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Roster:
    """What a file held."""

    rows: tuple[RosterRow, ...]
    bad: tuple[BadLine, ...]
    content_hash: str


def read_roster(content: bytes, encoding: str = "utf-8") -> Roster:
    """Reads a file. *Raises* RosterError when it cannot be used at all."""
    if len(content) > MOST_BYTES:
        problem = f"is larger than {MOST_BYTES // 1024} KiB; split it, each part with the heading line"
        raise RosterError(Problem(path="file", problem=problem))
    lines = _lines(_decoded(content, encoding))
    heading = next(lines, None)
    if heading is None:
        raise RosterError(Problem(path="file", problem="is empty; its first line names the columns"))
    columns = _columns(heading[1])
    rows: list[RosterRow] = []
    bad: list[BadLine] = []
    for number, cells in lines:
        if len(rows) + len(bad) >= MOST_LINES:
            problem = f"has more than {MOST_LINES} lines; split it, each part with the heading line"
            raise RosterError(Problem(path="file", problem=problem))
        if not any(cell.strip() for cell in cells):
            continue
        try:
            rows.append(_row(number, cells, columns))
        except TrainerError as error:
            bad += [_bad(number, each) for each in error.problems]
    kept, repeated = _without_repeats(rows)
    return Roster(
        rows=tuple(kept),
        bad=tuple(sorted([*bad, *repeated], key=lambda each: each.line)),
        content_hash=hashlib.sha256(content).hexdigest(),
    )


def _decoded(content: bytes, encoding: str) -> str:
    if content[:2] == b"PK" or b"\0" in content[:4096].replace(b"\xff\xfe", b""):
        if content[:2] in {b"\xff\xfe", b"\xfe\xff"}:
            return _decoded_as(content, "utf-16")
        problem = "is no text; save the sheet as CSV (comma separated, UTF-8) and take that file"
        raise RosterError(Problem(path="file", problem=problem))
    name = ENCODINGS.get(encoding)
    if name is None:
        raise RosterError(unknown("encoding", encoding, ENCODINGS, "encoding"))
    return _decoded_as(content, name)


def _decoded_as(content: bytes, name: str) -> str:
    try:
        return content.decode(name)
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        other = "Windows-1252" if name.startswith("utf") else "UTF-8"
        problem = f"line {line} holds bytes that are not {name}; choose {other}, or save the sheet as CSV in UTF-8"
        raise RosterError(Problem(path="file", problem=problem)) from error


def _lines(text: str) -> Iterator[tuple[int, list[str]]]:
    first = text.split("\n", 1)[0]
    delimiter = max(_DELIMITERS, key=first.count)
    # Line ends as they are: a cell may hold one.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    while True:
        # The line where a record begins: a cell may go over several.
        number = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            problem = f"line {reader.line_num} is no CSV ({error}); check the quotation marks there"
            raise RosterError(Problem(path="file", problem=problem)) from error
        yield number, cells


def _columns(heading: Sequence[str]) -> list[str]:
    columns = [clean(cell).casefold() for cell in heading]
    while columns and not columns[-1]:
        columns.pop()
    problems = [unknown("heading", cell[:LONGEST_SHORT], COLUMNS, "column") for cell in columns if cell not in COLUMNS]
    if not problems and len(set(columns)) != len(columns):
        problems.append(Problem(path="heading", problem="names a column twice"))
    if not problems and "name" not in columns:
        problems.append(Problem(path="heading", problem='has no column "name"', possible=COLUMNS))
    if problems:
        raise RosterError(*problems)
    return columns


def _row(number: int, cells: Sequence[str], columns: Sequence[str]) -> RosterRow:
    if len(cells) > len(columns) and any(cell.strip() for cell in cells[len(columns) :]):
        problem = f"has {len(cells)} cells under {len(columns)} headings"
        raise RosterError(Problem(path="line", problem=problem))
    given = dict(zip(columns, cells, strict=False))
    for column, cell in given.items():
        if cell.startswith(_FORMULA) or cell.strip().startswith(_FORMULA):
            problem = f"the {column} begins like a formula; take out the first sign"
            raise RosterError(Problem(path=column, value=cell.strip()[:LONGEST_SHORT], problem=problem))
    email = given.get("email", "").strip()
    return RosterRow(
        line=number,
        name=checked_name(given.get("name", ""), "name"),
        email=checked_email(email) if email else "",
        reference=_short(given, "reference"),
        group=_short(given, "group"),
        site=_short(given, "site"),
        works_as=_short(given, "works as"),
    )


def _short(given: dict[str, str], column: str) -> str:
    text = given.get(column, "")
    return checked_name(text, column, LONGEST_SHORT) if text.strip() else ""


def _without_repeats(rows: Sequence[RosterRow]) -> tuple[list[RosterRow], list[BadLine]]:
    """One person may stand in several lines, once for each group; anything else twice is a mistake."""
    first: dict[str, RosterRow] = {}
    owner_of: dict[str, RosterRow] = {}
    seen: set[tuple[str, str]] = set()
    kept, bad = [], []
    for row in rows:
        before = first.setdefault(row.key, row)
        sharing = owner_of.setdefault(row.email, row) if row.email else row
        if _person(before) != _person(row):
            problem = f"gives the person of line {before.line} other facts; make the lines agree"
            bad.append(BadLine(line=row.line, problem=problem, value=row.name))
        elif (row.key, row.group.casefold()) in seen:
            bad.append(BadLine(line=row.line, problem=f"says the same as line {before.line}; take one out"))
        elif sharing.key != row.key:
            problem = f"has the address of line {sharing.line}, which is somebody else"
            bad.append(BadLine(line=row.line, problem=problem, value=row.email))
        else:
            kept.append(row)
        seen.add((row.key, row.group.casefold()))
    return kept, bad


def _person(row: RosterRow) -> tuple[str, ...]:
    return (row.name, row.email, row.reference, row.site, row.works_as)


def _bad(line: int, problem: Problem) -> BadLine:
    text = f"{problem.path} {problem.problem}" if problem.path not in {"", "line"} else problem.problem
    if problem.path and problem.problem.startswith("the "):
        text = problem.problem
    return BadLine(line=line, problem=text, value="" if problem.value is None else str(problem.value))
