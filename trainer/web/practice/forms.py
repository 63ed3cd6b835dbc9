"""The form of a task: one choice for each decision, and how sure; everything wrong is said at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flask_babel import gettext
from werkzeug.datastructures import MultiDict

from trainer.domain.answers.decisions import Decision

CHOICE, CERTAINTY = "choice-", "sure-"
SHOW = "show"
"""Asks for the page with the choices made so far in its drawing; nothing is marked."""

_OWN = frozenset({"csrf_token", "attempt", SHOW})


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """What was sent: choices and certainties by decision, and what is wrong by decision id."""

    answers: Mapping[str, str]
    certainty: Mapping[str, int]
    problems: Mapping[str, str]

    @property
    def is_empty(self) -> bool:
        """True while nothing was chosen and nothing is wrong: the form as everybody gets it."""
        return not (self.answers or self.certainty or self.problems)


EMPTY = Filled(answers={}, certainty={}, problems={})


def read(form: MultiDict[str, str], decisions: Sequence[Decision]) -> Filled:
    """Reads a form that was sent; ``problems`` is empty exactly if it can be marked."""
    answers: dict[str, str] = {}
    certainty: dict[str, int] = {}
    problems: dict[str, str] = {}
    for decision in decisions:
        chosen = form.getlist(CHOICE + decision.id)
        known = [option.id for option in decision.options]
        if not chosen:
            problems[decision.id] = gettext("Choose one of the options.")
        elif len(chosen) > 1:
            problems[decision.id] = gettext("One option only: this decision was sent more than once.")
        elif chosen[0] not in known:
            problems[decision.id] = gettext("This decision has no such option; choose one of those listed.")
        else:
            answers[decision.id] = chosen[0]
        sure = form.get(CERTAINTY + decision.id, "")
        if sure in ("0", "1", "2", "3"):
            certainty[decision.id] = int(sure)
        elif sure:
            problems[decision.id] = gettext("How sure you are goes from 0 to 3.")
    names = {prefix + decision.id for decision in decisions for prefix in (CHOICE, CERTAINTY)} | _OWN
    if set(form) - names:
        problems[""] = gettext("The form held fields that this task does not have; nothing was marked.")
    return Filled(answers=answers, certainty=certainty, problems=problems)
