"""The blueprint of the plan."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("plan", __name__)
