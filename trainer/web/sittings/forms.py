"""What an item page sends: answers that may be unfinished, and which save it is; and the same back into its fields."""

from __future__ import annotations

from collections.abc import Mapping

from werkzeug.datastructures import MultiDict

from trainer.domain.asks.answers import canonical
from trainer.domain.asks.forms import Ask, AskForm
from trainer.domain.errors import Problem
from trainer.domain.tasks import Task
from trainer.services.sittings.errors import SittingError
from trainer.services.sittings.records import Answerable, Answers, SavedAnswer
from trainer.services.sittings.working import Stamp
from trainer.web.asked import forms as asked_forms
from trainer.web.practice import forms as practice_forms
from trainer.web.practice.forms import CHOICE, SHOW, Filled

GO, SENDER, SEQUENCE, BASE = "go", "sender", "sequence", "base"
_OWN = frozenset({GO, SENDER, SEQUENCE, BASE, SHOW})
_LONGEST_FIELD = 2000
_LONGEST_SENDER = 43
_MOST = 2**53


def read_answers(form: MultiDict[str, str], task: Task | Answerable) -> Answers:
    """What was sent, complete or not. *Raises* SittingError for a form of another task."""
    sent = MultiDict([(name, value) for name, value in form.items(multi=True) if name not in _OWN])
    if task.asks:
        filled = asked_forms.read(sent, task.asks)
        fields = {each.id: _fields(each) for each in task.asks}
    else:
        filled = practice_forms.read(sent, task.decisions)
        fields = {each.id: [CHOICE + each.id] for each in task.decisions}
    if "" in filled.problems:
        raise SittingError(Problem(path="form", problem="holds fields that this task does not have; load it again"))
    asks = {each.id: each for each in task.asks}
    given = {
        name: canonical(asks[name], value) if name in asks else value
        for name, value in filled.answers.items()
        if name not in filled.problems
    }
    raw = {
        field: values
        for name, names in fields.items()
        if name not in given
        for field in names
        if (values := tuple(each[:_LONGEST_FIELD] for each in sent.getlist(field) if each.strip()))
    }
    return Answers(given=given, certainty=dict(filled.certainty), unfinished=raw)


def read_stamp(form: MultiDict[str, str]) -> Stamp:
    """Which save it is. *Raises* SittingError."""
    sender = form.get(SENDER, "")
    sequence, base = _number(form.get(SEQUENCE, "")), _number(form.get(BASE, ""))
    if not 1 <= len(sender) <= _LONGEST_SENDER or sequence is None or base is None or not sequence >= 1:
        raise SittingError(Problem(path="form", problem="does not say which save it is; load the page again"))
    return Stamp(sender=sender, sequence=sequence, base=base)


def without_script(stamp: Stamp, stands: SavedAnswer | None) -> Stamp:
    """The same page sent again by its button: the browser did not count on, so the server does."""
    if stands is not None and stands.sender == stamp.sender and stands.sequence >= stamp.sequence:
        return Stamp(sender=stamp.sender, sequence=stands.sequence + 1, base=stamp.base)
    return stamp


def filled_of(answers: Answers) -> Filled:
    """The answers as the pages of tasks take them, unfinished numbers as they were typed."""
    typed = {
        name.removeprefix(CHOICE): values[0]
        for name, values in answers.unfinished.items()
        if name.startswith(CHOICE) and len(values) == 1
    }
    return Filled(answers={**typed, **answers.given}, certainty=answers.certainty, problems={})


def parts_of(task: Task, answers: Answers) -> dict[str, dict[str, str]]:
    """What stands in the fields of orders, matches and ticks, by ask and choice."""
    return {each.id: _parts(each, answers) for each in task.asks}


def _parts(ask: Ask, answers: Answers) -> dict[str, str]:
    given = answers.given.get(ask.id)
    if given is None:
        return _raw_parts(ask, answers.unfinished)
    if ask.form is AskForm.ORDER:
        return {each: str(number) for number, each in enumerate(given.split(">"), start=1)}
    pairs = (pair.partition("=") for pair in given.split("+"))
    return {left: right or "on" for left, _, right in pairs}


def _raw_parts(ask: Ask, raw: Mapping[str, tuple[str, ...]]) -> dict[str, str]:
    ticked = dict.fromkeys(raw.get(CHOICE + ask.id, ()), "on")
    names = {each.id: asked_forms.field_of(ask, each.id) for each in ask.choices}
    return ticked | {choice: raw[name][0] for choice, name in names.items() if name in raw}


def _fields(ask: Ask) -> list[str]:
    return [CHOICE + ask.id, *(asked_forms.field_of(ask, each.id) for each in ask.choices)]


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 17 and int(text) < _MOST else None
