"""The pages of those who look after the whole site."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask_babel import gettext, lazy_gettext
from werkzeug.wrappers import Response
from wtforms import BooleanField, SelectField, StringField
from wtforms.validators import InputRequired, Length

from trainer.services.people.names import LONGEST_EMAIL, LONGEST_NAME
from trainer.services.people.organisations import OrganisationsDesk
from trainer.services.people.words import OrganisationKind
from trainer.web.access import OPERATORS, Access
from trainer.web.forms import MISSING, Form, option, tried
from trainer.web.people.entry import Page
from trainer.web.people.mails import link, send_invitation
from trainer.web.present import desk, person

blueprint = Blueprint("operator", __name__, url_prefix="/operator")

ACCESS: dict[str, Access] = {"operator.organisations": OPERATORS, "operator.suspend": OPERATORS}


class OrganisationForm(Form):
    """A new organisation and its first administrator."""

    name = StringField(lazy_gettext("Name of the organisation"), [InputRequired(MISSING), Length(max=LONGEST_NAME)])
    kind = SelectField(
        lazy_gettext("Kind"),
        choices=[
            option(OrganisationKind.COLLEGE.value, lazy_gettext("college")),
            option(OrganisationKind.FIRM.value, lazy_gettext("firm")),
        ],
    )
    administrator = StringField(
        lazy_gettext("Name of the administrator"), [InputRequired(MISSING), Length(max=LONGEST_NAME)]
    )
    email = StringField(lazy_gettext("Mail address of the administrator"), [Length(max=LONGEST_EMAIL)])
    second_factor = BooleanField(lazy_gettext("Staff sign in with a second factor"), default=True)


@blueprint.route("/organisations", methods=["GET", "POST"])
def organisations() -> Page:
    """All organisations, and a new one."""
    form = OrganisationForm()
    if form.validate_on_submit():
        made = tried(
            form,
            lambda: desk(OrganisationsDesk).make(
                person().person,
                name=form.text("name"),
                kind=OrganisationKind(form.text("kind")),
                administrator=form.text("administrator"),
                email=form.text("email"),
                staff_need_second_factor=bool(form.second_factor.data),
            ),
        )
        if made is not None:
            organisation, issued = made
            if issued.email is None:
                address = link("people.invitation", issued)
                return render_template("operator/made.html", organisation=organisation, issued=issued, address=address)
            sent = send_invitation(issued, organisation.name)
            flash(gettext("Made; the invitation is on its way.") if sent else gettext("Made; no mail could be sent."))
            return redirect(url_for("operator.organisations"), code=303)
    found, following = desk(OrganisationsDesk).page(request.args.get("after", ""))
    page = render_template("operator/organisations.html", form=form, organisations=found, following=following)
    return page if request.method == "GET" else (page, 400)


@blueprint.post("/organisations/<organisation_id>/suspend")
def suspend(organisation_id: str) -> Response:
    """Closes an organisation to its members, or opens it again."""
    suspended = request.form.get("suspended") == "yes"
    desk(OrganisationsDesk).suspend(person().person, organisation_id, suspended=suspended)
    return redirect(url_for("operator.organisations"), code=303)
