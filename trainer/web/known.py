"""Under which names somebody came in before in this browser, so that wrong tries of others elsewhere do not count here.

The cookie holds no name: a mark made of it with the key of the site, and a random number by which tries in this
browser are counted, however its cookie is turned back.
"""

from __future__ import annotations

import secrets

from flask import current_app, session

from trainer.services.people.names import as_typed_to_sign_in
from trainer.services.people.secrets import derived

KNOWN = "known"
_MOST = 8
_MARK_SIGNS = 22
_NUMBER_BYTES = 9


def note(name: str) -> None:
    """Notes that somebody came in under a name; of a shared machine the last ones stay."""
    mark, known = _mark_of(name), _known()
    number = known.pop(mark, "") or secrets.token_urlsafe(_NUMBER_BYTES)
    # A list: the cookie sorts the keys of anything else.
    session[KNOWN] = [*known.items(), (mark, number)][-_MOST:]


def number_of(name: str) -> str:
    """The number under which tries with a name are counted in this browser; empty where nobody came in with it."""
    return _known().get(_mark_of(name), "")


def _known() -> dict[str, str]:
    found = session.get(KNOWN)
    return dict(found) if isinstance(found, list) else {}


def _mark_of(name: str) -> str:
    key = str(current_app.secret_key)
    return derived(key, "known in a browser", as_typed_to_sign_in(name)).hex()[:_MARK_SIGNS]
