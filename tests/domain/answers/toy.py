"""A small house with rules of its own, so that the solver is tested without the rule book."""

from __future__ import annotations

from trainer.domain.answers.decisions import Decision, Edit, Option
from trainer.domain.cables import Circuit
from trainer.domain.citations import Citation, Status
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.findings import Verdict, at_most, holds, total
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Over, Rule, RuleFunction
from trainer.domain.supply import Earthing, Supply
from trainer.domain.vocabulary import (
    Consequence,
    Curve,
    DeviceKind,
    EarthingSystem,
    Edition,
    Premises,
    RcdType,
)


def device(device_id: str, fed_by: str, kind: DeviceKind = DeviceKind.RCBO) -> Device:
    return Device(
        id=device_id,
        board="main",
        fed_by=fed_by,
        kind=kind,
        rated_current_a=32,
        poles=2,
        rcd_type=RcdType.A,
        curve=Curve.B,
    )


def load(load_id: str, leakage_ma: float) -> Equipment:
    return Equipment(
        id=load_id,
        circuit=load_id,
        kind=EquipmentKind.OTHER,
        protective_conductor_current_ma=leakage_ma,
    )


def toy_house() -> Installation:
    devices = [device("up", "main", DeviceKind.RCCB), device("a", "up"), device("b", "up")]
    return Installation(
        title="Toy",
        premises=Premises.DWELLING,
        supply=Supply(earthing_system=EarthingSystem.TN_S),
        earthing=Earthing(),
        boards={"main": Board(id="main")},
        devices={each.id: each for each in devices},
        circuits={
            "a": Circuit(id="a", fed_by="a"),
            "b": Circuit(id="b", fed_by="b"),
        },
        equipment={"a": load("a", 5), "b": load("b", 5)},
    )


def _decision(decision_id: str, path: str, values: dict[str, object]) -> Decision:
    return Decision(
        id=decision_id,
        subject=path.rpartition(".")[0],
        question="?",
        options=tuple(
            Option(id=name, label=name, edits=(Edit(path=path, value=value),), cost=cost)
            for cost, (name, value) in enumerate(values.items())
        ),
    )


def toy_decisions() -> tuple[Decision, ...]:
    types = {kind.value: kind for kind in RcdType}
    return (
        _decision("place-b", "devices.b.fed_by", {"shared": "up", "own": "main"}),
        _decision("type-a", "devices.a.rcd_type", dict(types)),
        _decision("type-up", "devices.up.rcd_type", dict(types)),
        _decision("curve-b", "devices.b.curve", {"B": Curve.B, "C": Curve.C}),
    )


def toy_rule(rule_id: str, over: Over, consequence: Consequence, function: RuleFunction) -> Rule:
    return Rule(
        id=rule_id,
        name=rule_id,
        judge=function,
        over=over,
        consequence=consequence,
        statement="",
        why="",
        remedy="",
        assumes="",
        formula="",
        citation=Citation(publication="toy", clause="1", status=Status.SEEN),
        iec="",
        editions=frozenset(Edition),
        objectives=(),
    )


def _not_below(subject: Device, house: Installation, limits: Limits) -> Verdict | None:
    above = house.residual_devices_above(subject)
    if not above or subject.rcd_type is None:
        return None
    upper = above[0].rcd_type
    assert upper is not None
    return holds(upper.covers(subject.rcd_type), value=upper.value, limit=subject.rcd_type.value)


def _shared(subject: Device, house: Installation, limits: Limits) -> Verdict | None:
    if subject.kind is not DeviceKind.RCCB:
        return None
    leakage = [e.protective_conductor_current_ma or 0 for e in house.equipment_below(subject)]
    return at_most(total(leakage), 9, unit="mA")


def _curve(subject: Device, house: Installation, limits: Limits) -> Verdict | None:
    if subject.kind is not DeviceKind.RCBO or subject.fed_by != "main":
        return None
    return holds(subject.curve is Curve.C)


SHARED_SUM = toy_rule("TOY-2", Over.DEVICES, Consequence.NUISANCE, _shared)
TOY_RULES = (
    toy_rule("TOY-1", Over.DEVICES, Consequence.SHOCK, _not_below),
    SHARED_SUM,
    toy_rule("TOY-3", Over.DEVICES, Consequence.DESIGN, _curve),
)
