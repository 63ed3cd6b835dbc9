"""The forms of accounts."""

from __future__ import annotations

from flask_babel import lazy_gettext
from wtforms import BooleanField, HiddenField, PasswordField, StringField
from wtforms.validators import InputRequired, Length

from trainer.services.people.names import LONGEST_EMAIL, LONGEST_NAME
from trainer.services.people.passwords import LONGEST
from trainer.web.forms import MISSING, Form

# Longer input is refused before any work is done with it.
_LONGEST_TYPED_PASSWORD = 4 * LONGEST
_LONGEST_CODE = 60


def _name(label: str, complete: str, longest: int = LONGEST_EMAIL) -> StringField:
    keys = {"autocomplete": complete, "autocapitalize": "none", "spellcheck": "false", "maxlength": longest}
    return StringField(label, [InputRequired(MISSING), Length(max=longest)], render_kw=keys)


def _password(label: str, complete: str, name: str | None = None) -> PasswordField:
    checks = [InputRequired(MISSING), Length(max=_LONGEST_TYPED_PASSWORD)]
    return PasswordField(label, checks, id=name, render_kw={"autocomplete": complete})


def _code(label: str, complete: str = "off") -> StringField:
    keys = {"autocomplete": complete, "autocapitalize": "characters", "spellcheck": "false", "class": "number"}
    return StringField(label, [InputRequired(MISSING), Length(max=_LONGEST_CODE)], render_kw=keys)


def _hidden() -> HiddenField:
    # Of a field without a label the library makes one, and reads all its translations for each request to do so.
    return HiddenField("")


class SignInForm(Form):
    """Name and password."""

    name = _name(lazy_gettext("Name or mail address"), "username")
    password = _password(lazy_gettext("Password"), "current-password")
    keep = BooleanField(lazy_gettext("Keep with the account what this browser practised without one"))
    next = _hidden()


class CodeForm(Form):
    """A code by time, or one from paper."""

    code = _code(lazy_gettext("Code"), "one-time-code")


class FactorForm(CodeForm):
    """A first code by time, and the password of whoever signed in a while ago."""

    password = _password(lazy_gettext("Password"), "current-password")


class NewAccountForm(Form):
    """An account that somebody makes alone or with the code of a group."""

    code = _hidden()
    sign_in_name = _name(lazy_gettext("Name to sign in with"), "username", 40)
    display_name = StringField(
        lazy_gettext("Your name, as your group knows it"),
        [InputRequired(MISSING), Length(max=LONGEST_NAME)],
        render_kw={"autocomplete": "name", "maxlength": LONGEST_NAME},
    )
    password = _password(lazy_gettext("Password"), "new-password")
    keep = BooleanField(lazy_gettext("Keep with the account what this browser practised without one"), default=True)


class JoinForm(Form):
    """The code of a group."""

    code = _code(lazy_gettext("Code of the group"))


class ForgottenForm(Form):
    """Whose password was forgotten."""

    name = _name(lazy_gettext("Name or mail address"), "username")


class NewPasswordForm(Form):
    """A new password."""

    password = _password(lazy_gettext("New password"), "new-password")


class InvitationForm(Form):
    """The account of somebody who was invited."""

    sign_in_name = StringField(
        lazy_gettext("Name to sign in with"),
        [Length(max=LONGEST_EMAIL)],
        render_kw={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"},
    )
    display_name = StringField(
        lazy_gettext("Your name"),
        [InputRequired(MISSING), Length(max=LONGEST_NAME)],
        render_kw={"autocomplete": "name"},
    )
    password = _password(lazy_gettext("Password"), "new-password")


class TakeUpForm(Form):
    """An invitation taken up by an account that is signed in."""


class ChangePasswordForm(Form):
    """The old password and a new one."""

    old_password = _password(lazy_gettext("Password now"), "current-password")
    password = _password(lazy_gettext("New password"), "new-password")


class ConfirmForm(Form):
    """The password once more, before something that cannot be taken back."""

    password = _password(lazy_gettext("Password"), "current-password")


class PaperCodesForm(Form):
    """The password before new codes for paper, on the same page as the form above."""

    password = _password(lazy_gettext("Password"), "current-password", "password-for-codes")
