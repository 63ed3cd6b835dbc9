"""The forms of papers."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from flask_babel import lazy_gettext
from wtforms import BooleanField, DateTimeLocalField, HiddenField, IntegerField, SelectField, StringField, TextAreaField
from wtforms.fields import SelectMultipleField
from wtforms.validators import InputRequired, Length, NumberRange, Optional
from wtforms.widgets import CheckboxInput, ListWidget

from trainer.services.papers.desk import LONGEST_REASON
from trainer.services.papers.needs import LONGEST_NOTE, MOST_BREAKS_MIN, MOST_EXTRA_PERCENT
from trainer.services.papers.settings import LONGEST_CODE, LONGEST_TITLE, PaperSettings
from trainer.services.papers.words import PaperMode, ReleasePolicy
from trainer.services.people.records import GroupSize
from trainer.web.forms import MISSING, Form, option

MODES = (
    option(PaperMode.PRACTICE.value, lazy_gettext("practice: marks and reasons at once")),
    option(PaperMode.GRADED.value, lazy_gettext("graded: own time and place")),
    option(PaperMode.SUPERVISED.value, lazy_gettext("supervised: in the room, with the access code")),
)
RELEASES = (
    option(ReleasePolicy.BY_HAND.value, lazy_gettext("by hand")),
    option(ReleasePolicy.ON_DATE.value, lazy_gettext("on a date, once they are moderated")),
)
_MINUTE = "%Y-%m-%dT%H:%M"


def _time(label: str) -> DateTimeLocalField:
    return DateTimeLocalField(label, [Optional()], format=[_MINUTE, "%Y-%m-%dT%H:%M:%S"])


class SettingsForm(Form):
    """What a lecturer sets of a paper beside its blueprint."""

    revision = HiddenField()
    title = StringField(lazy_gettext("Title"), [InputRequired(MISSING), Length(max=LONGEST_TITLE)])
    group_ids = SelectMultipleField(
        lazy_gettext("Groups that sit it"),
        widget=ListWidget(prefix_label=False),
        option_widget=CheckboxInput(),
        validate_choice=False,
    )
    mode = SelectField(lazy_gettext("How it is sat"), choices=MODES)
    opens_at = _time(lazy_gettext("Opens (UTC)"))
    closes_at = _time(lazy_gettext("Closes (UTC)"))
    time_limit_min = IntegerField(lazy_gettext("Time limit in minutes"), [Optional()])
    attempts_allowed = IntegerField(lazy_gettext("Attempts"), [InputRequired(MISSING)])
    access_code = StringField(lazy_gettext("Access code"), [Length(max=2 * LONGEST_CODE)])
    pass_percent = IntegerField(lazy_gettext("Pass at (% of the marks)"), [Optional()])
    critical_errors_fail = BooleanField(lazy_gettext("An answer that is not safe to energise fails the paper"))
    release_policy = SelectField(lazy_gettext("Marks are released"), choices=RELEASES)
    release_at = _time(lazy_gettext("Release date (UTC)"))

    def offer(self, groups: Sequence[GroupSize]) -> None:
        """Sets the groups that can be chosen."""
        self.group_ids.choices = [option(each.group.id, f"{each.group.name} ({each.learners})") for each in groups]

    def settings(self) -> PaperSettings:
        """What was filled in."""
        return PaperSettings(
            title=self.text("title"),
            mode=PaperMode(self.text("mode")),
            opens_at=_utc(self.opens_at.data),
            closes_at=_utc(self.closes_at.data),
            time_limit_min=self.time_limit_min.data,
            attempts_allowed=self.attempts_allowed.data or 0,
            access_code=self.text("access_code") or None,
            pass_percent=self.pass_percent.data,
            critical_errors_fail=bool(self.critical_errors_fail.data),
            release_policy=ReleasePolicy(self.text("release_policy")),
            release_at=_utc(self.release_at.data),
        )


class ArrangementForm(Form):
    """What one person needs."""

    member_id = SelectField(lazy_gettext("For whom"), validate_choice=False)
    extra_time_percent = IntegerField(
        lazy_gettext("Extra time in %"), [Optional(), NumberRange(0, MOST_EXTRA_PERCENT)], default=25
    )
    rest_breaks_min = IntegerField(
        lazy_gettext("Rest breaks in minutes, in all; the clock stands"),
        [Optional(), NumberRange(0, MOST_BREAKS_MIN)],
        default=0,
    )
    larger_text = BooleanField(lazy_gettext("Larger text"))
    for_every_paper = BooleanField(lazy_gettext("For every paper, not only this one"))
    note = StringField(lazy_gettext("Note for the staff (no diagnosis)"), [Length(max=LONGEST_NOTE)])


class MarkForm(Form):
    """Other marks for one item of one sitting."""

    marks = IntegerField(lazy_gettext("Marks"), [InputRequired(MISSING)])
    reason = TextAreaField(lazy_gettext("Reason"), [InputRequired(MISSING), Length(max=LONGEST_REASON)])


class ReasonForm(Form):
    """A reason."""

    reason = TextAreaField(lazy_gettext("Reason"), [InputRequired(MISSING), Length(max=LONGEST_REASON)])


class AnswerForm(Form):
    """The answer to a learner's note."""

    answer = TextAreaField(lazy_gettext("Answer"), [InputRequired(MISSING), Length(max=LONGEST_REASON)])
    upheld = SelectField(
        lazy_gettext("Decision"),
        choices=(
            option("no", lazy_gettext("the mark stands")),
            option("yes", lazy_gettext("the note is right; change the mark")),
        ),
    )


def _utc(time: datetime | None) -> datetime | None:
    return None if time is None else time.replace(tzinfo=UTC)
