"""Puts the web application together."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from importlib import import_module
from typing import Any

from flask import Flask
from flask_babel import Babel
from flask_wtf.csrf import CSRFProtect
from jinja2 import StrictUndefined
from werkzeug.middleware.proxy_fix import ProxyFix

from trainer.config import Settings
from trainer.resources import folder
from trainer.web import (
    compression,
    errors,
    guard,
    present,
    presentation,
    rates,
    refusals,
    security,
    translating,
    uploads,
)
from trainer.web.sessions import SignedCookieSessions
from trainer.web.wiring import EXTENSION, Wiring

# Every page of the program stands behind one of these.
BLUEPRINTS = (
    "trainer.web.home",
    "trainer.web.health",
    "trainer.web.practice",
    "trainer.web.practice.faults",
    "trainer.web.notes",
    "trainer.web.plan",
    "trainer.web.progress",
    "trainer.web.rules",
    "trainer.web.style",
    "trainer.web.trying",
    "trainer.web.waveform",
    "trainer.web.people",
    "trainer.web.organisation",
    "trainer.web.operator",
    "trainer.web.programmes",
    "trainer.web.refreshers",
    "trainer.web.records",
    "trainer.web.papers",
    "trainer.web.printing",
    "trainer.web.files",
    "trainer.web.sittings",
)

# Far above any form of ours; a larger body is refused before it is read.
_LARGEST_FORM_BYTES = 256 * 1024
_SESSION_LIFETIME = timedelta(days=365)


class Application(Flask):
    """Flask with pages and hooks that are plain functions."""

    def ensure_sync(self, func: Callable[..., Any]) -> Callable[..., Any]:
        """The function itself: asking some twenty at each request whether they are coroutines takes time."""
        return func


def create_app(settings: Settings, wiring: Wiring) -> Flask:
    """The application; everything that changes from outside (storage, clock, randomness) is in ``wiring``."""
    app = Application("trainer.web", template_folder=str(folder("templates")))
    app.config.update(
        SECRET_KEY=settings.secret_key,
        MAX_CONTENT_LENGTH=_LARGEST_FORM_BYTES,
        MAX_FORM_MEMORY_SIZE=_LARGEST_FORM_BYTES,
        PERMANENT_SESSION_LIFETIME=_SESSION_LIFETIME,
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        # A form stays good as long as its session: a learner may look at a house for hours.
        WTF_CSRF_TIME_LIMIT=None,
        BABEL_DEFAULT_TIMEZONE="UTC",
    )
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.trim_blocks = True
    app.jinja_env.lstrip_blocks = True
    app.session_interface = SignedCookieSessions()
    app.extensions[EXTENSION] = wiring
    uploads.install(app)
    CSRFProtect(app)
    Babel(app, locale_selector=translating.language)
    translating.install(app)
    security.install(app)
    refusals.install(app)
    compression.install(app)
    present.install(app, wiring, settings)
    presentation.install(app)
    errors.install(app)
    packages = {name: import_module(name) for name in BLUEPRINTS}
    for package in packages.values():
        app.register_blueprint(package.blueprint)
    guard.install(app, packages)
    rates.install(app, wiring, settings.new_tasks_per_minute)
    _trust(app, settings.trusted_proxies)
    return app


def _trust(app: Flask, proxies: int) -> None:
    if proxies:
        app.wsgi_app = ProxyFix(  # type: ignore[method-assign]
            app.wsgi_app, x_for=proxies, x_proto=proxies, x_host=proxies
        )
