"""Data sheets, each in the style of its maker: rows, notes, small print, and silence."""

from __future__ import annotations

from trainer.domain.generator.data import FactWording, SheetStyle
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.told import Told, facts_of
from trainer.domain.tasks import Sheet, SheetKind, SheetRow

_ANY = "*"


def data_sheet(draft: Draft, role: str) -> Sheet:
    """The data sheet of one item."""
    item, paper, chosen = draft.equipment[role], draft.papers[role], draft.origin[role]
    style = next(each for each in draft.data.sheets.styles if each.id == paper.style)
    told = {fact[0]: fact for fact in facts_of(item, chosen.variant.id)}
    title = draft.data.sheets.texts["sheets"]["data_sheet"].format(maker=paper.maker, model=paper.model)
    notes = [style.opening] if style.opening else []
    notes += [text for name in style.notes if (text := _sentence(draft, style, told.get(name)))]
    small = " ".join(text for name in style.small_print if (text := _sentence(draft, style, told.get(name))))
    if small:
        notes.append(f"{style.closing}{small}")
    return Sheet(
        id=f"sheet-{role}",
        title=f"{title}: {chosen.family.description}",
        kind=SheetKind.DATA_SHEET,
        rows=tuple(row for name in style.rows if (row := _row(draft, style, told.get(name))) is not None),
        notes=tuple(notes),
        subject=f"equipment.{role}",
    )


def _row(draft: Draft, style: SheetStyle, fact: Told | None) -> SheetRow | None:
    """A row of the table, or None where the item lacks the fact or the sheet is silent on it."""
    if fact is None:
        return None
    name, value, words = fact
    wording = draft.data.sheets.facts[name]
    label = wording.labels[style.voice]
    if not wording.words:
        return SheetRow(label=label, value=value, unit=wording.unit)
    text = wording.words.get(value, wording.words.get(_ANY))
    return None if text is None else SheetRow(label=label, value=text.format_map({"value": value, **words}))


def _sentence(draft: Draft, style: SheetStyle, fact: Told | None) -> str:
    """A note or a line of small print; empty where the item lacks the fact or the sheet is silent."""
    if fact is None:
        return ""
    name, value, words = fact
    wording: FactWording = draft.data.sheets.facts[name]
    voices = wording.sentences.get(value, wording.sentences.get(_ANY))
    return "" if voices is None else voices[style.voice].format_map({"value": value, **words})
