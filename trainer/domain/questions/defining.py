"""How a family of questions is written down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from trainer.domain.asks.forms import AskForm
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import Draft

DraftFunction = Callable[[Desk], Draft]


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """One family of questions: what it exercises, how it is answered, and the function that drafts one.

    ``rules`` are those on which its answers rest, ``misconceptions`` those behind its wrong ones.
    """

    id: str
    title: str
    objectives: tuple[str, ...]
    rules: tuple[str, ...]
    misconceptions: tuple[str, ...]
    form: AskForm
    level: int
    draft: DraftFunction


def family(
    *,
    id: str,  # noqa: A002 - the word that files and records use
    title: str,
    objectives: tuple[str, ...],
    rules: tuple[str, ...],
    misconceptions: tuple[str, ...],
    form: AskForm,
    level: int,
) -> Callable[[DraftFunction], Family]:
    """Turn a function that drafts a question from a desk into a Family."""

    def wrap(function: DraftFunction) -> Family:
        return Family(
            id=id,
            title=title,
            objectives=objectives,
            rules=rules,
            misconceptions=misconceptions,
            form=form,
            level=level,
            draft=function,
        )

    return wrap
