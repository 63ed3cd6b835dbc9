"""The blueprint of programmes and refreshers."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("programmes", __name__)
