"""The blueprint of the notes."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("notes", __name__)
