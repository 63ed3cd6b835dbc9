"""The drawings of a note: several on one page, so each has ids of its own, and nothing in them is a link."""

from __future__ import annotations

from trainer.domain.asks.forms import FigureKind
from trainer.explain.diagram.outline import Request
from trainer.explain.diagram.render import Diagram, single_line
from trainer.services.notes.examples import Worked
from trainer.services.notes.reading import Note
from trainer.services.waveforms import watch
from trainer.web.asked.figures import Figures
from trainer.web.practice.wired import translated_engine
from trainer.web.waveform.plots import Plot, current_plot

_NAMES = ("front_end", "fault")


def figures_of_example(found: Worked, number: int) -> Figures:
    """The drawing or the waveform of one example; ``number`` tells it from the others of the page."""
    figure = found.ask.figure
    if figure is None:
        return Figures(diagram=None, waveforms={})
    if figure.kind is FigureKind.DIAGRAM:
        return Figures(diagram=_diagram(found, number), waveforms={})
    values = dict(figure.values)
    given = {name: float(value) for name, value in values.items() if name not in _NAMES}
    plot = current_plot(watch(values["front_end"], values.get("fault", ""), given))
    return Figures(diagram=None, waveforms={found.ask.id: plot})


def _diagram(found: Worked, number: int) -> Diagram:
    engine = translated_engine()
    return single_line(found.task.house, Request(translate=engine.gettext), engine=engine, prefix=f"example-{number}")


def wave_of(note: Note) -> Plot | None:
    """The waveform beside a note, where it has one."""
    return current_plot(watch(note.front_end, "", {})) if note.figure == "waveform" else None
