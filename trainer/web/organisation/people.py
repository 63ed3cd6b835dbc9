"""People of an organisation: found, added, changed, invited, let go."""

from __future__ import annotations

from flask import flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.services.people.here import Here
from trainer.services.people.links import Issued
from trainer.services.people.members import PAGE, MemberForm, MembersDesk
from trainer.services.people.organisations import OrganisationsDesk
from trainer.services.people.records import Member
from trainer.services.people.words import MemberState, Role
from trainer.web.forms import option, tried
from trainer.web.organisation.blueprint import blueprint
from trainer.web.organisation.forms import MemberPageForm
from trainer.web.people.entry import Page
from trainer.web.people.mails import link, mail_stays_here, send_invitation
from trainer.web.present import desk, here, second_factors

_LONGEST_SEARCH = 100
_SEPARATOR = "\x1f"


@blueprint.get("/people")
def people() -> Page:
    """Members by name, fifty to a page."""
    me = here()
    search = request.args.get("search", "")[:_LONGEST_SEARCH]
    state = _state(request.args.get("state", ""))
    found = desk(MembersDesk).page(me, search=search, state=state, after=_after(request.args.get("after", "")))
    sites, work = desk(OrganisationsDesk).places(me)
    return render_template(
        "organisation/people.html",
        here=me,
        members=found[:PAGE],
        following=_name_of(found[PAGE - 1]) if len(found) > PAGE else None,
        search=search,
        state=state,
        counts=desk(MembersDesk).count(me),
        places={each.id: each.name for each in (*work, *sites)},
    )


def _state(text: str) -> MemberState | None:
    return MemberState(text) if text in list(MemberState) else None


def _after(text: str) -> tuple[str, str] | None:
    name, separator, member_id = text.rpartition(_SEPARATOR)
    return (name, member_id) if separator else None


def _name_of(member: Member) -> str:
    """Where the next page begins."""
    return f"{' '.join(member.display_name.split()).casefold()[:200]}{_SEPARATOR}{member.id}"


@blueprint.route("/people/new", methods=["GET", "POST"])
def new_member() -> Page:
    """A new member, who is invited afterwards."""
    # From the first steps of an administrator come those who teach or manage: what they are is to be ticked.
    roles = [] if request.args.get("for") == "staff" else [Role.LEARNER.value]
    me, form = here(), MemberPageForm(roles=roles)
    _offer(me, form)
    if form.validate_on_submit():
        member = tried(form, lambda: desk(MembersDesk).add(me, _filled(form)))
        if member is not None:
            flash(gettext("Added. Invite %(name)s from this page.", name=member.display_name))
            if _has_namesake(me, member):
                flash(
                    gettext(
                        "Somebody else is called %(name)s too. If it is one person, end one of the two memberships.",
                        name=member.display_name,
                    )
                )
            return redirect(url_for("organisation.member", member_id=member.id), code=303)
    page = render_template("organisation/member.html", here=me, form=form, member=None, groups=(), has_factor=False)
    return page if request.method == "GET" else (page, 400)


def _has_namesake(me: Here, member: Member) -> bool:
    found = desk(MembersDesk).page(me, search=member.display_name)
    return any(each.id != member.id and each.display_name == member.display_name for each in found)


@blueprint.route("/people/<member_id>", methods=["GET", "POST"])
def member(member_id: str) -> Page:
    """One member: who it is here, which roles, which groups."""
    me = here()
    found, groups = desk(MembersDesk).get(me, member_id)
    form = MemberPageForm(
        display_name=found.display_name,
        email=found.email or "",
        reference=found.reference or "",
        site_id=found.site_id or "",
        trade_role_id=found.trade_role_id or "",
        roles=[role.value for role in found.roles],
    )
    _offer(me, form)
    if form.validate_on_submit() and tried(form, lambda: desk(MembersDesk).change(me, member_id, _filled(form))):
        flash(gettext("Changed."))
        return redirect(url_for("organisation.member", member_id=member_id), code=303)
    has_factor = me.is_any(Role.ADMINISTRATOR) and second_factors().is_set_up(found)
    page = render_template(
        "organisation/member.html", here=me, form=form, member=found, groups=groups, has_factor=has_factor
    )
    return page if request.method == "GET" else (page, 400)


@blueprint.post("/people/<member_id>/invite")
def invite(member_id: str) -> Page:
    """An invitation: by mail where there is an address, else as a link to hand over."""
    me = here()
    issued = desk(MembersDesk).invite(me, member_id)
    if issued.email is None:
        return _by_hand(me, member_id, issued, "people.invitation")
    sent = send_invitation(issued, me.organisation_name)
    if sent and mail_stays_here():
        flash(gettext("This site sends no mail: the invitation lies on its server. Ask whoever runs the site for it."))
    elif sent:
        flash(gettext("The invitation is on its way to %(address)s. It is good for an hour.", address=issued.email))
    else:
        flash(gettext("The invitation could not be sent. Try again, or ask the operator of the site."))
    return redirect(url_for("organisation.member", member_id=member_id), code=303)


@blueprint.post("/people/<member_id>/reset")
def reset_by_hand(member_id: str) -> Page:
    """A link for a new password, to hand over to a learner without an address."""
    me = here()
    return _by_hand(me, member_id, desk(MembersDesk).reset_by_hand(me, member_id), "people.reset")


def _by_hand(me: Here, member_id: str, issued: Issued, endpoint: str) -> str:
    return render_template(
        "organisation/hand_over.html", here=me, member_id=member_id, issued=issued, address=link(endpoint, issued)
    )


@blueprint.post("/people/<member_id>/end")
def end_member(member_id: str) -> Response:
    """Ends a membership."""
    ended = desk(MembersDesk).end(here(), member_id)
    flash(gettext("The membership of %(name)s has ended.", name=ended.display_name))
    return redirect(url_for("organisation.member", member_id=member_id), code=303)


@blueprint.post("/people/<member_id>/sign-out")
def sign_out_member(member_id: str) -> Response:
    """Ends every session of a member."""
    member = desk(MembersDesk).sign_out_everywhere(here(), member_id)
    flash(gettext("%(name)s is signed out everywhere.", name=member.display_name))
    return redirect(url_for("organisation.member", member_id=member_id), code=303)


@blueprint.post("/people/<member_id>/second-factor")
def take_factor(member_id: str) -> Response:
    """Takes away a second factor that was lost with its device."""
    member = second_factors().take_away(here(), member_id)
    flash(gettext("%(name)s signs in with the password and sets up another one.", name=member.display_name))
    return redirect(url_for("organisation.member", member_id=member_id), code=303)


@blueprint.post("/people/<member_id>/take-back")
def take_back(member_id: str) -> Response:
    """Takes a member back."""
    back = desk(MembersDesk).take_back(here(), member_id)
    flash(gettext("%(name)s is a member again.", name=back.display_name))
    return redirect(url_for("organisation.member", member_id=member_id), code=303)


def _offer(me: Here, form: MemberPageForm) -> None:
    sites, work = desk(OrganisationsDesk).places(me)
    form.offer([(each.id, each.name) for each in sites], [(each.id, each.name) for each in work])
    if not me.is_any(Role.ADMINISTRATOR):
        form.roles.choices = [option(Role.LEARNER.value, gettext("learner"))]


def _filled(form: MemberPageForm) -> MemberForm:
    return MemberForm(
        display_name=form.text("display_name"),
        email=form.text("email"),
        reference=form.text("reference"),
        site_id=form.text("site_id"),
        trade_role_id=form.text("trade_role_id"),
        roles=frozenset(Role(role) for role in form.roles.data or []),
    )
