"""Errors become pages in plain words, in one place; no page shows a trace."""

from __future__ import annotations

from flask import Flask, current_app, g, render_template
from flask_babel import gettext
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException

from trainer.domain.errors import TrainerError
from trainer.web.presentation import FAILED

Page = tuple[str, int]


def install(app: Flask) -> None:
    """Maps errors to pages."""
    app.register_error_handler(TrainerError, _unusable_input)
    app.register_error_handler(CSRFError, _form_of_another_session)
    app.register_error_handler(HTTPException, _refused)
    app.register_error_handler(Exception, _failed)


def _unusable_input(error: TrainerError) -> Page:
    title = gettext("This cannot be used as it is")
    advice = gettext("Go back, put right what is listed here, and send it again.")
    return _page(400, title, advice, error)


def _form_of_another_session(_error: CSRFError) -> Page:
    title = gettext("This form has lost its session")
    advice = gettext(
        "Forms are tied to a cookie of this site. Allow the cookie, load the page again and send the form again."
    )
    return _page(400, title, advice)


def _refused(error: HTTPException) -> Page | HTTPException:
    code = error.code
    if code is None or code < 400:
        return error
    if code >= 500:
        return _failed(error)
    title, advice = _words(code)
    return _page(code, title, advice)


def _words(code: int) -> tuple[str, str]:
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
