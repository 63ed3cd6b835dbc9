"""Disagreements between the two routes that are meant: each by name, with its reason in docs/agreement.md."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment
from trainer.domain.faults.guards import detects_direct_current
from trainer.domain.physics.front_ends import FRONT_ENDS
from trainer.domain.physics.responses import Function
from trainer.domain.rules.paths import nearest_residual_device, own_circuits
from trainer.domain.vocabulary import RcdType
from trainer.services.agreement.routes import Answers, Question

Explains = Callable[[Answers], bool]


def _only_the_walk_fails(answers: Answers) -> bool:
    return answers.walk_fails is True and answers.rule_fails is False


def _only_the_rule_fails(answers: Answers) -> bool:
    return answers.rule_fails is True and answers.walk_fails is False


def _origins(answers: Answers) -> list[Equipment | None]:
    return [answers.house.equipment.get(name) for name in answers.origins]


def _own_loads(answers: Answers) -> list[Equipment]:
    """The equipment on the circuits of which the device is the nearest residual current device."""
    house = answers.house
    return [item for circuit in own_circuits(house, answers.device) for item in house.equipment_on(circuit)]


def _failing_cases(answers: Answers) -> set[str]:
    return {each.verdict.case for each in answers.findings if each.fails}


def _has_stated_type(item: Equipment | None) -> bool:
    return item is not None and (item.maker_rcd_not_needed or item.maker_rcd_type is not None)


def _stated_type_serves(answers: Answers, item: Equipment | None) -> bool:
    """True when the device is of the type that the maker states; for what passes on, that it is not type B."""
    if item is None or not _has_stated_type(item):
        return False
    stated = item.maker_rcd_type or RcdType.A
    if answers.question is Question.PASSES:
        return stated is not RcdType.B
    return answers.device.rcd_type is not None and answers.device.rcd_type.covers(stated)


def _is_plugged_in(item: Equipment | None) -> bool:
    return item is not None and (item.plug_in or not item.fixed)


def _maker_states_less(answers: Answers) -> bool:
    return _only_the_walk_fails(answers) and all(_stated_type_serves(answers, item) for item in _origins(answers))


def _plugged_in_load(answers: Answers) -> bool:
    items = _origins(answers)
    return _only_the_walk_fails(answers) and all(
        _is_plugged_in(item) or _stated_type_serves(answers, item) for item in items
    )


def _maker_requires_more(answers: Answers) -> bool:
    if not _only_the_rule_fails(answers):
        return False
    if answers.question is Question.TYPE:
        return _failing_cases(answers) <= {"maker_requires", "maker_states"}
    stated = any(_has_stated_type(item) for item in _own_loads(answers))
    return _failing_cases(answers) == {"type_ac_above_dc"} and stated


def _regulation_asks_for_type_a(answers: Answers) -> bool:
    """Type AC before a charging point that detects d.c. itself and leaves sinusoidal current only."""
    if answers.question is not Question.TYPE or not _only_the_rule_fails(answers):
        return False
    cases = _failing_cases(answers)
    asked = {"type_ac", "maker_requires", "maker_states"}
    return bool(cases & asked) and cases <= {*asked, "rating_above_limit"}


def _separation_asks_for_type_a(answers: Answers) -> bool:
    if not _only_the_rule_fails(answers):
        return False
    if answers.question is Question.TYPE:
        return _failing_cases(answers) == {"separation"}
    separated = any(item.galvanic_separation for item in _own_loads(answers))
    return _failing_cases(answers) == {"type_ac_above_dc"} and separated


def _type_b_without_its_load(answers: Answers) -> bool:
    passing = _failing_cases(answers) == {"smooth_dc_passes"} and answers.question is Question.PASSES
    return _only_the_rule_fails(answers) and passing and answers.device.rcd_type is RcdType.B


def _type_ac_is_judged_by_its_type(answers: Answers) -> bool:
    return (
        answers.question in (Question.STANDING, Question.SEVERAL)
        and answers.device.rcd_type is RcdType.AC
        and _only_the_walk_fails(answers)
    )


def _nobody_else(answers: Answers) -> bool:
    if answers.question is not Question.PASSES or not _only_the_rule_fails(answers):
        return False
    return all(_final_circuits(answers, each) <= 1 for each in _devices_passed(answers))


def _devices_passed(answers: Answers) -> Iterator[Device]:
    """The devices that the failing findings name as not tolerating what passes.

    A finding that names equipment speaks of a device inside it, and of the device asked as the one above.
    """
    for finding in answers.findings:
        for path in finding.verdict.related if finding.fails else ():
            yield answers.house.devices.get(path.removeprefix("devices."), answers.device)


def _final_circuits(answers: Answers, device: Device) -> int:
    house = answers.house
    return sum(house.is_final(circuit) for circuit in house.circuits_below(device))


def _monitoring_clears_it(answers: Answers) -> bool:
    return _only_the_rule_fails(answers) and Function.MONITORING in answers.cleared_by


def _middle_of_a_three_phase_link(answers: Answers) -> bool:
    return (
        answers.question is Question.TYPE
        and _only_the_walk_fails(answers)
        and answers.device.rcd_type is not RcdType.AC
        and all(_detects_behind_several_lines(answers, item) for item in _origins(answers))
    )


def _detects_behind_several_lines(answers: Answers, item: Equipment | None) -> bool:
    if item is None or item.charger is None or item.front_end is None or FRONT_ENDS[item.front_end].lines == 1:
        return False
    nearest = nearest_residual_device(answers.house, answers.house.circuits[item.circuit])
    in_board = nearest is not None and nearest.direct_current_detection_ma is not None
    return in_board or detects_direct_current(item.charger)


EXCEPTIONS: Mapping[str, Explains] = MappingProxyType(
    {
        "maker-states-less-than-the-front-end": _maker_states_less,
        "plugged-in-load-is-noted-only": _plugged_in_load,
        "maker-requires-more-than-the-front-end": _maker_requires_more,
        "a-charger-asks-for-type-a": _regulation_asks_for_type_a,
        "separation-still-asks-for-type-a": _separation_asks_for_type_a,
        "type-b-is-judged-without-its-load": _type_b_without_its_load,
        "type-ac-is-judged-by-its-type": _type_ac_is_judged_by_its_type,
        "nobody-else-below-the-device-above": _nobody_else,
        "monitoring-clears-a-large-leak": _monitoring_clears_it,
        "middle-of-a-three-phase-link": _middle_of_a_three_phase_link,
    }
)
"""Every named exception, in the order in which they are tried."""


def explanation(answers: Answers) -> str | None:
    """The name of the exception that explains a disagreement, or None."""
    return next((name for name, explains in EXCEPTIONS.items() if explains(answers)), None)
