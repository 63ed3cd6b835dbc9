"""The session: a signed cookie that no script and no other site can read."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime, timedelta

from flask import Flask, Request, request
from flask.sessions import SecureCookieSession, SecureCookieSessionInterface, SessionMixin
from itsdangerous import BadSignature, URLSafeTimedSerializer

_SIGNED_ANEW_AFTER = timedelta(days=1)


class DatedSession(SecureCookieSession):
    """A session that knows when its cookie was signed; None before that."""

    signed_at: datetime | None = None


class SignedCookieSessions(SecureCookieSessionInterface):
    """Over https the cookie is marked secure and bound to this host by its ``__Host-`` name; signed by SHA-256."""

    # The library's own choice is SHA-1.
    digest_method = staticmethod(hashlib.sha256)
    session_class = DatedSession

    def __init__(self) -> None:
        self._made: tuple[tuple[object, ...], URLSafeTimedSerializer | None] = ((), None)

    def get_signing_serializer(self, app: Flask) -> URLSafeTimedSerializer | None:
        """What reads and signs cookies, made once for the keys of the site: every request asks for it."""
        keys = (app.secret_key, *(app.config["SECRET_KEY_FALLBACKS"] or ()))
        if self._made[0] != keys:
            self._made = (keys, super().get_signing_serializer(app))
        return self._made[1]

    def open_session(self, app: Flask, request: Request) -> SecureCookieSession | None:
        """What the cookie holds; nothing of one that is too old, or was not signed here."""
        signer, value = self.get_signing_serializer(app), request.cookies.get(self.get_cookie_name(app), "")
        if signer is None:
            return None
        try:
            held, signed_at = signer.loads(
                value, max_age=int(app.permanent_session_lifetime.total_seconds()), return_timestamp=True
            )
        except BadSignature:
            return DatedSession()
        opened = DatedSession(held)
        opened.signed_at = signed_at
        return opened

    def get_cookie_name(self, app: Flask) -> str:  # noqa: ARG002
        """The name of the cookie for the current request."""
        return "__Host-trainer" if request.is_secure else "trainer"

    def should_set_cookie(self, app: Flask, session: SessionMixin) -> bool:
        """True when something changed in it, and once a day on a page, so that its time runs on.

        Never on a file: a cache that people share may keep those, and would hand the cookie on.
        """
        if session.modified:
            return True
        is_page = request.method == "GET" and request.endpoint != "static"
        return is_page and is_old(session) and super().should_set_cookie(app, session)

    def get_cookie_secure(self, app: Flask) -> bool:  # noqa: ARG002
        """True over https."""
        return request.is_secure


def is_old(session: SessionMixin) -> bool:
    """True when the cookie of a session was signed more than a day ago."""
    signed_at = getattr(session, "signed_at", None)
    return signed_at is None or datetime.now(UTC) - signed_at > _SIGNED_ANEW_AFTER
