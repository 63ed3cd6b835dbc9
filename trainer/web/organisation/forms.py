"""The forms of an organisation's staff."""

from __future__ import annotations

from flask_babel import lazy_gettext
from flask_wtf.file import FileField, FileRequired
from wtforms import BooleanField, HiddenField, SelectField, SelectMultipleField, StringField
from wtforms.validators import InputRequired, Length
from wtforms.widgets import CheckboxInput, ListWidget

from trainer.services.people.names import LONGEST_EMAIL, LONGEST_NAME, LONGEST_SHORT
from trainer.services.people.roster import ENCODINGS
from trainer.services.people.words import Role
from trainer.web.forms import MISSING, Form, option

ROLE_NAMES = (
    option(Role.LEARNER.value, lazy_gettext("learner")),
    option(Role.LECTURER.value, lazy_gettext("lecturer")),
    option(Role.TRAINING_MANAGER.value, lazy_gettext("training manager")),
    option(Role.ADMINISTRATOR.value, lazy_gettext("administrator")),
)
_NONE = option("", lazy_gettext("none"))


class MemberPageForm(Form):
    """What is written of a member."""

    display_name = StringField(lazy_gettext("Name"), [InputRequired(MISSING), Length(max=LONGEST_NAME)])
    email = StringField(
        lazy_gettext("Mail address"), [Length(max=LONGEST_EMAIL)], render_kw={"type": "email", "autocomplete": "off"}
    )
    reference = StringField(lazy_gettext("Reference"), [Length(max=LONGEST_SHORT)])
    site_id = SelectField(lazy_gettext("Site"), validate_choice=False)
    trade_role_id = SelectField(lazy_gettext("Works as"), validate_choice=False)
    roles = SelectMultipleField(
        lazy_gettext("Roles"),
        choices=ROLE_NAMES,
        widget=ListWidget(prefix_label=False),
        option_widget=CheckboxInput(),
    )

    def offer(self, sites: list[tuple[str, str]], work: list[tuple[str, str]]) -> None:
        """Sets what can be chosen."""
        self.site_id.choices = [_NONE, *(option(*each) for each in sites)]
        self.trade_role_id.choices = [_NONE, *(option(*each) for each in work)]


class NameForm(Form):
    """One name."""

    name = StringField(lazy_gettext("Name"), [InputRequired(MISSING), Length(max=LONGEST_SHORT)])


class RosterForm(Form):
    """A file with a roster."""

    file = FileField(lazy_gettext("File (CSV)"), [FileRequired(MISSING)], render_kw={"accept": ".csv,text/csv"})
    encoding = SelectField(lazy_gettext("Encoding"), choices=[option(name, name.upper()) for name in ENCODINGS])


class TakeRosterForm(Form):
    """The consent to exactly what was shown."""

    fingerprint = HiddenField()


class SettingsForm(Form):
    """What an administrator sets for the whole organisation."""

    name = StringField(lazy_gettext("Name of the organisation"), [InputRequired(MISSING), Length(max=LONGEST_NAME)])
    staff_need_second_factor = BooleanField(lazy_gettext("Staff sign in with a second factor"))
    release_needs_second_person = BooleanField(lazy_gettext("A second person confirms before marks are released"))
