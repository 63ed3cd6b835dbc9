"""Groups: made, filled by code or by hand, put away."""

from __future__ import annotations

from flask import current_app, flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.services.people.groups import MOST_INVITED, GroupsDesk
from trainer.services.people.secrets import in_groups
from trainer.services.people.words import GroupPart
from trainer.web.forms import tried
from trainer.web.organisation.blueprint import blueprint
from trainer.web.organisation.forms import NameForm
from trainer.web.people.account import qr
from trainer.web.people.entry import Page
from trainer.web.people.mails import link, mail_stays_here, send_invitation
from trainer.web.present import desk, here
from trainer.web.wiring import wiring


@blueprint.route("/groups", methods=["GET", "POST"])
def groups() -> Page:
    """The groups that the member may see, and a new one."""
    me, form = here(), NameForm()
    if form.validate_on_submit():
        group = tried(form, lambda: desk(GroupsDesk).make(me, form.text("name")))
        if group is not None:
            return redirect(url_for("organisation.group", group_id=group.id), code=303)
    page = render_template("organisation/groups.html", here=me, form=form, groups=desk(GroupsDesk).all(me))
    return page if request.method == "GET" else (page, 400)


@blueprint.get("/groups/<group_id>")
def group(group_id: str) -> Page:
    """One group: its members, its code."""
    me = here()
    view = desk(GroupsDesk).view(me, group_id)
    code = in_groups(view.code.code) if view.code else None
    return render_template(
        "organisation/group.html", here=me, view=view, code=code, form=NameForm(name=view.group.name)
    )


@blueprint.post("/groups/<group_id>/name")
def rename_group(group_id: str) -> Response:
    """Gives the group another name."""
    desk(GroupsDesk).rename(here(), group_id, request.form.get("name", ""))
    return _back(group_id)


@blueprint.post("/groups/<group_id>/archive")
def archive_group(group_id: str) -> Response:
    """Puts the group away, or takes it out again."""
    desk(GroupsDesk).archive(here(), group_id, archived=request.form.get("archived") == "yes")
    return _back(group_id)


@blueprint.post("/groups/<group_id>/code")
def new_code(group_id: str) -> Response:
    """A new code for the group."""
    desk(GroupsDesk).new_code(here(), group_id)
    return redirect(url_for("organisation.show_code", group_id=group_id), code=303)


@blueprint.get("/groups/<group_id>/code")
def show_code(group_id: str) -> Page:
    """The code large, with its QR code: for the wall."""
    view = desk(GroupsDesk).view(here(), group_id)
    if view.code is None:
        return _back(group_id)
    base = (wiring().address or request.url_root).rstrip("/")
    address = base + url_for("people.join", code=view.code.code)
    return render_template(
        "organisation/code.html",
        view=view,
        code=in_groups(view.code.code),
        place=base.partition("://")[2] + url_for("people.join"),
        picture=qr(address),
    )


@blueprint.post("/groups/<group_id>/code/end")
def end_code(group_id: str) -> Response:
    """Ends the code of the group."""
    desk(GroupsDesk).end_code(here(), group_id)
    return _back(group_id)


@blueprint.post("/groups/<group_id>/invite")
def invite_group(group_id: str) -> Page:
    """Invites everybody of the group who has no account yet: by mail, or by slips to hand out."""
    me = here()
    issued = desk(GroupsDesk).invite_all(me, group_id)
    by_mail = [each for each in issued if each.email is not None]
    slips = [(each, link("people.invitation", each)) for each in issued if each.email is None]
    page = render_template(
        "organisation/hand_out.html",
        here=me,
        group_id=group_id,
        by_mail=by_mail,
        slips=slips,
        most=MOST_INVITED,
        stays_here=mail_stays_here(),
    )
    answer = current_app.make_response(page)
    app, root = current_app._get_current_object(), request.url_root  # type: ignore[attr-defined]  # noqa: SLF001

    def after() -> None:
        # A mail server may take its time; the page does not wait for it.
        with app.test_request_context(base_url=root):
            for each in by_mail:
                send_invitation(each, me.organisation_name)

    answer.call_on_close(after)
    return answer


@blueprint.post("/groups/<group_id>/members")
def put_member(group_id: str) -> Response:
    """Puts a member into the group: named by reference, address or name."""
    me = here()
    part = GroupPart.TEACHES if request.form.get("part") == GroupPart.TEACHES.value else GroupPart.LEARNS
    named = desk(GroupsDesk).put_named(me, group_id, request.form.get("who", ""), part)
    flash(gettext("%(name)s is in the group.", name=named.display_name))
    return _back(group_id)


@blueprint.post("/groups/<group_id>/members/<member_id>/out")
def take_out(group_id: str, member_id: str) -> Response:
    """Takes a member out of the group."""
    desk(GroupsDesk).take_out(here(), group_id, member_id)
    return _back(group_id)


def _back(group_id: str) -> Response:
    return redirect(url_for("organisation.group", group_id=group_id), code=303)
