"""The session: a signed cookie that no script and no other site can read."""

from __future__ import annotations

from flask import Flask, request
from flask.sessions import SecureCookieSessionInterface


class SignedCookieSessions(SecureCookieSessionInterface):
    """Over https the cookie is marked secure and bound to this host by its ``__Host-`` name."""

    def get_cookie_name(self, app: Flask) -> str:  # noqa: ARG002
        """The name of the cookie for the current request."""
        return "__Host-trainer" if request.is_secure else "trainer"

    def get_cookie_secure(self, app: Flask) -> bool:  # noqa: ARG002
        """True over https."""
        return request.is_secure
