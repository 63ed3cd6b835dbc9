"""The blueprint of training records."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("records", __name__)
