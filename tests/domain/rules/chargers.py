"""A charger on a circuit, built round the records that a test cares about."""

from __future__ import annotations

from tests.domain.houses import charger, circuit, house, rcbo, verdicts
from trainer.domain.findings import Verdict
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Outcome


def on(rule: Rule, *records: object, **facts: object) -> Verdict | None:
    """The verdict on a charger on circuit c, with the facts of the charger; way 1 is an RCBO unless given."""
    circuits = [each for each in records if getattr(each, "fed_by", None) and hasattr(each, "live_conductors")]
    others = [each for each in records if each not in circuits]
    ways = [each for each in others if getattr(each, "id", "") == "way1"] or [rcbo("way1")]
    own = [each for each in circuits if each.id == "c"] or [circuit("c", "way1")]  # type: ignore[attr-defined]
    rest = [each for each in (*others, *circuits) if each not in ways and each not in own]
    of = house(*ways, *own, charger("ev", "c", **facts), *rest)  # type: ignore[arg-type]
    return verdicts(rule, of).get("ev")


def result(rule: Rule, *records: object, **facts: object) -> tuple[Outcome, str]:
    verdict = on(rule, *records, **facts)
    assert verdict is not None
    return verdict.outcome, verdict.case
