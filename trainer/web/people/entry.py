"""The ways in: signing in, the code after it, a new account, joining a group by its code."""

from __future__ import annotations

from urllib.parse import urlsplit

from flask import flash, redirect, render_template, request, session, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.services.people.here import needs_code
from trainer.services.people.records import Person
from trainer.services.people.signing_in import SignedIn
from trainer.web.forms import tried
from trainer.web.known import note
from trainer.web.learner import current_learner
from trainer.web.people.blueprint import blueprint
from trainer.web.people.forms import CodeForm, JoinForm, NewAccountForm, SignInForm
from trainer.web.present import LEARNER, forget, joining, person, present, remember, second_factors

# What browsers say of themselves; most also name those whose pages they show, so the order counts.
_PROGRAMS = (
    ("Firefox/", "Firefox"),
    ("Edg/", "Edge"),
    ("OPR/", "Opera"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
_SYSTEMS = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Android", "Android"),
    ("Windows", "Windows"),
    ("Mac OS X", "macOS"),
    ("Linux", "Linux"),
)

Page = str | tuple[str, int] | Response


@blueprint.route("/sign-in", methods=["GET", "POST"])
def sign_in() -> Page:
    """Name and password; what is wrong of the two is not told."""
    form = SignInForm(next=request.args.get("next", ""))
    if form.validate_on_submit():
        done = joining().sign_in(form.text("name"), form.text("password"), device())
        if done is not None:
            return _welcome(done, keep=form.keep.data, to=form.text("next"))
        form.say(gettext("This name and this password do not belong together. Check both, or ask for a new password."))
    return _form_page("people/sign_in.html", form, practised=_practised())


@blueprint.route("/sign-in/code", methods=["GET", "POST"])
def code() -> Page:
    """The second factor of a session that has given the password."""
    standing = person()
    if not needs_code(standing):
        return redirect(url_for("people.account"), code=303)
    form = CodeForm()
    if form.validate_on_submit():
        token = second_factors().pass_with(standing, form.text("code"))
        if token is not None:
            to = own_path(session.get("next"))
            remember(token)
            return redirect(to or start_page(), code=303)
        form.code.errors = [gettext("Not the code of this moment, nor an unused one from your list.")]
    return _form_page("people/code.html", form)


@blueprint.post("/sign-out")
def sign_out() -> Response:
    """Ends the session."""
    joining().sign_out(person())
    forget()
    answer = redirect(url_for("home.welcome"), code=303)
    # Not the cookie: whoever practised in this browser without an account goes on.
    answer.headers["Clear-Site-Data"] = '"cache"'
    return answer


@blueprint.route("/account/new", methods=["GET", "POST"])
def new_account() -> Page:
    """An account of one's own; with the code of a group, in that group at once."""
    form = NewAccountForm(code=request.args.get("code", ""))
    code = form.text("code")
    door = tried(form, lambda: joining().door(code)) if code else None
    if form.validate_on_submit() and not form.above:
        done = tried(
            form,
            lambda: joining().make_account(
                name=form.text("sign_in_name"),
                display_name=form.text("display_name"),
                password=form.text("password"),
                device=device(),
                code=code or None,
            ),
        )
        if done is not None:
            return _welcome(done, keep=form.keep.data, to="")
    page = _form_page("people/new_account.html", form, door=door, practised=_practised())
    # Found out by its address alone it would be counted by nobody.
    return (page, 404) if isinstance(page, str) and code and door is None else page


@blueprint.route("/join", methods=["GET", "POST"])
def join() -> Page:
    """Joining a group by its code: read off a wall, or out of the address of a QR code."""
    form = JoinForm(code=request.args.get("code", ""))
    standing = present()
    if form.validate_on_submit():
        if standing is None or needs_code(standing):
            door = tried(form, lambda: joining().door(form.text("code")))
            if door is not None:
                return redirect(url_for("people.new_account", code=door.code), code=303)
        else:
            door = tried(form, lambda: joining().join(standing, form.text("code")))
            if door is not None:
                flash(
                    gettext(
                        "You are in the group %(group)s of %(where)s.",
                        group=door.group.name,
                        where=door.organisation.name,
                    )
                )
                return redirect(url_for("people.account"), code=303)
    return _form_page("people/join.html", form)


def device() -> str:
    """What the browser says of itself, so that its owner knows the session again."""
    said = request.user_agent.string
    program = next((name for mark, name in _PROGRAMS if mark in said), None)
    system = next((name for mark, name in _SYSTEMS if mark in said), None)
    if program is None or system is None:
        return said or str(gettext("unknown device"))
    return str(gettext("%(program)s on %(system)s", program=program, system=system))


def own_path(address: object) -> str | None:
    """The address if it is a path of this site; anything that could lead elsewhere is none."""
    if not isinstance(address, str) or not address.startswith("/") or address.startswith(("//", "/\\")):
        return None
    parts = urlsplit(address)
    printable = address.isprintable() and "\\" not in address
    return address if printable and not parts.netloc and not parts.scheme else None


def start_page() -> str:
    """Where somebody goes who has just come in."""
    return url_for("people.account")


def _welcome(done: SignedIn, *, keep: bool, to: object) -> Response:
    learner, earlier = session.get(LEARNER), present()
    if earlier is not None:
        # Nobody could see this session again, so nobody could end it.
        joining().sign_out(earlier)
    remember(done.token)
    note(done.person.sign_in_name)
    if keep and isinstance(learner, str):
        keep_practice(done.person, learner)
    session["next"] = own_path(to) or ""
    return redirect(own_path(to) or start_page(), code=303)


def keep_practice(owner: Person, learner: str) -> None:
    """Lets what this browser practised count for the account; the cookie forgets its number."""
    joining().keep_practice(owner, learner)
    session.pop(LEARNER, None)


def _practised() -> bool:
    return present() is None and current_learner() is not None


def _form_page(template: str, form: object, **more: object) -> Page:
    page = render_template(template, form=form, **more)
    return (page, 400) if request.method == "POST" else page
