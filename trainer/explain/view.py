"""A finding as a template sees it: numbers with their units, records by name, nothing to compute."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from functools import cached_property
from typing import Any, NamedTuple, NoReturn

from trainer.domain.citations import Citation
from trainer.domain.equipment import Equipment
from trainer.domain.findings import Finding, Term, Value
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION, Consequence, Edition, Location, Outcome, RcdType
from trainer.explain.attributes import attribute_words
from trainer.explain.diagram.equipment_words import location_words
from trainer.explain.names import Translate, capitalised, listed, name_of, notice_places, record_at, within_sentence
from trainer.explain.numbers import places_apart, quantity
from trainer.explain.terms import term_words


class Audience(StrEnum):
    """Who reads: somebody who learns, or a reader of the trade who wants it short."""

    LEARNER = "learner"
    TRADE = "trade"


class ExplanationMissingError(Exception):
    """A rule says something for which there are no words: a fault of the program."""


class Part(NamedTuple):
    """One named part of a sum, in words."""

    label: str
    amount: str


class Cited(NamedTuple):
    """A citation as the shared wording takes it: it, and whether to compare it with the current book."""

    citation: Citation
    compare: bool


class FindingView:
    """What a template may ask of a finding."""

    def __init__(
        self,
        finding: Finding,
        house: Installation,
        *,
        audience: Audience = Audience.LEARNER,
        edition: Edition = DEFAULT_EDITION,
        translate: Translate = str,
    ) -> None:
        self.finding = finding
        self.house = house
        self.edition = edition
        self.for_learner = audience is Audience.LEARNER
        self._translate = translate

    @property
    def rule_id(self) -> str:
        """The id of the rule."""
        return self.finding.rule.id

    @property
    def outcome(self) -> Outcome:
        """Complies, does not comply, advice or undetermined."""
        return self.finding.outcome

    @property
    def complies(self) -> bool:
        """True when the subject complies."""
        return self.finding.outcome is Outcome.COMPLIES

    @property
    def case(self) -> str:
        """Which of the rule's cases it is."""
        return self.finding.verdict.case

    @property
    def consequence(self) -> Consequence:
        """What is at stake."""
        return self.finding.consequence

    @property
    def citation(self) -> Citation:
        """Where the requirement stands."""
        return self.finding.citation

    @property
    def compare(self) -> bool:
        """True when the clause was seen in an earlier edition than the one judged under."""
        return self.citation.compare_with_current_book(self.edition)

    @property
    def raw_value(self) -> Value:
        """The value as the rule gave it."""
        return self.finding.verdict.value

    @property
    def raw_limit(self) -> Value:
        """The limit as the rule gave it."""
        return self.finding.verdict.limit

    @property
    def is_measured(self) -> bool:
        """True when value and limit are both numbers."""
        return isinstance(self.raw_value, int | float) and isinstance(self.raw_limit, int | float)

    @cached_property
    def value(self) -> str:
        """The value with its unit."""
        return self._amount(self.raw_value)

    @cached_property
    def limit(self) -> str:
        """The limit with its unit."""
        return self._amount(self.raw_limit)

    def _amount(self, value: Value) -> str:
        if value is None:
            raise ExplanationMissingError(f"{self.rule_id} {self.outcome} {self.case}: no number to state")
        if isinstance(value, str):
            return value
        unit = self.finding.verdict.unit
        if isinstance(self.raw_value, int | float) and isinstance(self.raw_limit, int | float):
            return quantity(value, unit, places_apart(self.raw_value, self.raw_limit, unit))
        return quantity(value, unit)

    @property
    def relation(self) -> str:
        """``equal``, ``above`` or ``below``: where the value lies against the limit."""
        value, limit = self.raw_value, self.raw_limit
        if not (isinstance(value, int | float) and isinstance(limit, int | float)):
            return ""
        if round(value, 6) == round(limit, 6):
            return "equal"
        return "above" if value > limit else "below"

    @property
    def upper_limit(self) -> bool:
        """True when the limit bounds the value from above."""
        if self.relation == "equal":
            return True
        return (self.relation == "below") == self.complies

    @cached_property
    def terms(self) -> Mapping[str, str]:
        """The parts of the value by their names, each with its unit; the first of equal names."""
        return {term.name: quantity(term.value, term.unit) for term in reversed(self.finding.terms)}

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """The parts of the value in order, in words; factors of one change nothing and are left out."""
        return tuple(self._part(term) for term in self.finding.terms if term.unit or term.value != 1.0)

    def _part(self, term: Term) -> Part:
        label = term_words(self._translate).get(term.name) or self._record_named(term.name)
        return Part(label, quantity(term.value, term.unit))

    def _record_named(self, name: str) -> str:
        """A term that carries the path or the id of a record is called as the record is."""
        for collection in ("devices", "equipment", "circuits", "boards"):
            key = name.removeprefix(f"{collection}.")
            if key in getattr(self.house, collection):
                return name_of(self.house, f"{collection}.{key}", self._translate)
        raise ExplanationMissingError(f"{self.rule_id}: no words for the term {name!r}")

    @property
    def subject(self) -> Any:
        """The record that is judged, or the installation."""
        return record_at(self.house, self.finding.subject)

    @cached_property
    def name(self) -> str:
        """The record that is judged, as people call it."""
        return name_of(self.house, self.finding.subject, self._translate)

    @property
    def start(self) -> str:
        """The same with a capital, for the start of a sentence."""
        return capitalised(self.name)

    @cached_property
    def related(self) -> str:
        """The other records that the verdict rests on, as a list in a sentence."""
        paths = self.finding.verdict.related
        if not paths:
            raise ExplanationMissingError(f"{self.rule_id} {self.case}: names no other record")
        return listed([within_sentence(self.house, path, self._translate) for path in paths], self._translate)

    @property
    def notice_places(self) -> str:
        """The places of the notices that the verdict names, as a list in a sentence."""
        known = notice_places(self._translate)
        places = [known[path.partition(".")[2]] for path in self.finding.verdict.related]
        return listed(places, self._translate)

    @property
    def related_start(self) -> str:
        """The same with a capital, for the start of a sentence."""
        return capitalised(self.related)

    @property
    def rests_on_supply(self) -> bool:
        """True when the verdict rests on the supply, that is on the cut-out fuse."""
        return self.finding.verdict.related == ("supply",)

    @property
    def has_related(self) -> bool:
        """True when the verdict names other records."""
        return bool(self.finding.verdict.related)

    @property
    def other(self) -> Any:
        """The first other record that the verdict rests on."""
        if not self.finding.verdict.related:
            raise ExplanationMissingError(f"{self.rule_id} {self.case}: names no other record")
        return record_at(self.house, self.finding.verdict.related[0])

    @property
    def other_is_equipment(self) -> bool:
        """True when the first other record is an item of equipment."""
        return isinstance(self.other, Equipment)

    def tolerated_dc(self, rcd_type: str) -> str:
        """The smooth d.c. on which a device of that type must still work, with its unit."""
        tolerance = limits_for(self.edition).residual.smooth_dc_tolerance_ma[RcdType(rcd_type)]
        return quantity(tolerance.value, tolerance.unit)

    @property
    def detection_limit_ma(self) -> float:
        """The smooth d.c. at which the detection of a charging point must act at the latest."""
        return limits_for(self.edition).charger.direct_current_detection_ma.value

    def place(self, location: str) -> str:
        """A place as it is spoken of: in the loft."""
        return location_words(self._translate)[Location(location)]

    @cached_property
    def missing(self) -> tuple[str, ...]:
        """What is not known, in words."""
        return tuple(attribute_words(self.house, path, self._translate) for path in self.finding.verdict.missing)

    def no_words(self, what: str) -> NoReturn:
        """Called by a template that meets something for which it has no words."""
        raise ExplanationMissingError(f"{self.rule_id} {self.outcome} {self.case}: no words for {what!r}")
