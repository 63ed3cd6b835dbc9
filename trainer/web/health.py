"""Answers whether this process serves."""

from __future__ import annotations

from flask import Blueprint, Response

blueprint = Blueprint("health", __name__)


@blueprint.get("/healthz")
def alive() -> Response:
    """Says that this process answers; touches no storage."""
    return Response("ok\n", mimetype="text/plain")
