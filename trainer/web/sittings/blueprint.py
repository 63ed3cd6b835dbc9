"""The blueprint of sittings."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("sittings", __name__)
