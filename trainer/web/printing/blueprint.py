"""The blueprint of papers on paper."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("printing", __name__, url_prefix="/papers")
