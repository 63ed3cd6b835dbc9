"""Whether a fact that nobody stated could still change the type that equipment needs.

By the rules of the maker's word: a requirement and a declaration settle it, a recommendation only beside a known front
end; of galvanic separation only the section on PV speaks (BS 7671 712.531.3.5.1, from memory).
"""

from __future__ import annotations

import pytest

from tests.domain.houses import inverter, item
from trainer.domain.equipment import Equipment, SourceKind
from trainer.domain.limits import limits_for
from trainer.domain.rules.rcd_need import is_open, open_fact, type_needed
from trainer.domain.vocabulary import DEFAULT_EDITION, FrontEnd, MakerWord, RcdType

LIMITS = limits_for(DEFAULT_EDITION)
REQUIRED = {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.REQUIRED}
RECOMMENDED = {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.RECOMMENDED}
UNKNOWN = {"galvanic_separation": None}


def pv(**facts: object) -> Equipment:
    return inverter("pv", "c", **facts)


def battery(**facts: object) -> Equipment:
    return inverter("battery", "c", SourceKind.BATTERY, **facts)


@pytest.mark.parametrize(
    ("equipment", "case", "left_open"),
    [
        (pv(), "front_end_needs", False),
        (pv(**UNKNOWN), "front_end_needs", True),
        (battery(**UNKNOWN), "front_end_needs", False),
        (item("load", "c", **UNKNOWN), "front_end_needs", False),
        (item("load", "c", front_end=None), "front_end_unknown", True),
        (item("load", "c", front_end=None, **RECOMMENDED), "maker_recommends", True),
        (item("load", "c", front_end=FrontEnd.SIX_PULSE_CHOKE, **RECOMMENDED), "maker_recommends", False),
        (pv(**UNKNOWN, **RECOMMENDED), "maker_recommends", False),
        (item("load", "c", front_end=None, **REQUIRED), "maker_requires", False),
        (pv(**UNKNOWN, **REQUIRED), "maker_requires", False),
        (pv(**UNKNOWN, maker_rcd_not_needed=True), "maker_declares", False),
        (item("load", "c", front_end=None, maker_rcd_not_needed=True), "maker_declares", False),
        (item("load", "c", front_end=None, galvanic_separation=True), "front_end_needs", False),
        (pv(galvanic_separation=True), "separation", False),
    ],
)
def test_the_need_is_open_only_where_an_unknown_fact_could_change_it(
    equipment: Equipment, case: str, left_open: bool
) -> None:
    need = type_needed(equipment, LIMITS)
    assert (need.case, is_open(equipment, need)) == (case, left_open)


def test_the_fact_that_is_waited_for_is_named() -> None:
    assert open_fact(item("load", "c", front_end=None)) == "equipment.load.front_end"
    assert open_fact(pv(**UNKNOWN)) == "equipment.pv.galvanic_separation"
