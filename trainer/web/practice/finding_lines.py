"""Searching in the papers of a task: which lines hold all the words, and where."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from markupsafe import Markup, escape

_LONGEST = 80


@dataclass(frozen=True, slots=True)
class Search:
    """What is looked for. A line is found when it holds every word, in any order, in capitals or not."""

    text: str = ""

    @property
    def words(self) -> tuple[str, ...]:
        """The words looked for, once each, the longest first, so that marks do not cut each other."""
        found = dict.fromkeys(self.text.casefold()[:_LONGEST].split())
        return tuple(sorted(found, key=len, reverse=True))

    def finds(self, parts: Iterable[str]) -> bool:
        """True where all words stand in the parts of a line."""
        if not self.text:
            return False
        whole = " ".join(parts).casefold()
        return bool(self.words) and all(word in whole for word in self.words)

    def marked(self, text: str) -> Markup:
        """A text with what was looked for marked in it."""
        if not self.text or not self.words:
            return escape(text)
        pattern = re.compile("|".join(map(re.escape, self.words)), re.IGNORECASE)
        made, end = Markup(), 0
        for hit in pattern.finditer(text):
            made += escape(text[end : hit.start()]) + Markup("<mark>{}</mark>").format(hit[0])
            end = hit.end()
        return made + escape(text[end:])
