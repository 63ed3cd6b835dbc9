"""The first page, and what the program is."""

from __future__ import annotations

from flask import Blueprint, render_template

from trainer.web.levels import LEVELS

blueprint = Blueprint("home", __name__)


@blueprint.get("/")
def welcome() -> str:
    """The first page: what this is, and a level to start with."""
    return render_template("home.html", levels=LEVELS)


@blueprint.get("/about")
def about() -> str:
    """What the program does, what it does not, and how it marks."""
    return render_template("about.html")
