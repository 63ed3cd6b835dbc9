"""What the templates of tasks, papers and results can use."""

from __future__ import annotations

import re

from flask import Blueprint
from markupsafe import Markup

from trainer.domain.tasks import Task
from trainer.web.practice.citing import cited, taken_apart
from trainer.web.practice.dates import day, moment
from trainer.web.practice.groups import place_name
from trainer.web.practice.lines import notes_of, rows_of
from trainer.web.practice.pack import paper_of
from trainer.web.practice.pieces import NOTHING_KEPT
from trainer.web.practice.wired import translated_engine

_WIDTH = re.compile(r'<svg[^>]*\swidth="(\d+)')
_REM_PX = 16


def install(blueprint: Blueprint) -> None:
    """Makes them known to every template."""
    blueprint.add_app_template_global(paper_of, "paper_of")
    for of_part in (rows_of, notes_of):
        blueprint.add_app_template_global(of_part, of_part.__name__)
    blueprint.add_app_template_global(_place_name, "place_name")
    blueprint.record_once(lambda state: state.app.jinja_env.globals.update(nothing_kept=NOTHING_KEPT))
    for filled_in in (drawn_rem, cited, taken_apart, day, moment):
        blueprint.add_app_template_filter(filled_in, filled_in.__name__)


def drawn_rem(svg: Markup) -> float:
    """How wide a drawing is; 0 where it does not say."""
    found = _WIDTH.search(svg[:600])
    return int(found[1]) / _REM_PX if found else 0.0


def _place_name(task: Task, path: str) -> str:
    return place_name(task, path, translated_engine().gettext)
