"""The papers of a task as the page shows them: parts and lines that can be found, marked and referred to."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from typing import Any

from markupsafe import Markup

from trainer.domain.tasks import Sheet, Task
from trainer.services.scenarios import scenarios
from trainer.web.practice.finding_lines import Search
from trainer.web.practice.note_groups import grouped, title_of

# What was found on the day stands with what is asked about it, not among the papers.
_WITH_THE_ASKS = frozenset({"found"})
_SURVEY = "survey"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of a paper: a row with label, value and unit, or a numbered note.

    ``name`` tells it from all others, also where its label does not; ``text`` is its value without marks.
    """

    id: str
    name: str
    label: Markup
    value: Markup
    text: str
    number: int
    is_note: bool
    is_named_apart: bool
    is_marked: bool
    is_found: bool

    @property
    def anchor(self) -> str:
        """Its place on the page."""
        return f"line-{self.id.replace('.', '-')}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Lines that belong together, under a title or under none."""

    title: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """One paper."""

    id: str
    title: str
    parts: tuple[Part, ...]
    imprint: str = ""
    is_searched: bool = False

    @property
    def lines(self) -> tuple[Line, ...]:
        """All lines in order."""
        return tuple(line for part in self.parts for line in part.lines)

    @property
    def is_plain(self) -> bool:
        """True when nothing is marked in it and nothing was looked for: as everybody sees it."""
        return not self.is_searched and not any(line.is_marked for line in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """All papers of a task, with what was marked in them and what was looked for."""

    papers: tuple[Paper, ...]
    looked_for: str

    @property
    def is_plain(self) -> bool:
        """True when nothing is marked and nothing was looked for: as everybody sees it."""
        return not self.looked_for and all(paper.is_plain for paper in self.papers)

    @property
    def marked(self) -> list[tuple[Paper, Line]]:
        """The marked lines in the order of the papers."""
        return [(paper, line) for paper in self.papers for line in paper.lines if line.is_marked]

    @property
    def found(self) -> list[tuple[Paper, Line]]:
        """The lines that hold what was looked for."""
        return [(paper, line) for paper in self.papers for line in paper.lines if line.is_found]


def pack_of(task: Task, marked: Collection[str] = (), looked_for: str = "") -> Pack:
    """The papers of a task."""
    writer = _Writer(frozenset(marked), Search(looked_for.strip()))
    papers = tuple(writer.paper(sheet) for sheet in task.pack if sheet.id not in _WITH_THE_ASKS)
    return Pack(papers=papers, looked_for=looked_for.strip())


def marked_in(pack: Pack, marked: Collection[str]) -> Pack:
    """The same papers, unmarked so far, with these lines marked."""
    if not marked:
        return pack
    return replace(pack, papers=tuple(_marked_paper(paper, marked) for paper in pack.papers))


def _marked_paper(paper: Paper, marked: Collection[str]) -> Paper:
    if not any(line.id in marked for line in paper.lines):
        return paper
    parts = (
        replace(part, lines=tuple(replace(line, is_marked=line.id in marked) for line in part.lines))
        for part in paper.parts
    )
    return replace(paper, parts=tuple(parts))


def paper_of(sheet: Sheet, prefix: str = "") -> Paper:
    """One paper without marks; ``prefix`` goes before its id where a page shows papers of several tasks."""
    return _Writer(frozenset(), Search()).paper(sheet, prefix)


def line_ids(task: Task) -> frozenset[str]:
    """The ids of all lines that can be marked."""
    return frozenset(line.id for paper in pack_of(task).papers for line in paper.lines)


def line_told(pack: Pack, told: dict[str, Any]) -> Line | None:
    """The line that an explanation rests on; None where the sheet is silent or has it no more."""
    paper = next((each for each in pack.papers if each.id == told["sheet"]), None)
    if paper is None:
        return None
    if told["note"]:
        return next((each for each in paper.lines if each.is_note and each.number == told["note"]), None)
    # The row of a cable is told with that of its device before it.
    return next((each for each in paper.lines if not each.is_note and told["row"] in (each.label, each.name)), None)


@dataclass(frozen=True, slots=True)
class _Writer:
    marked: frozenset[str]
    search: Search

    def paper(self, sheet: Sheet, prefix: str = "") -> Paper:
        parts = (*self._rows(sheet, prefix), *self._notes(sheet, prefix))
        searched = bool(self.search.words)
        return Paper(
            id=prefix + sheet.id, title=sheet.title, parts=parts, imprint=_imprint(sheet), is_searched=searched
        )

    def _rows(self, sheet: Sheet, prefix: str) -> Iterator[Part]:
        """The rows; in a survey those of one circuit (device, cable, load) below each other in a part of their own."""
        lines: list[Line] = []
        head = ""
        follows = _following() if sheet.id == _SURVEY else frozenset()
        for number, row in enumerate(sheet.rows, 1):
            if row.label not in follows:
                if follows and lines:
                    yield Part(title="", lines=tuple(lines))
                    lines = []
                head = row.label
            name = row.label if row.label == head else f"{head}, {row.label}"
            value = f"{row.value}\u00a0{row.unit}" if row.unit else row.value
            lines.append(self._line(f"{prefix}{sheet.id}.r{number}", name, row.label, value, number))
        if lines:
            yield Part(title="", lines=tuple(lines))

    def _notes(self, sheet: Sheet, prefix: str) -> Iterator[Part]:
        notes = [each for each in enumerate(sheet.notes, 1) if each[1] != _imprint(sheet)]
        if sheet.id != _SURVEY:
            if notes:
                yield Part(title="", lines=tuple(self._note(prefix + sheet.id, *note) for note in notes))
            return
        for group, held in grouped(notes).items():
            yield Part(title=title_of(group), lines=tuple(self._note(prefix + sheet.id, *note) for note in held))

    def _note(self, sheet_id: str, number: int, note: str) -> Line:
        return self._line(f"{sheet_id}.n{number}", str(number), "", note, number)

    def _line(self, line_id: str, name: str, label: str, value: str, number: int) -> Line:
        return Line(
            id=line_id,
            name=name,
            label=self.search.marked(label),
            value=self.search.marked(value),
            text=value,
            number=number,
            is_note=not label,
            is_named_apart=name != " ".join(label.split()),
            is_marked=line_id in self.marked,
            is_found=self.search.finds((name if label else "", value)),
        )


def _following() -> frozenset[str]:
    """The labels of rows that go with the row before them."""
    texts = scenarios().sheets.texts["survey"]
    return frozenset({texts["cable"], texts["load"]})


def _imprint(sheet: Sheet) -> str:
    """The last note where it says only that all is invented: it belongs below the paper, not among its notes."""
    said = scenarios().sheets.texts["sheets"]["invented"]
    return said if sheet.notes and sheet.notes[-1] == said else ""
