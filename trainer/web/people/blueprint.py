"""The blueprint of the account pages."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("people", __name__)
