"""Tells the machines around the program whether it serves, whether it is ready, and how it does."""

from __future__ import annotations

import hmac
import logging
import re
import secrets
import time
from typing import Any

from flask import Blueprint, Flask, Response, abort, current_app, g, request
from flask.blueprints import BlueprintSetupState
from flask.signals import request_finished, request_started
from sqlalchemy.exc import SQLAlchemyError

from trainer.persistence.schema import is_current
from trainer.web.files.work import work_lines
from trainer.web.logging_lines import ACCESS_LOGGER
from trainer.web.metrics import CONTENT_TYPE, OTHER, Counts
from trainer.web.wiring import wiring

COUNTS = "trainer.counts"
METRICS_TOKEN = "METRICS_TOKEN"  # noqa: S105 - the name of a setting, not a secret
REQUEST_ID = "X-Request-ID"

_GIVEN_ID = re.compile(r"[A-Za-z0-9._-]{8,64}")
_FORWARDED = ("X-Forwarded-For", "Forwarded", "X-Real-IP", "Via")
_log = logging.getLogger(ACCESS_LOGGER)

blueprint = Blueprint("health", __name__)


@blueprint.get("/healthz")
def alive() -> Response:
    """Says that this process answers; touches no storage."""
    return Response("ok\n", mimetype="text/plain")


@blueprint.get("/readyz")
def ready() -> Response:
    """Says whether the database answers and has the tables that this program needs; 503 if not."""
    try:
        why_not = None if is_current(wiring().storage.database) else "tables of another version"
    except SQLAlchemyError:
        why_not = "no database"
    return Response(f"{why_not or 'ready'}\n", status=503 if why_not else 200, mimetype="text/plain")


@blueprint.get("/metrics")
def metrics() -> Response:
    """Counts for monitoring: for this machine itself, or for whoever brings the token that is set."""
    if not _may_measure():
        abort(404)
    return Response(current_app.extensions[COUNTS].text() + work_lines(), content_type=CONTENT_TYPE)


def _may_measure() -> bool:
    token = current_app.config.get(METRICS_TOKEN)
    if token:
        given = request.headers.get("Authorization", "")
        return hmac.compare_digest(given.encode(), f"Bearer {token}".encode())
    # A proxy on this machine asks from this machine too, but says that it forwards.
    through_a_proxy = any(name in request.headers for name in _FORWARDED)
    return request.remote_addr in {"127.0.0.1", "::1"} and not through_a_proxy


@blueprint.record_once
def _install(state: BlueprintSetupState) -> None:
    app = state.app
    if not isinstance(app, Flask):
        raise TypeError(f"not an application of Flask: {app!r}")
    app.extensions[COUNTS] = _CountsWhenAsked(app)
    # Signals, because they come before and after everything that may refuse a request.
    request_started.connect(_started, app)
    request_finished.connect(_finished, app)


class _CountsWhenAsked:
    """The counts, made with the routes that the whole application has once it serves."""

    def __init__(self, app: Flask) -> None:
        self._app = app
        self._made: Counts | None = None

    def __getattr__(self, name: str) -> Any:
        if self._made is None:
            self._made = Counts([rule.rule for rule in self._app.url_map.iter_rules()])
        return getattr(self._made, name)


def _started(_app: Flask, **_more: object) -> None:
    g.started_s = time.perf_counter()
    given = request.headers.get(REQUEST_ID, "")
    g.request_id = given if _GIVEN_ID.fullmatch(given) else secrets.token_hex(8)


def _finished(app: Flask, response: Response, **_more: object) -> None:
    started_s = g.get("started_s")
    if started_s is None:
        return
    took_s = time.perf_counter() - started_s
    # The rule has the names of ids in it, never their values.
    route = request.url_rule.rule if request.url_rule else OTHER
    app.extensions[COUNTS].add(route, response.status_code, took_s)
    response.headers[REQUEST_ID] = g.request_id
    if _log.isEnabledFor(logging.INFO):
        fields = {
            "request": g.request_id,
            "method": request.method,
            "route": route,
            "status": response.status_code,
            "ms": round(1000 * took_s, 1),
        }
        _log.info("answered", extra={"fields": fields})
