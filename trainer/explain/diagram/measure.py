"""How wide a text can be, without asking a browser.

Advance widths of DejaVu Sans in thousandths of the type size, from memory; it is among the widest
faces that a browser falls back to, so a text drawn in another face is narrower.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

TEXT_PX = 12.0
LINE_PX = 14.0
ASCENT_PX = 10.5
DESCENT_PX = 3.5

_BOLD = 1.14
_OTHER = 1000
_WIDTHS = {
    letter: width
    for letters, width in (
        ("ijl'|", 280),
        (" ,.;:·/\\fIJ\u00a0", 355),
        ("rt-()[]!", 400),
        ("sczkxvy*", 595),
        ("aeohnubdpqg0123456789ELFTP²?+=<>≤≥×", 640),
        ("ABSKRVXYZΔ°", 705),
        ("CDGHNUOQ&Ω", 795),
        ("Mmw%", 980),
    )
    for letter in letters
}


@lru_cache(maxsize=8192)
def width_px(text: str, *, bold: bool = False) -> float:
    """An upper estimate of the width of a text at the size of the diagram."""
    thousandths = sum(_WIDTHS.get(letter, _OTHER) for letter in text)
    return round(thousandths / 1000 * TEXT_PX * (_BOLD if bold else 1.0), 1)


def clipped(text: str, limit_px: float, *, bold: bool = False) -> str:
    """The text, cut with an ellipsis where it would be wider than the limit."""
    if width_px(text, bold=bold) <= limit_px:
        return text
    room = limit_px - width_px("…", bold=bold)
    kept = 0
    while kept < len(text) and room >= 0:
        room -= width_px(text[kept], bold=bold)
        kept += 1
    return f"{text[: kept - 1].rstrip()}…"


def wrapped(text: str, limit_px: float, *, lines: int, bold: bool = False) -> tuple[str, ...]:
    """The text in at most so many lines, broken between words, the last one clipped."""
    words = [word for word in text.split(" ") if word]
    result: list[str] = []
    while words and len(result) < lines - 1:
        line = words.pop(0)
        while words and width_px(f"{line} {words[0]}", bold=bold) <= limit_px:
            line = f"{line} {words.pop(0)}"
        result.append(clipped(line, limit_px, bold=bold))
    if words:
        result.append(clipped(" ".join(words), limit_px, bold=bold))
    return tuple(result)


def flowed(facts: Iterable[str], limit_px: float) -> tuple[str, ...]:
    """Short facts set one after another, several to a line where they fit."""
    lines: list[str] = []
    for fact in facts:
        joined = f"{lines[-1]}, {fact}" if lines else fact
        if lines and width_px(joined) <= limit_px:
            lines[-1] = joined
        else:
            lines.append(clipped(fact, limit_px))
    return tuple(lines)
