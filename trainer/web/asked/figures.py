"""What is drawn beside an ask."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.domain.asks.forms import Ask, FigureKind
from trainer.domain.tasks import Task, TaskKind
from trainer.explain.diagram.outline import Request
from trainer.explain.diagram.render import Diagram, single_line
from trainer.explain.engine import Engine
from trainer.services.waveforms import watch
from trainer.web.waveform.plots import Plot, current_plot

_NAMES = ("front_end", "fault")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """The single-line diagram of the task, if any ask needs it, and the waveform of each ask that has one."""

    diagram: Diagram | None
    waveforms: dict[str, Plot]


def figures_of(task: Task, engine: Engine) -> Figures:
    """All drawings of a task."""
    return Figures(
        diagram=_diagram(task, engine) if _needs_diagram(task) else None,
        waveforms={each.id: _waveform(each) for each in task.asks if _kind(each) is FigureKind.WAVEFORM},
    )


def _kind(ask: Ask) -> FigureKind | None:
    return ask.figure.kind if ask.figure is not None else None


def _needs_diagram(task: Task) -> bool:
    return task.kind is not TaskKind.QUESTION or any(_kind(each) is FigureKind.DIAGRAM for each in task.asks)


def _diagram(task: Task, engine: Engine) -> Diagram:
    links = {each.subject: f"#ask-{each.id}" for each in reversed(task.asks) if each.subject}
    return single_line(task.house, Request(links=links, translate=engine.gettext), engine=engine)


def _waveform(ask: Ask) -> Plot:
    values = dict(ask.figure.values) if ask.figure is not None else {}
    given = {name: float(value) for name, value in values.items() if name not in _NAMES}
    return current_plot(watch(values["front_end"], values.get("fault", ""), given))
