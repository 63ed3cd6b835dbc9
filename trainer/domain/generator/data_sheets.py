"""Data sheets, each in the style of its maker: rows, notes, small print, and silence."""

from __future__ import annotations

from trainer.domain.generator.data import FactWording, SheetStyle
from trainer.domain.generator.draft import Draft, Paper
from trainer.domain.generator.offers import number
from trainer.domain.generator.told import Told, facts_of
from trainer.domain.tasks import Sheet, SheetKind, SheetRow

_ANY = "*"
OR = "|"
"""Between the wordings of one text, and between the units of the styles."""
_FACTORS = {("kW", "W"): 1000.0}


def data_sheet(draft: Draft, role: str) -> Sheet:
    """The data sheet of one item."""
    item, paper, chosen = draft.equipment[role], draft.papers[role], draft.origin[role]
    style = next(each for each in draft.data.sheets.styles if each.id == paper.style)
    told = {fact[0]: fact for fact in facts_of(item, chosen.variant.id)}
    title = draft.data.sheets.texts["sheets"]["data_sheet"].format(maker=paper.maker, model=paper.model)
    notes = [style.opening] if style.opening else []
    notes += [text for name in style.notes if (text := _sentence(draft, style, told.get(name), paper))]
    small = " ".join(text for name in style.small_print if (text := _sentence(draft, style, told.get(name), paper)))
    if small:
        notes.append(f"{style.closing}{small}")
    return Sheet(
        id=f"sheet-{role}",
        title=f"{title}: {chosen.family.description}",
        kind=SheetKind.DATA_SHEET,
        rows=tuple(row for name in style.rows if (row := _row(draft, style, told.get(name), paper)) is not None),
        notes=tuple(notes),
        subject=f"equipment.{role}",
    )


def _row(draft: Draft, style: SheetStyle, fact: Told | None, paper: Paper) -> SheetRow | None:
    """A row of the table, or None where the item lacks the fact or the sheet is silent on it."""
    if fact is None:
        return None
    name, value, words = fact
    wording = draft.data.sheets.facts[name]
    label = wording.labels[style.voice]
    if not wording.words:
        unit, told = _in_unit(wording.unit, value, style.voice)
        return SheetRow(label=label, value=told, unit=unit)
    text = wording.words.get(value, wording.words.get(_ANY))
    if text is None:
        return None
    return SheetRow(label=label, value=_one_of(text, paper).format_map({"value": value, **words}))


def _in_unit(units: str, value: str, voice: int) -> tuple[str, str]:
    """The unit of a style and the value in it; the value is given in the first of the units."""
    first, *others = units.split(OR)
    unit = others[voice - 1] if others and voice else first
    factor = _FACTORS.get((first, unit), 1.0)
    return unit, value if factor == 1.0 else number(round(float(value) * factor, 3))


def _one_of(text: str, paper: Paper) -> str:
    """One of the wordings of a text, always the same one for a maker and model."""
    wordings = text.split(OR)
    return wordings[sum(map(ord, paper.maker + paper.model)) % len(wordings)]


def _sentence(draft: Draft, style: SheetStyle, fact: Told | None, paper: Paper) -> str:
    """A note or a line of small print; empty where the item lacks the fact or the sheet is silent."""
    if fact is None:
        return ""
    name, value, words = fact
    wording: FactWording = draft.data.sheets.facts[name]
    voices = wording.sentences.get(value, wording.sentences.get(_ANY))
    return "" if voices is None else _one_of(voices[style.voice], paper).format_map({"value": value, **words})
