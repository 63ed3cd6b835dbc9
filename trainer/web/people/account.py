"""A person's own account: groups, sessions, password, second factor, practice."""

from __future__ import annotations

import io

import segno
from flask import flash, redirect, render_template, request, session, url_for
from flask_babel import gettext
from markupsafe import Markup
from werkzeug.wrappers import Response

from trainer.services.people.first_steps import FirstSteps
from trainer.services.people.here import must_set_up
from trainer.services.people.signing_in import ends_at
from trainer.web.forms import tried
from trainer.web.people.blueprint import blueprint
from trainer.web.people.entry import Page, start_page
from trainer.web.people.entry import keep_practice as kept
from trainer.web.people.forms import ChangePasswordForm, CodeForm, ConfirmForm, FactorForm, PaperCodesForm
from trainer.web.present import LEARNER, desk, joining, person, present_here, remember, second_factors
from trainer.web.wiring import wiring


@blueprint.get("/account")
def account() -> Page:
    """What belongs to the account."""
    standing = person()
    if must_set_up(standing):
        return redirect(url_for("people.second_factor"), code=303)
    return render_template("people/account.html", **_facts())


@blueprint.post("/account/password")
def password() -> Page:
    """Changes the password; all other sessions end and this one goes on under a new token."""
    form, standing = ChangePasswordForm(), person()
    if form.validate_on_submit():
        token = tried(
            form, lambda: joining().change_password(standing, form.text("old_password"), form.text("password"))
        )
        if token is not None:
            remember(token)
            flash(gettext("The password is changed. You are signed out everywhere else."))
            return redirect(url_for("people.account"), code=303)
    return render_template("people/account.html", **{**_facts(), "password_form": form}), 400


@blueprint.route("/account/second-factor", methods=["GET", "POST"])
def second_factor() -> Page:
    """Sets up codes by time: a QR code for the device, a first code back."""
    standing = person()
    if standing.has_second_factor:
        return _factor_page(PaperCodesForm(), ConfirmForm())
    form = FactorForm() if second_factors().asks_for_password(standing) else CodeForm()
    if form.validate_on_submit():
        done = tried(form, lambda: second_factors().confirm(standing, form.text("code"), form.text("password")))
        if done is not None:
            token, codes = done
            remember(token)
            return render_template("people/paper_codes.html", codes=codes)
    factor = second_factors().begin(standing.person)
    secret = second_factors().secret_of(factor)
    address = second_factors().address_of(standing.person, factor, "Protection Trainer")
    groups = [secret[start : start + 4] for start in range(0, len(secret), 4)]
    page = render_template(
        "people/set_up_factor.html", form=form, picture=qr(address), groups=groups, must=must_set_up(standing)
    )
    return page if request.method == "GET" else (page, 400)


@blueprint.post("/account/second-factor/remove")
def remove_second_factor() -> Page:
    """Takes the second factor away, after the password."""
    form, standing = ConfirmForm(), person()
    if form.validate_on_submit():
        token = tried(form, lambda: second_factors().remove(standing, form.text("password")))
        if token is not None:
            remember(token)
            flash(gettext("The second factor is taken away."))
            return redirect(url_for("people.account"), code=303)
    return _factor_page(PaperCodesForm(), form), 400


@blueprint.post("/account/second-factor/codes")
def new_paper_codes() -> Page:
    """New codes for paper, after the password; the earlier ones end."""
    form, standing = PaperCodesForm(), person()
    if not standing.has_second_factor:
        return redirect(url_for("people.second_factor"), code=303)
    if form.validate_on_submit():
        made = tried(form, lambda: second_factors().new_codes(standing, form.text("password")))
        if made is not None:
            token, codes = made
            remember(token)
            return render_template("people/paper_codes.html", codes=codes)
    return _factor_page(form, ConfirmForm()), 400


def _factor_page(codes: PaperCodesForm, removal: ConfirmForm) -> str:
    """A factor that is set up: both forms take the password, and only the one that was sent has something to say."""
    left = second_factors().codes_left(person().person)
    return render_template("people/second_factor.html", codes=codes, removal=removal, left=left)


@blueprint.post("/account/sessions/<session_id>/end")
def end_session(session_id: str) -> Response:
    """Signs the person out on one device."""
    if joining().revoke(person().person, session_id):
        flash(gettext("Signed out there."))
    return redirect(url_for("people.account"), code=303)


@blueprint.post("/account/sessions/end-others")
def end_other_sessions() -> Response:
    """Signs the person out everywhere else."""
    joining().revoke_others(person())
    flash(gettext("Signed out everywhere else."))
    return redirect(url_for("people.account"), code=303)


@blueprint.post("/account/work-in")
def work_in() -> Response:
    """Chooses the organisation to work in."""
    joining().work_in(person(), request.form.get("member", ""))
    return redirect(start_page(), code=303)


@blueprint.post("/account/keep-practice")
def keep_practice() -> Response:
    """Lets what this browser practised without an account count for the account."""
    learner = session.get(LEARNER)
    if isinstance(learner, str):
        kept(person().person, learner)
        flash(gettext("What this browser practised counts for your account now."))
    return redirect(url_for("people.account"), code=303)


def qr(text: str) -> Markup:
    """The text as a QR code (ISO/IEC 18004), black on white in every scheme, so that devices read it."""
    drawn = io.BytesIO()
    segno.make(text, error="m", micro=False).save(
        drawn,
        kind="svg",
        xmldecl=False,
        svgns=False,
        omitsize=True,
        border=4,
        light="#fff",
        svgclass="code",
        lineclass=None,
    )
    return Markup(drawn.getvalue().decode("ascii"))  # noqa: S704 - made by the library from numbers only


def _facts() -> dict[str, object]:
    standing = person()
    here = present_here()
    with_groups = joining().groups_of(here) if here else ()
    steps = desk(FirstSteps).of(here, has_second_factor=standing.has_second_factor) if here else ()
    return {
        "standing": standing,
        "here": here,
        "memberships": joining().memberships(standing.person),
        "groups": with_groups,
        "steps": steps,
        "sessions": joining().sessions(standing.person),
        "ends_at": ends_at(standing),
        "now": wiring().now(),
        "password_form": ChangePasswordForm(),
        "practised": isinstance(session.get(LEARNER), str),
    }
