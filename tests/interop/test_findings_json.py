from __future__ import annotations

from trainer.domain.citations import Citation, Status
from trainer.domain.findings import Finding, Term, Verdict
from trainer.domain.rules.registry import Over, Rule
from trainer.domain.vocabulary import Consequence, Edition, Outcome
from trainer.interop.canonical import canonical_bytes
from trainer.interop.findings_json import citation_json, finding_json

CITATION = Citation(publication="BS 7671:2018", clause="531.3.2", status=Status.MEMORY, edition="A2:2022", note="x")
RULE = Rule(
    id="RCD-05",
    name="leakage_on_the_load_side",
    judge=lambda *_: None,
    over=Over.DEVICES,
    consequence=Consequence.NUISANCE,
    statement="Leakage stays within 30 % of the rating.",
    why="Unwanted tripping.",
    remedy="Divide the circuits.",
    assumes="",
    formula="",
    citation=CITATION,
    iec="",
    editions=frozenset(Edition),
    objectives=(),
)


def test_a_citation_is_written_with_the_five_keys_of_its_shape():
    assert citation_json(CITATION) == {
        "publication": "BS 7671:2018",
        "edition": "A2:2022",
        "clause": "531.3.2",
        "status": "from memory",
        "checked_on": None,
    }


def test_a_finding_is_written_with_the_keys_of_its_shape_and_terms_are_spelt_out():
    verdict = Verdict(
        outcome=Outcome.DOES_NOT_COMPLY,
        value=11.5,
        limit=9.0,
        unit="mA",
        terms=lambda: [Term("lathe", 4.0, "mA"), Term("milling", 7.5, "mA")],
        missing=("equipment.extractor.protective_conductor_current_ma",),
    )
    assert finding_json(Finding(RULE, "devices.rccb", verdict)) == {
        "rule": "RCD-05",
        "subject": "devices.rccb",
        "outcome": "does_not_comply",
        "value": 11.5,
        "limit": 9.0,
        "unit": "mA",
        "terms": [
            {"name": "lathe", "value": 4.0, "unit": "mA"},
            {"name": "milling", "value": 7.5, "unit": "mA"},
        ],
        "missing": ["equipment.extractor.protective_conductor_current_ma"],
        "consequence": "nuisance",
        "citation": citation_json(CITATION),
    }


def test_a_case_with_its_own_citation_and_consequence_is_written_with_them():
    own = Citation(publication="IEC 62955", clause="9", status=Status.SEEN)
    verdict = Verdict(outcome=Outcome.ADVICE, citation=own, consequence=Consequence.SHOCK)
    written = finding_json(Finding(RULE, "devices.rccb", verdict))
    assert (written["citation"]["publication"], written["consequence"]) == ("IEC 62955", "shock")


def test_a_finding_is_rounded_by_its_unit_when_it_is_printed():
    verdict = Verdict(outcome=Outcome.COMPLIES, value=1.23456789, limit=1667.0, unit="ohm")
    assert b'"limit":1667,' in canonical_bytes(finding_json(Finding(RULE, "circuits.c", verdict)))
    assert b'"value":1.2346}' in canonical_bytes(finding_json(Finding(RULE, "circuits.c", verdict)))
