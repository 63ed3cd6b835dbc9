"""A finding explained: headline, what happens, the number, the regulation, the remedy.

Each rule has a template ``explanations/<rule-id>.html`` with macros that take the finding:

- ``point``: what is judged, a few words that follow the subject's name in the headline
- one macro for each case of the rule, named as the case; ``<outcome>_<case>`` where the outcomes
  of one case differ much; named as the outcome where the rule has no cases
- ``remedy``, or ``remedy_<case>``: the least change; needed where something fails or is advised
- ``number`` and ``headline`` where the shared wording does not serve

There is no wording to fall back on: what has no macro raises ExplanationMissingError.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from html import unescape

from markupsafe import Markup

from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.vocabulary import DEFAULT_EDITION, Consequence, Edition, Outcome
from trainer.explain.engine import Engine, plain_engine
from trainer.explain.view import Audience, Cited, ExplanationMissingError, FindingView

_SHARED = "explanations/_words.html"
_TAG = re.compile(r"<[^>]*>")
_AMOUNT = re.compile(r"[\d.]+\u00a0[^\s<,.;:]+")
_SPACE = re.compile(r"[ \t\n]{2,}|[\t\n]")
"""Spaces to be made one; a single space is one already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """A value and its limit as a drawing needs them. ``upper``: the limit bounds from above."""

    value: float
    limit: float
    unit: str
    value_text: str
    limit_text: str
    upper: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """One finding in words, each part as safe HTML; ``number``, ``working`` and ``remedy`` may be empty."""

    rule_id: str
    outcome: Outcome
    consequence: Consequence
    headline: Markup
    happens: Markup
    number: Markup
    working: Markup
    regulation: Markup
    remedy: Markup
    scale: Scale | None = None

    @property
    def text(self) -> str:
        """The same in plain text, derived from the same words; a number that was said is not said twice."""
        happens = as_text(self.happens)
        told = all(amount in self.happens for amount in _AMOUNT.findall(self.number))
        parts = (self.headline, happens, "" if told else self.number, self.working, self.remedy, self.regulation)
        return " ".join(as_text(part) for part in parts if part)


def as_text(markup: str) -> str:
    """Words without tags and with plain spaces."""
    return _SPACE.sub(" ", unescape(_TAG.sub("", markup))).strip()


def explain(
    finding: Finding,
    house: Installation,
    audience: Audience = Audience.LEARNER,
    *,
    edition: Edition = DEFAULT_EDITION,
    engine: Engine | None = None,
) -> Explanation:
    """Puts one finding into words. *Raises* ExplanationMissingError where words are missing.

    A finding that several decisions of one house share is put into words once.
    """
    using = engine or plain_engine()
    told: dict[tuple[int, Audience, Edition], tuple[Finding, Explanation]] = using.told_of(house)
    key = (id(finding), audience, edition)
    known = told.get(key)
    if known is not None and known[0] is finding:
        return known[1]
    explanation = _explained(finding, house, audience, edition, using)
    told[key] = (finding, explanation)
    return explanation


def _explained(
    finding: Finding, house: Installation, audience: Audience, edition: Edition, using: Engine
) -> Explanation:
    view = FindingView(finding, house, audience=audience, edition=edition, translate=using.gettext)
    words = _Words(view, using)
    return Explanation(
        rule_id=view.rule_id,
        outcome=view.outcome,
        consequence=view.consequence,
        headline=words.headline(),
        happens=words.happens(),
        number=words.number(),
        working=words.shared("working"),
        regulation=words.regulation(),
        remedy=words.remedy(),
        scale=_scale(view),
    )


class _Words:
    """Finds the macros for one finding."""

    def __init__(self, view: FindingView, engine: Engine) -> None:
        self.view = view
        self.engine = engine
        self.template = f"explanations/{view.rule_id}.html"

    def headline(self) -> Markup:
        """The subject, what is judged, and the outcome."""
        point = self._call(self._own("point"))
        own = self.engine.macro(self.template, "headline")
        return self._call(own or self.engine.macro(_SHARED, "headline"), point)

    def happens(self) -> Markup:
        """What the case does under a fault or in service."""
        outcome, case = self.view.outcome.value, self.view.case
        names = (f"{outcome}_{case}", case) if case else (outcome,)
        for name in names:
            macro = self.engine.macro(self.template, name)
            if macro:
                return self._call(macro)
        if self.view.outcome is Outcome.UNDETERMINED:
            return self.shared("undetermined")
        raise ExplanationMissingError(f"{self.template}: no macro {' or '.join(names)}")

    def number(self) -> Markup:
        """Value against limit, and the parts of the value."""
        own = self.engine.macro(self.template, "number")
        return self._call(own) if own else self.shared("number")

    def remedy(self) -> Markup:
        """The least change, where something is to be changed."""
        if self.view.outcome not in (Outcome.DOES_NOT_COMPLY, Outcome.ADVICE):
            return Markup("")
        special = self.view.case and self.engine.macro(self.template, f"remedy_{self.view.case}")
        return self._call(special or self._own("remedy"))

    def regulation(self) -> Markup:
        """Where the requirement stands, and whether the clause was seen; the same for every finding that cites it."""
        return _tidy(self.engine.said_once(_SHARED, "regulation", Cited(self.view.citation, self.view.compare)))

    def shared(self, name: str) -> Markup:
        """Wording that all rules share."""
        return self._call(self.engine.macro(_SHARED, name))

    def _own(self, name: str) -> Callable[..., Markup]:
        macro = self.engine.macro(self.template, name)
        if macro is None:
            raise ExplanationMissingError(f"{self.template}: no macro {name}")
        return macro

    def _call(self, macro: Callable[..., Markup] | None, *values: Markup) -> Markup:
        if macro is None:
            raise ExplanationMissingError(f"{_SHARED}: a macro is missing")
        return _tidy(macro(self.view, *values))


def _tidy(words: str) -> Markup:
    """Words with single spaces. Most have no others left once their ends are stripped."""
    inner = words.strip()
    if "\n" in inner or "  " in inner or "\t" in inner:
        inner = _SPACE.sub(" ", inner)
    return Markup(inner)  # noqa: S704 - escaped by the template


def _scale(view: FindingView) -> Scale | None:
    value, limit = view.raw_value, view.raw_limit
    if not (isinstance(value, int | float) and isinstance(limit, int | float)):
        return None
    return Scale(
        value=float(value),
        limit=float(limit),
        unit=view.finding.verdict.unit,
        value_text=view.value,
        limit_text=view.limit,
        upper=view.upper_limit,
    )
