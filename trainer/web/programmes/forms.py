"""The form of a programme."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from flask import request
from flask_babel import lazy_gettext
from wtforms import BooleanField, HiddenField, IntegerField, SelectField, SelectMultipleField, StringField
from wtforms.validators import InputRequired, Length
from wtforms.widgets import CheckboxInput, ListWidget

from trainer.domain.tasks import TaskKind
from trainer.services.people.names import LONGEST_NAME
from trainer.services.programmes.programmes import ProgrammeForm
from trainer.services.programmes.records import Programme
from trainer.web.forms import MISSING, Form, option
from trainer.web.levels import LEVELS

OBJECTIVE = "objective-"

_NUMBER = {"inputmode": "numeric", "autocomplete": "off"}


class ProgrammePageForm(Form):
    """What is written of a programme."""

    title = StringField(lazy_gettext("Name of the programme"), [InputRequired(MISSING), Length(max=LONGEST_NAME)])
    cycle_months = IntegerField(lazy_gettext("Every so many months"), [InputRequired(MISSING)], render_kw=_NUMBER)
    warning_days = IntegerField(lazy_gettext("Warn so many days before"), [InputRequired(MISSING)], render_kw=_NUMBER)
    first_due_days = IntegerField(
        lazy_gettext("First time due after so many days"), [InputRequired(MISSING)], render_kw=_NUMBER
    )
    pass_percent = IntegerField(lazy_gettext("Passed from, in percent"), [InputRequired(MISSING)], render_kw=_NUMBER)
    critical_errors_fail = BooleanField(
        lazy_gettext("An answer that would leave a danger of shock or fire fails, whatever the marks")
    )
    items = IntegerField(lazy_gettext("Tasks in a refresher"), [InputRequired(MISSING)], render_kw=_NUMBER)
    level = SelectField(
        lazy_gettext("Level of the tasks"),
        choices=[
            option(str(each.number), lazy_gettext("%(number)s – %(title)s", number=each.number, title=each.title))
            for each in LEVELS
        ],
    )
    kinds = SelectMultipleField(
        lazy_gettext("Kinds of task"),
        choices=[
            option(TaskKind.QUESTION.value, lazy_gettext("short questions")),
            option(TaskKind.CHOOSE.value, lazy_gettext("choose the protection of a house")),
            option(TaskKind.INSPECT.value, lazy_gettext("inspect what stands there")),
            option(TaskKind.MEASURE.value, lazy_gettext("judge test readings")),
        ],
        widget=ListWidget(prefix_label=False),
        option_widget=CheckboxInput(),
    )
    sites = SelectMultipleField(
        lazy_gettext("Only at these sites (none ticked: all)"),
        validate_choice=False,
        widget=ListWidget(prefix_label=False),
        option_widget=CheckboxInput(),
    )
    revision = HiddenField()

    def offer(self, sites: Mapping[str, str]) -> None:
        """Sets which sites can be chosen."""
        self.sites.choices = [option(*each) for each in sites.items()]

    def whole(self, name: str) -> int:
        """The number in a field that was validated."""
        return int(self._fields[name].data)

    def filled(self, roles: Iterable[str]) -> ProgrammeForm:
        """What was filled in, with the ticks of the objectives."""
        return ProgrammeForm(
            title=self.text("title"),
            cycle_months=self.whole("cycle_months"),
            warning_days=self.whole("warning_days"),
            first_due_days=self.whole("first_due_days"),
            pass_percent=self.whole("pass_percent"),
            critical_errors_fail=bool(self.critical_errors_fail.data),
            items=self.whole("items"),
            level=int(self.text("level")),
            kinds=tuple(TaskKind(each) for each in self.kinds.data or ()),
            objectives=ticked(roles),
            sites=tuple(self.sites.data or ()),
        )


def ticked(roles: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """The objectives that were ticked for each role."""
    return {role: tuple(dict.fromkeys(request.form.getlist(OBJECTIVE + role))) for role in roles}


def usual() -> dict[str, object]:
    """What stands in the form of a new programme."""
    return {
        "title": "",
        "cycle_months": 12,
        "warning_days": 60,
        "first_due_days": 30,
        "pass_percent": 80,
        "critical_errors_fail": True,
        "items": 8,
        "level": "2",
        "kinds": [each.value for each in TaskKind],
        "sites": [],
        "revision": "1",
    }


def of_programme(programme: Programme) -> dict[str, object]:
    """What stands in the form of a programme."""
    return {
        "title": programme.title,
        "cycle_months": programme.draw.cycle_months,
        "warning_days": programme.warning_days,
        "first_due_days": programme.draw.first_due_days,
        "pass_percent": programme.pass_percent,
        "critical_errors_fail": programme.critical_errors_fail,
        "items": programme.items,
        "level": str(programme.level),
        "kinds": [each.value for each in programme.draw.kinds],
        "sites": list(programme.sites),
        "revision": str(programme.revision),
    }
