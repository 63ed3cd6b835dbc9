"""Errors become pages in plain words, in one place; no page shows a trace."""

from __future__ import annotations

import sqlite3

from flask import Flask, current_app, g, make_response, render_template, request
from flask_babel import gettext
from flask_wtf.csrf import CSRFError
from sqlalchemy.exc import DBAPIError
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response

from trainer.domain.errors import TrainerError, UnknownNameError
from trainer.persistence.failures import is_of_database, is_out_of_reach, is_out_of_room
from trainer.web.access import Ask
from trainer.web.guard import table_of
from trainer.web.presentation import FAILED
from trainer.web.rates import COSTLY, MAKES_TASKS
from trainer.web.refusals import suspect

Page = tuple[str, int]
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_WAIT_S = 10


def install(app: Flask) -> None:
    """Maps errors to pages."""
    app.register_error_handler(TrainerError, _unusable_input)
    app.register_error_handler(UnknownNameError, _unknown_name)
    app.register_error_handler(DBAPIError, _not_stored)
    app.register_error_handler(sqlite3.Error, _not_stored)
    app.register_error_handler(CSRFError, _form_of_another_session)
    app.register_error_handler(HTTPException, _refused)
    app.register_error_handler(Exception, _failed)


def _unusable_input(error: TrainerError) -> Page:
    # A mistake in a form comes back in the form: this is a use case that refuses whoever asks, or what is asked for.
    if _is_of_members():
        suspect()
    title = gettext("This cannot be used as it is")
    advice = gettext("Go back, put right what is listed here, and send it again.")
    return _page(400, title, advice, error)


def _unknown_name(error: UnknownNameError) -> Page:
    """A name that stands in the address itself is an address that does not exist."""
    named = {str(value) for value in (request.view_args or {}).values()}
    if not any(problem.value in named for problem in error.problems):
        return _unusable_input(error)
    title, advice = _words(404)
    return _page(404, title, advice, error)


def _not_stored(error: Exception) -> Page | Response:
    """The database has no room or does not answer: both pass, so the page says what became of what was sent."""
    full = is_out_of_room(error)
    if not full and not is_out_of_reach(error):
        return _failed(error)
    _log(error)
    setattr(g, FAILED, True)
    title = gettext("Nothing can be saved just now") if full else gettext("The program cannot reach its data just now")
    answer = make_response(_page(507 if full else 503, title, _what_became_of_it(full)))
    answer.headers["Retry-After"] = str(_WAIT_S)
    return answer


def _what_became_of_it(full: bool) -> str:
    if request.method in _SAFE:
        words = gettext("It is not your doing. What was saved before is kept. Load this page again in a moment.")
    elif full:
        words = gettext(
            "Not saved: there is no room left where this site keeps its data. What was saved before is kept. "
            "Tell whoever runs the site; then go back and send it again."
        )
    else:
        words = gettext(
            "Take what you just sent as not saved. What was saved before is kept. Go back in a moment, look what "
            "stands there, and send it again if it is missing."
        )
    return str(words)


def _is_of_members() -> bool:
    access = table_of(current_app).get(request.endpoint or "")
    return access is not None and access.ask in {Ask.MEMBER, Ask.OPERATOR}


def _form_of_another_session(_error: CSRFError) -> Page:
    suspect()
    title = gettext("This form has lost its session")
    advice = gettext(
        "Forms are tied to a cookie of this site. Allow the cookie, load the page again and send the form again."
    )
    return _page(400, title, advice)


def _refused(error: HTTPException) -> Page | Response | HTTPException:
    code = error.code
    if code is None or code < 400:
        return error
    if code >= 500:
        # The database may also fail under a page of error, or after a page was made.
        behind = getattr(error, "original_exception", None)
        return _not_stored(behind) if is_of_database(behind) else _failed(error)
    title, advice = _words(code)
    return _page(code, title, advice)


def _words(code: int) -> tuple[str, str]:
    if code == 429 and request.endpoint in MAKES_TASKS:
        advice = gettext("Many new tasks were asked for from where you are. Wait a minute, then ask again.")
        return gettext("Too many new tasks at once"), advice
    if code == 429 and request.endpoint in COSTLY:
        advice = gettext("Much was asked to be judged from where you are. Wait a minute, then send it again.")
        return gettext("Too much at once"), advice
    words = {
        403: (gettext("Not yours to see"), gettext("This page belongs to somebody else.")),
        404: (
            gettext("There is no such page"),
            gettext("The address may be mistyped, or the page is gone. Start again from the first page."),
        ),
        405: (
            gettext("Not in this way"),
            gettext("This address takes a form, not a visit, or the other way round. Start from the first page."),
        ),
        413: (gettext("Too large"), gettext("What was sent is larger than any form of this site.")),
        429: (
            gettext("Too many tries"),
            gettext("For safety this rests now. Try again in a quarter of an hour; what you had before is kept."),
        ),
    }
    unknown = (gettext("This request cannot be answered"), gettext("Start again from the first page."))
    return words.get(code, unknown)


def _failed(error: Exception) -> Page:
    # Flask logs an exception only when nobody handles it.
    _log(error)
    setattr(g, FAILED, True)
    title = gettext("Something went wrong here")
    advice = gettext("It is not your doing. What you had sent before is kept. Try again in a moment.")
    return _page(500, title, advice)


def _log(error: Exception) -> None:
    current_app.logger.error("a page failed", exc_info=error)


def _page(code: int, title: str, advice: str, error: TrainerError | None = None) -> Page:
    problems = error.problems if error else ()
    return render_template("error.html", code=code, title=title, advice=advice, problems=problems), code
