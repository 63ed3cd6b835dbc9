"""Links that came by mail or by hand. Opening one uses nothing up; sending its form does."""

from __future__ import annotations

from flask import current_app, flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.services.people.here import needs_code
from trainer.web.forms import tried
from trainer.web.people.blueprint import blueprint
from trainer.web.people.entry import Page, device, start_page
from trainer.web.people.forms import ForgottenForm, InvitationForm, NewPasswordForm, TakeUpForm
from trainer.web.people.mails import send_reset
from trainer.web.present import joining, present, remember


@blueprint.route("/forgotten", methods=["GET", "POST"])
def forgotten() -> Page | Response:
    """Asks for a new password. Whether there is such an account shows neither in the answer nor in its time."""
    form = ForgottenForm()
    if not form.validate_on_submit():
        page = render_template("people/forgotten.html", form=form, asked=False)
        return page if request.method == "GET" else (page, 400)
    answer = current_app.make_response(render_template("people/forgotten.html", form=form, asked=True))
    name, app = form.text("name"), current_app._get_current_object()  # type: ignore[attr-defined]  # noqa: SLF001
    root = request.url_root

    def after() -> None:
        # The looking up and the sending begin when the answer is out.
        with app.test_request_context(base_url=root):
            for issued in joining().ask_for_reset(name):
                send_reset(issued)

    answer.call_on_close(after)
    return answer


@blueprint.route("/new-password/<token>", methods=["GET", "POST"])
def reset(token: str) -> Page:
    """Sets a new password; all sessions of the account end."""
    form = NewPasswordForm()
    owner = joining().reset_of(token)
    if form.validate_on_submit() and tried(form, lambda: joining().reset(token, form.text("password"))):
        flash(gettext("The new password is set. Sign in with it."))
        return redirect(url_for("people.sign_in"), code=303)
    page = render_template("people/new_password.html", form=form, owner=owner)
    return page if request.method == "GET" else (page, 400)


@blueprint.route("/invitation/<token>", methods=["GET", "POST"])
def invitation(token: str) -> Page:
    """Takes up an invitation, with a new account or with the one that is signed in."""
    invited = joining().invitation_of(token)
    standing = present()
    if standing is not None and not needs_code(standing) and invited.member is not None:
        return _take_up(token)
    form = InvitationForm(display_name=invited.member.display_name if invited.member else "")
    if form.validate_on_submit():
        done = tried(
            form,
            lambda: joining().accept(
                token,
                name=form.text("sign_in_name"),
                display_name=form.text("display_name"),
                password=form.text("password"),
                device=device(),
            ),
        )
        if done is not None:
            remember(done.token)
            return redirect(start_page(), code=303)
    page = render_template("people/invitation.html", form=form, invited=invited, token=token)
    return page if request.method == "GET" else (page, 400)


def _take_up(token: str) -> Page:
    form, standing = TakeUpForm(), present()
    if (
        form.validate_on_submit()
        and standing is not None
        and tried(form, lambda: joining().accept_with_account(token, standing))
    ):
        return redirect(start_page(), code=303)
    invited = joining().invitation_of(token)
    page = render_template("people/take_up.html", form=form, invited=invited, standing=standing)
    return page if request.method == "GET" else (page, 400)
