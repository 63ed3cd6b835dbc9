"""The type of a residual current device before a PV inverter.

Outside values: type B unless simple separation or the maker's declaration (BS 7671 712.531.3.5.1 and
712.411.3.2.1.2, from memory; Italian and Swiss versions of the same clause seen in public texts).
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    circuit,
    house,
    inverter,
    rcbo,
    verdicts,
)
from trainer.domain.equipment import SourceKind
from trainer.domain.findings import Verdict
from trainer.domain.rules.rcd_type import (
    type_before_a_pv_inverter,
)
from trainer.domain.vocabulary import MakerWord, Outcome, RcdType

COMPLIES, FAILS = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY


def pv(rcd_type: str | None, **facts: object) -> Verdict | None:
    of = house(rcbo("way1", rcd_type), circuit("c", "way1"), inverter("pv", "c", **facts))
    return verdicts(type_before_a_pv_inverter, of).get("pv")


REQUIRED_B = {"maker_rcd_type": RcdType.B, "maker_rcd_word": MakerWord.REQUIRED}
DECLARED = {"maker_rcd_not_needed": True}


@pytest.mark.parametrize(
    ("rcd_type", "facts", "expected", "case"),
    [
        ("B", {}, COMPLIES, "type_b"),
        ("A", {}, FAILS, "type_b_needed"),
        ("F", {}, FAILS, "type_b_needed"),
        ("A", {"galvanic_separation": True}, COMPLIES, "separation"),
        ("A", DECLARED, COMPLIES, "maker_declares"),
        ("AC", DECLARED, FAILS, "maker_declares"),
        ("A", DECLARED | {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.REQUIRED}, COMPLIES, "maker_states"),
        ("A", {"maker_rcd_type": RcdType.F, "maker_rcd_word": MakerWord.REQUIRED}, FAILS, "maker_states"),
        ("A", {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.RECOMMENDED}, COMPLIES, "maker_states"),
        ("A", {"maker_rcd_type": RcdType.B, "maker_rcd_word": MakerWord.RECOMMENDED}, FAILS, "type_b_needed"),
        ("A", REQUIRED_B | {"galvanic_separation": True}, FAILS, "maker_states"),
    ],
)
def test_pv_needs_type_b_unless_separation_or_the_maker_allows_another(
    rcd_type: str, facts: dict[str, object], expected: Outcome, case: str
) -> None:
    verdict = pv(rcd_type, **facts)
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (expected, case)


def test_unknown_separation_leaves_types_below_b_open() -> None:
    open_, settled = pv("A", galvanic_separation=None), pv("B", galvanic_separation=None)
    assert open_ is not None
    assert open_.missing == ("equipment.pv.galvanic_separation",)
    assert settled is not None
    assert settled.outcome is COMPLIES


def test_a_device_of_unknown_type_before_pv_cannot_be_judged() -> None:
    verdict = pv(None)
    assert verdict is not None
    assert verdict.missing == ("devices.way1.rcd_type",)


def test_pv_without_a_residual_current_device_is_no_breach() -> None:
    of = house(breaker("way1"), circuit("c", "way1"), inverter("pv", "c"))
    assert verdicts(type_before_a_pv_inverter, of) == {}


@pytest.mark.parametrize(("kind", "judged"), [(SourceKind.HYBRID, True), (SourceKind.BATTERY, False)])
def test_hybrids_count_as_pv_and_batteries_do_not(kind: SourceKind, judged: bool) -> None:
    of = house(rcbo("way1", "A"), circuit("c", "way1"), inverter("unit", "c", kind))
    assert ("unit" in verdicts(type_before_a_pv_inverter, of)) is judged
