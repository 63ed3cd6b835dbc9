"""A value moved over a range, in words: what each finding says on both sides of its flip."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.domain.findings import Finding
from trainer.domain.vocabulary import Outcome
from trainer.explain.caution import Translate, caution_paragraphs
from trainer.explain.check_report import citation_words, subject_label
from trainer.explain.engine import Engine
from trainer.explain.explanation import as_text, explain
from trainer.explain.numbers import places_apart, quantity, sign
from trainer.services.trying.moving import Flip, Key, Step, Sweep
from trainer.services.trying.places import Place, Value, put, shown

_NO_BREAK = "\u00a0"


def sweep_report(result: Sweep, _: Translate = str) -> str:
    """The whole report as plain text."""
    lines = [result.house.title, heading(result, _), moved(result, _), ""]
    for flip in result.flips:
        lines.extend([*_flip(flip, result, _), ""])
    refused = [step for step in result.steps if step.problems]
    lines.extend(
        f"{at(result.place, step.value, _)}: {_('cannot be')}: {step.problems[0].path}: {step.problems[0].problem}"
        for step in refused
    )
    lines.extend([*([""] if refused else []), *caution_paragraphs(_), "", closing(result, _)])
    return "\n".join(lines) + "\n"


def heading(result: Sweep, _: Translate = str) -> str:
    """Under what was judged."""
    return _("Judged under {edition}, rule set {version}.").format(
        edition=f"BS 7671:2018, {result.edition}", version=result.rule_set_version
    )


def moved(result: Sweep, _: Translate = str, called: str = "") -> str:
    """What was moved over what, and what it is in the installation; by its path where it is not called otherwise."""
    place = result.place
    values = [step.value for step in result.steps]
    if place.is_number and len(values) > 1 and values[-1] is not None:
        over = _("{first} to {last} in {count} steps").format(
            first=at(place, values[0], _), last=at(place, values[-1], _), count=len(values)
        )
    else:
        over = ", ".join(at(place, value, _) for value in values)
    return _("{path} moved over {over}; in the installation it is {now}.").format(
        path=called or place.path, over=over, now=at(place, place.value, _)
    )


def closing(result: Sweep, _: Translate = str) -> str:
    """How much flips, how much only moves, among how many rules."""
    said = _("findings that flip: {flips}; that move without flipping: {moves}; among {rules} rules tried")
    return said.format(flips=len(result.flipping), moves=len(result.moving), rules=len(result.rules))


def at(place: Place, value: Value, _: Translate = str) -> str:
    """A value with its unit."""
    if value is None:
        return _("left out")
    text = shown(place, value).replace("_", " ")
    return f"{text}{_NO_BREAK}{sign(place.unit)}" if place.unit and place.is_number else text


def outcome_word(outcome: str, _: Translate = str) -> str:
    """The outcome in words; a rule that does not apply says so."""
    return {
        Outcome.COMPLIES.value: _("complies"),
        Outcome.DOES_NOT_COMPLY.value: _("does not comply"),
        Outcome.ADVICE.value: _("advice"),
        Outcome.UNDETERMINED.value: _("undetermined"),
    }.get(outcome, _("the rule does not apply"))


def said(finding: Finding | None, _: Translate = str) -> str:
    """The outcome with value and limit, or with what is missing."""
    if finding is None:
        return outcome_word("", _)
    verdict = finding.verdict
    words = outcome_word(finding.outcome.value, _)
    if verdict.missing:
        return f"{words}, {_('missing')}: {', '.join(verdict.missing)}"
    if verdict.value is None:
        return words
    value, limit = _pair(finding)
    if limit is None:
        return f"{words}: {value}"
    if isinstance(verdict.limit, str):
        return f"{words}: " + _("{value}, where the rule asks for {limit}").format(value=value, limit=limit)
    return f"{words}: " + _("{value}, limit {limit}").format(value=value, limit=limit)


def side(result: Sweep, step: Step, key: Key, _: Translate = str, engine: Engine | None = None) -> str:
    """The outcome at one side of a flip, with the number in the words of the rule."""
    finding = step.findings.get(key)
    if finding is None or finding.verdict.missing:
        return said(finding, _)
    house = put(result.house, result.place, step.value)
    number = as_text(explain(finding, house, edition=result.edition, engine=engine).number)
    return f"{outcome_word(finding.outcome.value, _)}: {number}" if number else said(finding, _)


def _pair(finding: Finding) -> tuple[str, str | None]:
    """Value and limit with as many places as keep them apart."""
    verdict = finding.verdict
    value, limit = verdict.value, verdict.limit
    if isinstance(value, int | float) and isinstance(limit, int | float):
        places = places_apart(value, limit, verdict.unit)
        return quantity(value, verdict.unit, places), quantity(limit, verdict.unit, places)
    return _alone(value, verdict.unit), None if limit is None else _alone(limit, verdict.unit)


def _alone(value: float | str | None, unit: str) -> str:
    return quantity(value, unit) if isinstance(value, int | float) else str(value).replace("_", " ")


def _flip(flip: Flip, result: Sweep, _: Translate) -> Iterator[str]:
    rule, subject = flip.either.rule, flip.key[1]
    yield f"{rule.id}  {subject_label(result.house, subject)}: {rule.statement}"
    below, above = at(result.place, flip.below.value, _), at(result.place, flip.above.value, _)
    if result.place.is_number:
        yield f"    {_('up to {value}').format(value=below)}: {side(result, flip.below, flip.key, _)}"
        yield f"    {_('from {value}').format(value=above)}: {side(result, flip.above, flip.key, _)}"
    else:
        yield f"    {below}: {side(result, flip.below, flip.key, _)}"
        yield f"    {above}: {side(result, flip.above, flip.key, _)}"
    if not flip.exact:
        yield f"    {_('the installation can have no value between the two')}"
    yield f"    {citation_words(flip.either.citation, result.edition, _)}"
