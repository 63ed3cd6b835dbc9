"""Pieces of pages that follow from a task alone: filled once, then kept for whoever looks at the task next.

Nothing in them is anybody's. Who asks, the address of the page and the token of its form are put in each time; a
decision or a paper is kept as the program would fill it for anyone, one piece for each state that it can have. A task
is named by the hash of its content, so that another content is another task.

Decisions that nobody touched stand alike in many tasks. They are named by all that they follow from, so that a page
seen first finds most of them filled.
"""

from __future__ import annotations

import secrets
import sys
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from threading import Lock
from typing import Any, TypeVar, cast

from flask import current_app
from flask_babel import get_locale
from markupsafe import Markup, escape

from trainer.domain.answers.decisions import Decision
from trainer.domain.asks.forms import Ask, AskForm
from trainer.services.latest import Latest
from trainer.web.practice.forms import Filled

MOST_BYTES = 8 * 1024 * 1024
"""Of filled pieces in one process: some hundred and fifty tasks."""
_COMMON_BYTES = 4 * 1024 * 1024
"""Of what many tasks have in common; its names take about as much again."""
_THINGS = 256
_EXTENSION = "trainer.pieces"
_COMMON = "trainer.common_pieces"
# Stands in a piece for the address of the page. Nobody who writes a task can know it.
_ADDRESS = f"address-{secrets.token_hex(16)}"
V = TypeVar("V")
Key = tuple[Hashable, ...]


class Kept:
    """Filled pieces, those that were asked for last, up to so many bytes."""

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most_bytes = most_bytes
        self._texts: OrderedDict[Key, str] = OrderedDict()
        self._lock = Lock()
        self.held_bytes = 0
        self.things: Latest[Any] = Latest(_THINGS)

    def of(self, key: Key, fill: Callable[[], str]) -> str:
        """The piece, filled if it is not known; two that fill it at once fill the same."""
        with self._lock:
            known = self._texts.get(key)
            if known is not None:
                self._texts.move_to_end(key)
                return known
        filled = str(fill())
        with self._lock:
            if key not in self._texts:
                self._texts[key] = filled
                self.held_bytes += sys.getsizeof(filled)
            while self.held_bytes > self._most_bytes:
                self.held_bytes -= sys.getsizeof(self._texts.popitem(last=False)[1])
        return filled


@dataclass(frozen=True, slots=True)
class Pieces:
    """The pieces of one task in one language; with nothing kept each is filled anew."""

    kept: Kept | None = None
    task: str = ""
    shared: Kept | None = None
    language: str = ""

    def text(self, key: Key, fill: Callable[[], str]) -> Markup:
        """A piece of markup."""
        return Markup(fill() if self.kept is None else self.kept.of((self.task, *key), fill))  # noqa: S704 - filled

    def thing(self, name: str, make: Callable[[], V]) -> V:
        """Anything else that follows from the task, such as the lines of its papers."""
        return make() if self.kept is None else cast(V, self.kept.things.of(f"{self.task} {name}", make))

    def filled(self, *key: Hashable, caller: Callable[[], str], when: bool = True) -> str:
        """What a template fills between its call of this and the end of it."""
        return self.text(key, caller) if when else caller()

    def addressed(self, *key: Hashable, address: str, caller: Callable[[str], str], when: bool = True) -> str:
        """The same where the address of the page stands in it: the template is given what to put in its place."""
        if not when:
            return caller(address)
        text = self.text((*key, bool(address)), lambda: caller(_ADDRESS if address else ""))
        return Markup(str(text).replace(_ADDRESS, escape(address)))  # noqa: S704 - filled by a template

    def untouched(
        self, decision: Decision, about: Hashable, filled: Filled, *, caller: Callable[[], str], when: bool = True
    ) -> str:
        """A decision without a choice; ``about`` is what the page says of it beside what the decision holds itself."""
        name = decision.id
        if not when or name in filled.answers or name in filled.certainty or name in filled.problems:
            return caller()
        options = tuple((each.id, each.label) for each in decision.options)
        return self._common(("decision", name, decision.question, options, about), caller)

    def _common(self, key: Key, caller: Callable[[], str]) -> str:
        if self.shared is None:
            return caller()
        return Markup(self.shared.of((self.language, *key), caller))  # noqa: S704 - filled by a template

    def decided(self, decision: Decision, filled: Filled, *, caller: Callable[[], str], with_marks: bool) -> str:
        """A decision. Kept while it has no problem and its choice is none or one of its options."""
        chosen = filled.answers.get(decision.id)
        kept = chosen is None or any(each.id == chosen for each in decision.options)
        return self._answered(decision.id, chosen, filled, caller, with_marks, when=kept)

    def asked(
        self, ask: Ask, filled: Filled, parts: Mapping[str, object], *, caller: Callable[[], str], with_marks: bool
    ) -> str:
        """An ask. What somebody typed, ticked or put in order is never kept, only what can be chosen."""
        answer = filled.answers.get(ask.id)
        if answer is None:
            kept = not parts.get(ask.id)
        else:
            kept = ask.form in (AskForm.ONE, AskForm.POINT) and any(each.id == answer for each in ask.choices)
        return self._answered(ask.id, answer, filled, caller, with_marks, when=kept)

    def _answered(
        self, name: str, answer: str | None, filled: Filled, caller: Callable[[], str], *state: Hashable, when: bool
    ) -> str:
        if not when or name in filled.problems:
            return caller()
        return self.text(("part", name, answer, filled.certainty.get(name), *state), caller)


NOTHING_KEPT = Pieces()


def pieces_of(content_hash: str) -> Pieces:
    """The pieces of a stored task in the language of the request."""
    language = str(get_locale())
    kept, shared = _held(_EXTENSION, MOST_BYTES), _held(_COMMON, _COMMON_BYTES)
    return Pieces(kept, f"{content_hash} {language}", shared, language)


def _held(name: str, most_bytes: int) -> Kept:
    kept = current_app.extensions.get(name)
    if kept is None:
        kept = current_app.extensions.setdefault(name, Kept(most_bytes))
    if not isinstance(kept, Kept):
        raise TypeError(f"not pieces of pages: {kept!r}")
    return kept
