"""The worked example of a rule as a page shows it: every value and outcome in words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from trainer.domain.installation import Installation
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Edition
from trainer.explain.attributes import attribute_words
from trainer.explain.engine import Engine
from trainer.explain.explanation import Explanation, explain
from trainer.explain.values import value_words
from trainer.interop.installations import read_installation
from trainer.resources import folder
from trainer.services.rulebook.examples import Case, WorkedExample, worked_example
from trainer.services.rulebook.pages import ExampleSpec
from trainer.web.practice.wired import translated_engine


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownCase:
    """One value in words with what the rule says of it; nothing where the rule is silent."""

    role: str
    value: str
    outcome: str
    said: Explanation | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownExample:
    """A worked example in words. ``house`` names the installation written by hand that it starts from."""

    title: str
    house: str
    path: str
    attribute: str
    settings: tuple[tuple[str, str], ...]
    cases: tuple[ShownCase, ...]
    boundary: tuple[ShownCase, ShownCase] | None
    each_value: tuple[ShownCase, ...]

    @property
    def turns(self) -> tuple[ShownCase, ShownCase] | None:
        """The two neighbours between which the outcome turns, where the values are numbers and it turns once."""
        pairs = [(a, b) for a, b in pairwise(self.each_value) if a.outcome != b.outcome]
        numbers = all(each.value[:1].isdigit() for each in self.each_value)
        return pairs[0] if numbers and len(pairs) == 1 else None


def shown_example(rule: Rule, spec: ExampleSpec, edition: Edition) -> ShownExample:
    """The example of a rule, worked and put into words."""
    engine = translated_engine()
    worked = _worked(rule.id, rule, spec, edition)
    words = _Words(worked, edition, engine)
    last_and_next = worked.boundary
    return ShownExample(
        title=worked.installation.title,
        house=spec.house,
        path=spec.vary,
        attribute=worked.called or attribute_words(worked.installation, worked.path, engine.gettext),
        settings=tuple((path, _set_to(path, value, engine)) for path, value in spec.settings.items()),
        cases=tuple(words.of(case) for case in worked.cases),
        boundary=(words.of(last_and_next[0]), words.of(last_and_next[1])) if last_and_next else None,
        each_value=tuple(words.of(case) for case in worked.each_value),
    )


def _set_to(path: str, value: object, engine: Engine) -> str:
    """A value that was set first; a record as its parts."""
    if isinstance(value, dict):
        return ", ".join(f"{name} {value_words(name, part, engine.gettext)}" for name, part in value.items())
    return value_words(path, value, engine.gettext)


class _Words:
    """Puts the cases of one example into words."""

    def __init__(self, worked: WorkedExample, edition: Edition, engine: Engine) -> None:
        self.path = worked.path
        self.edition = edition
        self.engine = engine

    def of(self, case: Case) -> ShownCase:
        """One case."""
        finding = case.finding
        return ShownCase(
            role=case.role,
            value=value_words(self.path, case.value, self.engine.gettext),
            outcome="silent" if case.outcome is None else case.outcome.value,
            said=None
            if finding is None
            else explain(finding, case.installation, edition=self.edition, engine=self.engine),
        )


_KNOWN: dict[tuple[str, Edition], WorkedExample] = {}


def _worked(rule_id: str, rule: Rule, spec: ExampleSpec, edition: Edition) -> WorkedExample:
    """The example, worked once for each edition."""
    key = (rule_id, edition)
    if key not in _KNOWN:
        _KNOWN[key] = worked_example(rule, spec, houses(), edition)
    return _KNOWN[key]


@cache
def houses() -> dict[str, Installation]:
    """The installations written by hand that the program ships, by the name of their file."""
    files = sorted((folder("scenarios") / "examples").glob("*.toml"))
    return {file.stem: read_installation(file.read_bytes()).installation for file in files}
