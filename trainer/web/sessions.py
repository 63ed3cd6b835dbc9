"""The session: a signed cookie that no script and no other site can read."""

from __future__ import annotations

import hashlib

from flask import Flask, request
from flask.sessions import SecureCookieSessionInterface, SessionMixin


class SignedCookieSessions(SecureCookieSessionInterface):
    """Over https the cookie is marked secure and bound to this host by its ``__Host-`` name; signed by SHA-256."""

    # The library's own choice is SHA-1.
    digest_method = staticmethod(hashlib.sha256)

    def get_cookie_name(self, app: Flask) -> str:  # noqa: ARG002
        """The name of the cookie for the current request."""
        return "__Host-trainer" if request.is_secure else "trainer"

    def should_set_cookie(self, app: Flask, session: SessionMixin) -> bool:
        """True when something changed in it, and on a page, so that its time runs on; a save signs nothing anew.

        Never on a file: a cache that people share may keep those, and would hand the cookie on.
        """
        is_page = request.method == "GET" and request.endpoint != "static"
        return session.modified or (is_page and super().should_set_cookie(app, session))

    def get_cookie_secure(self, app: Flask) -> bool:  # noqa: ARG002
        """True over https."""
        return request.is_secure
