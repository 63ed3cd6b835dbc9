"""Checking a training record by its code, without an account."""

from __future__ import annotations

from flask import redirect, render_template, request, url_for

from trainer.services.objectives import objectives
from trainer.services.programmes.codes import as_typed
from trainer.services.programmes.training_records import RecordsDesk
from trainer.web.people.entry import Page
from trainer.web.programmes.wired import programmes
from trainer.web.records.blueprint import blueprint

# That it is kept by nobody and that its address goes to no other site holds of every page (web/security.py).
_PRIVATE = {"X-Robots-Tag": "noindex, nofollow"}


@blueprint.get("/check")
def check_form() -> Page:
    """Where a code is typed."""
    code = as_typed(request.args.get("code", ""))
    if code:
        return redirect(url_for("records.check", code=code), code=303)
    return render_template("records/check_form.html")


@blueprint.get("/check/<code>")
def check(code: str) -> tuple[str, int, dict[str, str]]:
    """What a code shows; the same page for a code that nobody has and for a record that was revoked."""
    found = programmes(RecordsDesk).checked(code)
    if found is None:
        return render_template("records/no_record.html"), 404, _PRIVATE
    page = render_template(
        "records/check.html",
        found=found,
        record=found.record,
        objectives=objectives(),
        today=programmes(RecordsDesk).today(),
    )
    return page, 200, _PRIVATE
