"""A paper judged again after a correction of the rules: first a report, then, on purpose, applied."""

from __future__ import annotations

import json

from flask import flash, redirect, render_template, url_for
from flask_babel import ngettext
from werkzeug.wrappers import Response

from trainer.domain.rules.version import rule_set_version
from trainer.persistence.papers.regrading import regrading_repositories
from trainer.persistence.papers.repositories import paper_repositories
from trainer.services.papers.judging_again import RegradingDesk
from trainer.services.papers.words import PaperState
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.records import Grading, Sitting
from trainer.web.forms import tried
from trainer.web.papers.blueprint import blueprint
from trainer.web.papers.forms import ReasonForm
from trainer.web.people.entry import Page
from trainer.web.practice.writing import StoredForm
from trainer.web.present import here
from trainer.web.sittings.wired import sitting_desk
from trainer.web.wiring import wiring


def _desk() -> RegradingDesk:
    wired, finishing = wiring(), sitting_desk(Finishing)

    def judge(sitting: Sitting, number: int, reason: str, by: str) -> Grading:
        return finishing.grading_of(sitting, number, reason=reason, graded_by=by)

    return RegradingDesk(
        storage=wired.storage.scopes(paper_repositories),
        wider=wired.storage.scopes(regrading_repositories),
        form=StoredForm(),
        now=wired.now,
        new_id=wired.new_id,
        judge=judge,
    )


@blueprint.route("/<paper_id>/again", methods=["GET", "POST"])
def regrade(paper_id: str) -> Page:
    """The reports of a paper, and a new one."""
    me, form = here(), ReasonForm()
    if form.validate_on_submit():
        report = tried(form, lambda: _desk().report(me, paper_id, form.text("reason")))
        if report is not None:
            return redirect(url_for("papers.regrade", paper_id=paper_id), code=303)
    paper, reports, stale = _desk().reports(me, paper_id)
    page = render_template(
        "papers/again.html",
        paper=paper,
        reports=[(each, json.loads(each.report_json)) for each in reports],
        stale=stale,
        form=form,
        under=rule_set_version(),
        is_released=paper.state is PaperState.RELEASED,
    )
    return page if not form.is_submitted() else (page, 400)


@blueprint.post("/<paper_id>/again/<name>")
def apply_regrading(paper_id: str, name: str) -> Response:
    """Lets the markings of a report count."""
    number = _desk().apply(here(), paper_id, name)
    flash(
        ngettext(
            "%(num)s sitting is judged by the rules in force; the earlier marking is kept.",
            "%(num)s sittings are judged by the rules in force; the earlier markings are kept.",
            number,
        )
    )
    return redirect(url_for("papers.regrade", paper_id=paper_id), code=303)
