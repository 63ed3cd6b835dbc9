"""The form into which a paper is copied, task by task: its fields, what was sent, and what is missing or cannot be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from werkzeug.datastructures import MultiDict

from trainer.domain.asks.forms import Ask
from trainer.domain.tasks import Task
from trainer.services.papers.variants import DrawnItem
from trainer.services.sittings.records import NOTHING_SAID, Answers
from trainer.web.asked.forms import field_of
from trainer.web.practice.forms import CERTAINTY, CHOICE
from trainer.web.sittings.forms import filled_of, parts_of, read_answers


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A question as a row of the form; open when nothing was ticked, wrong when the ticks cannot be an answer."""

    id: str
    text: str
    ask: Ask | None
    options: Sequence[tuple[str, str]]
    name: str
    sure_name: str | None
    answer: str
    parts: Mapping[str, str]
    sure: str
    is_open: bool
    is_wrong: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CopiedTask:
    """A task with its rows."""

    position: int
    title: str
    kind: str
    questions: tuple[Question, ...]

    @property
    def open(self) -> tuple[Question, ...]:
        """Those without a tick."""
        return tuple(each for each in self.questions if each.is_open and not each.is_wrong)

    @property
    def wrong(self) -> tuple[Question, ...]:
        """Those whose ticks cannot be an answer."""
        return tuple(each for each in self.questions if each.is_wrong)


def prefix(position: int) -> str:
    """What the fields of a task begin with."""
    return f"t{position}."


def read_paper(form: MultiDict[str, str], drawn: Sequence[DrawnItem]) -> dict[int, Answers]:
    """What was entered, by position; a field that is empty says nothing. *Raises* SittingError."""
    found = {}
    for each in drawn:
        own = prefix(each.position)
        sent = [(name, value) for name, value in form.items(multi=True) if name.startswith(own) and value.strip()]
        fields = MultiDict([(name.removeprefix(own), value) for name, value in sent])
        found[each.position] = _with_usual(each.task, read_answers(fields, each.task))
    return found


def _with_usual(task: Task, answers: Answers) -> Answers:
    """The paper says of some questions what counts where nothing is ticked."""
    usual = {each.id: each.usual for each in task.asks if each.usual and not _touched(each, answers)}
    return replace(answers, given={**usual, **answers.given})


def _touched(ask: Ask, answers: Answers) -> bool:
    names = {CHOICE + ask.id, *(field_of(ask, each.id) for each in ask.choices)}
    return ask.id in answers.given or bool(names & set(answers.unfinished))


def copied(drawn: DrawnItem, answers: Answers | None, kept: Mapping[int, Answers]) -> CopiedTask:
    """A task with what was entered for it."""
    task, said = drawn.task, answers or kept.get(drawn.position, NOTHING_SAID)
    asked = _asks(drawn, said) if task.asks else _decisions(drawn, said)
    return CopiedTask(position=drawn.position, title=task.title, kind=task.kind.value, questions=tuple(asked))


def _decisions(drawn: DrawnItem, said: Answers) -> list[Question]:
    own = prefix(drawn.position)
    return [
        Question(
            id=each.id,
            text=each.question,
            ask=None,
            options=[(option.id, option.label) for option in each.options],
            name=own + CHOICE + each.id,
            sure_name=own + CERTAINTY + each.id,
            answer=said.given.get(each.id, ""),
            parts={},
            sure=str(said.certainty.get(each.id, "")),
            is_open=each.id not in said.given,
            is_wrong=False,
        )
        for each in drawn.task.decisions
    ]


def _asks(drawn: DrawnItem, said: Answers) -> list[Question]:
    own, parts, filled = prefix(drawn.position), parts_of(drawn.task, said), filled_of(said)
    return [
        Question(
            id=each.id,
            text=each.question,
            ask=each,
            options=[(choice.id, choice.label) for choice in each.choices],
            name=own + CHOICE + each.id,
            # The paper asks how sure one is in short questions only.
            sure_name=own + CERTAINTY + each.id if drawn.task.kind == "question" else None,
            answer=filled.answers.get(each.id, ""),
            parts=parts[each.id],
            sure=str(said.certainty.get(each.id, "")),
            is_open=each.id not in said.given,
            is_wrong=each.id not in said.given and _touched(each, said),
        )
        for each in drawn.task.asks
    ]
