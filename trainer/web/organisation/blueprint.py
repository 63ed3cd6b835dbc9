"""The blueprint of the organisation's pages."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("organisation", __name__, url_prefix="/organisation")
