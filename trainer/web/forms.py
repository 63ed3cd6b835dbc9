"""Forms that people fill in: one home for how they are checked and how problems come back to their fields."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from flask_babel import lazy_gettext
from flask_wtf import FlaskForm
from wtforms import Field
from wtforms.fields import choices

from trainer.domain.errors import Problem, TrainerError

T = TypeVar("T")


class Form(FlaskForm):  # type: ignore[misc]  # the library carries no types
    """A form with a token against other sites, and with problems that belong to no field."""

    general: list[str]

    def tell(self, problems: tuple[Problem, ...]) -> None:
        """Puts problems to the fields of their names, the rest above the form."""
        self.general = getattr(self, "general", [])
        for problem in problems:
            field: Field | None = self._fields.get(problem.path)
            if field is None:
                self.general.append(str(problem))
            else:
                field.errors = [*field.errors, problem.problem]

    def say(self, text: str) -> None:
        """Puts a sentence above the form."""
        self.general = [*getattr(self, "general", []), text]

    def text(self, name: str) -> str:
        """What stands in a field of text."""
        field: Field | None = self._fields.get(name)
        return str(field.data or "") if field is not None else ""

    @property
    def above(self) -> list[str]:
        """What stands above the form."""
        return getattr(self, "general", [])


def tried(form: Form, action: Callable[[], T]) -> T | None:
    """What the action gives, or None with its problems in the form."""
    try:
        return action()
    except TrainerError as error:
        form.tell(error.problems)
        return None


def option(value: str, label: str) -> Any:
    """One of the options of a list."""
    # Newer versions of the library have a class for it and warn of pairs.
    kind = getattr(choices, "SelectChoice", None)
    return (value, label) if kind is None else kind(value, label)


MISSING = lazy_gettext("Fill this in.")
