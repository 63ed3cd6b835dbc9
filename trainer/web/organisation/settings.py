"""What an administrator sets, and the log of who did what."""

from __future__ import annotations

from flask import flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.services.people.members import MembersDesk
from trainer.services.people.organisations import OrganisationsDesk
from trainer.web.forms import tried
from trainer.web.organisation.blueprint import blueprint
from trainer.web.organisation.forms import SettingsForm
from trainer.web.people.entry import Page
from trainer.web.present import desk, here

_SHOWN = 100


@blueprint.route("/settings", methods=["GET", "POST"])
def settings() -> Page:
    """Name, second factor, second person; sites and what people work as."""
    me = here()
    form = SettingsForm(
        name=me.organisation.name,
        staff_need_second_factor=me.organisation.staff_need_second_factor,
        release_needs_second_person=me.organisation.release_needs_second_person,
    )
    if form.validate_on_submit():
        done = tried(
            form,
            lambda: desk(OrganisationsDesk).change(
                me,
                name=form.text("name"),
                release_needs_second_person=bool(form.release_needs_second_person.data),
                staff_need_second_factor=bool(form.staff_need_second_factor.data),
            ),
        )
        if done is not None:
            flash(gettext("Changed."))
            return redirect(url_for("organisation.settings"), code=303)
    sites, work = desk(OrganisationsDesk).places(me)
    page = render_template("organisation/settings.html", here=me, form=form, sites=sites, work=work)
    return page if request.method == "GET" else (page, 400)


@blueprint.post("/settings/places")
def add_place() -> Response:
    """A new site, or something that people work as."""
    name = request.form.get("name", "")
    if request.form.get("kind") == "site":
        desk(OrganisationsDesk).add_site(here(), name)
    else:
        desk(OrganisationsDesk).add_trade_role(here(), name)
    return redirect(url_for("organisation.settings"), code=303)


@blueprint.get("/log")
def log() -> Page:
    """Who did what, newest first."""
    text = request.args.get("before", "")
    before = int(text[:18]) if text.isascii() and text.isdigit() else None
    entries, names = desk(MembersDesk).log(here(), before=before, limit=_SHOWN)
    return render_template("organisation/log.html", entries=entries, names=names, more=len(entries) == _SHOWN)
