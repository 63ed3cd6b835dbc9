"""The blueprint of files."""

from __future__ import annotations

from flask import Blueprint

blueprint = Blueprint("files", __name__)
