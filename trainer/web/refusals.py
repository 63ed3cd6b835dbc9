"""A line in the log for whatever was refused: wrong passwords and codes, foreign pages, forged forms, too much.

It names the page, the answer and the id of the account where there is one: no name, no address, and
nothing that was sent, so no line can be forged.
"""

from __future__ import annotations

import logging

from flask import Flask, Response, g, request

from trainer.web.present import User
from trainer.web.rates import LIMITS

LOG = logging.getLogger("trainer.refused")
_REFUSED = frozenset({401, 403, 413, 415, 429})
_SUSPECT = "refused_by_a_wall"


def install(app: Flask) -> None:
    """Looks at every answer on its way out."""
    app.after_request(_noted)


def suspect() -> None:
    """Lets what this request asked for be noted, whatever the page says of it."""
    setattr(g, _SUSPECT, True)


def _noted(response: Response) -> Response:
    endpoint, code = request.endpoint, response.status_code
    # A wrong password or code comes back as the same page with its form.
    tried = endpoint in LIMITS and request.method == "POST" and code >= 400
    if endpoint and (code in _REFUSED or tried or (_SUSPECT in g and code >= 400)):
        LOG.warning("refused %s %s %d to %s", request.method, endpoint, code, _who())
    return response


def _who() -> str:
    """The account, as far as the request came to know it; nothing is looked up for a line in the log."""
    user = getattr(g, "_login_user", None)
    return f"person {user.get_id()}" if isinstance(user, User) else "a visitor"
