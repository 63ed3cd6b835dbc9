"""Access arrangements of those who sit a paper."""

from __future__ import annotations

from flask import flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.services.papers.needs import NeedsDesk, Wanted
from trainer.web.forms import option, tried
from trainer.web.papers.blueprint import blueprint, desk
from trainer.web.papers.forms import ArrangementForm
from trainer.web.people.entry import Page
from trainer.web.present import here


@blueprint.route("/<paper_id>/arrangements", methods=["GET", "POST"])
def arrangements(paper_id: str) -> Page:
    """What is arranged for whom, and one more."""
    me, form = here(), ArrangementForm()
    view = desk(NeedsDesk).view(me, paper_id)
    form.member_id.choices = [
        option("", gettext("choose")),
        *(option(each.member_id, each.display_name) for each in view.candidates),
    ]
    if form.validate_on_submit():
        done = tried(form, lambda: desk(NeedsDesk).arrange(me, paper_id, _wanted(form)))
        if done is not None:
            flash(gettext("Arranged."))
            return redirect(url_for("papers.arrangements", paper_id=paper_id), code=303)
    names = {each.member_id: each.display_name for each in view.candidates}
    page = render_template("papers/arrangements.html", view=view, paper=view.paper, form=form, names=names)
    return page if request.method == "GET" else (page, 400)


def _wanted(form: ArrangementForm) -> Wanted:
    return Wanted(
        member_id=form.text("member_id"),
        extra_time_percent=form.extra_time_percent.data or 0,
        rest_breaks_min=form.rest_breaks_min.data or 0,
        larger_text=bool(form.larger_text.data),
        note=form.text("note"),
        for_every_paper=bool(form.for_every_paper.data),
    )


@blueprint.post("/<paper_id>/arrangements/<arrangement_id>/end")
def end_arrangement(paper_id: str, arrangement_id: str) -> Response:
    """Ends an arrangement."""
    desk(NeedsDesk).end(here(), paper_id, arrangement_id)
    flash(gettext("Ended."))
    return redirect(url_for("papers.arrangements", paper_id=paper_id), code=303)
