"""The policy that every answer carries.

Source: W3C Content Security Policy Level 3, RFC 6797 (HSTS), WHATWG Fetch (nosniff), W3C Referrer
Policy, W3C Permissions Policy.
"""

from __future__ import annotations

import hashlib
from functools import lru_cache

from flask import Flask, Response, request
from flask_wtf import csrf
from itsdangerous import Signer, URLSafeTimedSerializer

CONTENT_SECURITY_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)

_HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}

_REFUSED = 400
_ONE_YEAR_S = 365 * 24 * 60 * 60


def install(app: Flask) -> None:
    """Sets the policy on every answer, also on errors and files; tokens of forms are signed by SHA-256."""
    # The library for forms hands on no choice of its own, and that for signatures still starts from SHA-1.
    Signer.default_digest_method = staticmethod(hashlib.sha256)
    # That for forms makes what reads and signs its tokens anew for each of them, always with the same key.
    csrf.URLSafeTimedSerializer = lru_cache(maxsize=8)(URLSafeTimedSerializer)
    app.after_request(_with_policy)


def _with_policy(response: Response) -> Response:
    response.headers.update(_HEADERS)
    if request.is_secure:
        response.headers["Strict-Transport-Security"] = f"max-age={_ONE_YEAR_S}; includeSubDomains"
    is_file = request.endpoint == "static" and response.status_code < _REFUSED
    if is_file and "v" in request.args:
        # The address names the content, so the copy stays good for ever.
        response.headers["Cache-Control"] = f"public, max-age={_ONE_YEAR_S}, immutable"
    elif not is_file:
        response.headers["Cache-Control"] = "no-store"
    return response
