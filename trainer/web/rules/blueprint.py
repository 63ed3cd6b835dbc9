"""The address under which all pages of the rule book stand."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("rules", __name__, url_prefix="/rules")
