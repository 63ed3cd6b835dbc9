"""The band round a limit in which no computed or measured value of a scenario may lie."""

from __future__ import annotations

from trainer.domain.findings import Verdict

BAND = 0.05
"""A value within 5 % of its limit would let rounding or reading decide."""

NARROWER = {"OC-01": 0.02, "OC-09": 0.02, "OC-10": 0.02}
"""Ratings of cables come from tables and factors: nothing is measured, only rounding could decide."""

COUNTED = frozenset({"poles", "modules", "circuits", "points", "phases"})
"""Units of things that are counted: there is no rounding in them."""

_ADDITIONAL = "rated residual operating current against 30 mA"
_SIZES = "cross-sections that are made against cross-sections that are tabulated"

RATED_PAIRS: dict[tuple[str, str], str] = {
    ("BON-01", ""): _SIZES,
    ("BON-02", ""): _SIZES,
    ("DNO-02", ""): "rated outputs against 16 A a line: 3.68 kW is 16 A",
    ("EV-02", ""): "a load limit or rated current against itself",
    ("EV-04", "detection_in_time"): "a stated time against a stated time",
    ("EV-08", ""): "a detector's 6 mA, or 30 mA against 30 mA",
    ("EV-12", ""): "detectors of 6 mA against the tolerance of a type",
    ("EV-14", ""): "a rated current against a rating times a declared factor",
    ("GEN-09", ""): "positions, which are counted",
    ("HP-01", ""): _ADDITIONAL,
    ("HP-05", ""): "ratings against the ratings that a sheet allows",
    ("LOC-01", ""): _ADDITIONAL,
    ("LOC-02", ""): _ADDITIONAL,
    ("LOC-03", ""): _ADDITIONAL,
    ("OC-01", "design_current"): "a load's rated current against the rating of a device",
    ("OC-01", "ring"): "the capacity of a cable against the 20 A of the regulation",
    ("OC-04", ""): "break times come in steps from the product standards",
    ("OC-05", "overload_device"): "judged as coordination of device and cable",
    ("OC-05", "ring"): "the capacity of a cable against the 20 A of the regulation",
    ("OC-06", "table"): _SIZES,
    ("OC-06", "breaker_table"): _SIZES,
    ("OC-07", ""): "a stated fault current against a rating",
    ("RAT-01", ""): "ratings against ratings",
    ("RAT-02", ""): "ratings and rated outputs against a rating",
    ("RCD-01", ""): _ADDITIONAL,
    ("RCD-02", ""): _ADDITIONAL,
    ("RCD-03", ""): _ADDITIONAL,
    ("RCD-04", ""): _ADDITIONAL,
    ("RCD-07", ""): "a detector's 6 mA against the tolerance of a type",
    ("RCD-11", ""): "a ratio of ratings",
    ("SUP-01", ""): _SIZES,
}
"""Rules and cases (an empty case stands for all) whose two sides are ratings: equality is legitimate."""


def is_exempt(rule_id: str, verdict: Verdict) -> bool:
    """True where both sides are rated values, or where the tabulated rating of a cable is met as printed."""
    if verdict.unit in COUNTED or (rule_id, "") in RATED_PAIRS or (rule_id, verdict.case) in RATED_PAIRS:
        return True
    return rule_id == "OC-01" and _as_printed(verdict)


def _as_printed(verdict: Verdict) -> bool:
    """True when no correction factor changed the tabulated rating of the cable."""
    terms = verdict.terms() if callable(verdict.terms) else verdict.terms
    return all(term.value == 1.0 for term in terms if term.name.endswith("_factor"))


def on_the_edge(rule_id: str, verdict: Verdict) -> bool:
    """True when value and limit are numbers within 5 % of each other and not both ratings."""
    limit = verdict.limit
    if limit is None or isinstance(limit, str):
        return False
    value = verdict.value
    if value is None or isinstance(value, str):
        return False
    if abs(value - limit) >= NARROWER.get(rule_id, BAND) * abs(limit):
        return False
    return not is_exempt(rule_id, verdict)
