"""The lines of papers as HTML. A task has a hundred of them: put together here, not by a template."""

from __future__ import annotations

from markupsafe import Markup, escape

from trainer.web.practice.pack import Line, Part
from trainer.web.translating import gettext


def rows_of(part: Part, marking: str, *, anchors: bool) -> Markup:
    """The rows of a part of a paper; ``marking`` is the address that marks one, or empty."""
    pins = _Pins(marking) if marking else None
    rows = "".join(f"  {_row(line, pins, anchors=anchors)}\n" for line in part.lines)
    return Markup(f"<tbody>\n{rows}</tbody>\n")  # noqa: S704 - each row escapes its words


def notes_of(part: Part, marking: str, *, anchors: bool) -> Markup:
    """The notes of a part, in a list."""
    pins, numbered = _Pins(marking) if marking else None, gettext("note %(number)s")
    notes = "".join(f"  {_note(line, pins, numbered, anchors=anchors)}\n" for line in part.lines)
    return Markup(f"<ol>\n{notes}</ol>\n")  # noqa: S704 - each note escapes its words


class _Pins:
    """The buttons that mark a line, or take its mark away."""

    def __init__(self, marking: str) -> None:
        self._address = escape(marking)
        self._words = gettext("Mark: %(line)s")
        self._words_of_note = gettext("Mark note %(number)s")

    def of(self, line: Line, at: str) -> str:
        """The button of one line, which stands at an anchor."""
        told = self._words_of_note % {"number": line.number} if line.is_note else self._words % {"line": line.name}
        name, pressed = ("unmark", "true") if line.is_marked else ("mark", "false")
        return (
            f'<button class="pin" form="decisions" name="{name}" value="{escape(line.id)}" '
            f'formaction="{self._address}#{at}" formnovalidate aria-pressed="{pressed}" '
            f'aria-label="{escape(told)}"></button>\n'
        )


def _start(line: Line, at: str, *, anchors: bool) -> str:
    marked = "line is-marked" if line.is_marked else "line"
    return f'class="{marked}" id="{at}"' if anchors else f'class="{marked}"'


def _row(line: Line, pins: _Pins | None, *, anchors: bool) -> str:
    """A row; label and value are markup already, because what was looked for is marked in them."""
    at = escape(line.anchor)
    apart = f' data-name="{escape(line.name)}"' if line.is_named_apart else ""
    pin = f'<td class="pins">{pins.of(line, at)}</td>' if pins else ""
    start = _start(line, at, anchors=anchors)
    return f'<tr {start}{apart}><th scope="row">{line.label}</th><td>{line.value}</td>{pin}</tr>'


def _note(line: Line, pins: _Pins | None, numbered: str, *, anchors: bool) -> str:
    """A note; its text is markup already."""
    at, number = escape(line.anchor), escape(numbered % {"number": line.number})
    pin = pins.of(line, at) if pins else ""
    start = _start(line, at, anchors=anchors)
    return f'<li {start} value="{line.number}" data-note="{number}"><div><span>{line.value}</span>{pin}</div></li>'
