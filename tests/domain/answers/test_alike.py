"""Options that differ in nothing that a rule reads of them are judged once."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from tests.domain.answers.toy import toy_house, toy_rule
from trainer.domain.answers.conditions import WEIGHT, Bench, Forbidden
from trainer.domain.answers.decisions import Decision, Edit, Option, apply
from trainer.domain.devices import Device
from trainer.domain.findings import Verdict, holds
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Over, Rule
from trainer.domain.vocabulary import DEFAULT_EDITION, Consequence, DeviceKind, Outcome, RcdType

# Kind, type and poles of a way: two widths among four options, three kinds of which two are as wide.
WAYS = (
    (DeviceKind.CIRCUIT_BREAKER, None, 1),
    (DeviceKind.RCBO, RcdType.A, 1),
    (DeviceKind.RCBO, RcdType.B, 2),
    (DeviceKind.RCBO, RcdType.F, 2),
)


def way(device_id: str) -> Decision:
    paths = [f"devices.{device_id}.{name}" for name in ("kind", "rcd_type", "poles")]
    options = tuple(
        Option(
            id=str(number),
            label=str(number),
            edits=tuple(Edit(path=path, value=value) for path, value in zip(paths, values, strict=True)),
        )
        for number, values in enumerate(WAYS)
    )
    return Decision(id=device_id, subject=f"devices.{device_id}", question="?", options=options)


DECISIONS = (way("a"), way("b"))


def counted(rule: Rule) -> tuple[Rule, list[object]]:
    """The rule, and a list that grows each time it judges."""
    runs: list[object] = []

    def judge(record: object, house: Installation, limits: Limits) -> Verdict | None:
        runs.append(record)
        return rule.judge(record, house, limits)

    return replace(rule, judge=judge), runs


def failing(rule: Rule) -> set[tuple[int, int]]:
    """The proposals under which a rule fails, each judged for itself."""
    found = set()
    for numbers in product(range(len(WAYS)), repeat=2):
        house = apply(toy_house(), DECISIONS, dict(zip("ab", map(str, numbers), strict=True)))
        verdict = rule.judge(house, house, None)  # type: ignore[arg-type]  # the toy rules read no limits
        if verdict is not None and verdict.outcome is Outcome.DOES_NOT_COMPLY:
            found.add(numbers)
    return found


def covered(forbidden: Forbidden) -> set[tuple[int, int]]:
    """The proposals that hold a forbidden combination."""
    every = product(range(len(WAYS)), repeat=2)
    return {each for each in every if any(literals <= set(enumerate(each)) for literals in forbidden)}


def _narrow(house: Installation, _: Installation, _limits: Limits) -> Verdict:
    return holds(house.devices["a"].poles + house.devices["b"].poles <= 3)


def _suited(house: Installation, _: Installation, _limits: Limits) -> Verdict:
    def fits(device: Device) -> bool:
        return device.poles == 1 or device.rcd_type is RcdType.B

    return holds(fits(house.devices["a"]) and fits(house.devices["b"]))


NARROW_ENOUGH = toy_rule("TOY-21", Over.INSTALLATION, Consequence.FIRE, _narrow)
SUITED_WHERE_WIDE = toy_rule("TOY-22", Over.INSTALLATION, Consequence.FIRE, _suited)


def test_a_rule_that_reads_the_width_alone_is_run_once_for_each_pair_of_widths() -> None:
    rule, runs = counted(NARROW_ENOUGH)
    found = Bench(toy_house(), DECISIONS, (rule,), DEFAULT_EDITION).forbidden()
    assert covered(found) == failing(NARROW_ENOUGH) == {(2, 2), (2, 3), (3, 2), (3, 3)}
    assert set(found.values()) == {WEIGHT[Consequence.FIRE]}
    assert len(runs) == 4


def test_what_is_read_of_some_options_only_still_tells_them_apart() -> None:
    rule, runs = counted(SUITED_WHERE_WIDE)
    found = Bench(toy_house(), DECISIONS, (rule,), DEFAULT_EDITION).forbidden()
    assert covered(found) == failing(SUITED_WHERE_WIDE)
    assert len(runs) < len(WAYS) ** 2
