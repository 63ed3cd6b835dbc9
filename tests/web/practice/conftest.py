"""Practice over a task written by hand, so that the pages are tested without the generator."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from flask import Flask

from tests.web.conftest import NOON
from trainer.domain.answers.decisions import Decision, Edit, Option
from trainer.domain.answers.misconceptions import Misconception
from trainer.domain.tasks import Key, Sheet, SheetKind, SheetRow, Task, TaskKind, Trap
from trainer.domain.vocabulary import DEFAULT_EDITION, RcdType
from trainer.interop.installations import read_installation
from trainer.persistence.repositories import SqlStorage
from trainer.resources import folder
from trainer.services.practice.tasks import Practice
from trainer.web.practice.writing import StoredForm

CANARY = "planted-canary"


def _type_of(device: str, fitting: str) -> Decision:
    return Decision(
        id=f"{device}.type",
        subject=f"devices.{device}",
        question="Which type?",
        options=tuple(
            Option(
                id=kind.value,
                label=f"type {kind.value}",
                cost=kind.rank,
                edits=(Edit(path=f"devices.{device}.rcd_type", value=kind),),
            )
            for kind in RcdType
        ),
        objectives=("LO02", "LO03"),
    )


def hand_made_task() -> Task:
    """The example in which a type A stands above a type B, with both types open."""
    file = folder("scenarios") / "examples" / "type-a-above-type-b.toml"
    house = read_installation(file.read_bytes()).installation
    lower = next(each.id for each in house.devices.values() if each.rcd_type is RcdType.B)
    upper = next(each.id for each in house.residual_devices_above(house.devices[lower]))
    return Task(
        seed=7,
        generator_version="by hand",
        rule_set_version="by hand",
        edition=DEFAULT_EDITION,
        kind=TaskKind.CHOOSE,
        level=3,
        archetype="by hand",
        title="A house by hand",
        story="Somebody wants a charger.",
        house=replace(house, title="A house by hand"),
        pack=(
            Sheet(
                id="s1",
                title="Sheet 1",
                kind=SheetKind.DATA_SHEET,
                rows=(SheetRow(label="Input", value="7.4", unit="kW"),),
                notes=("Invented.",),
            ),
        ),
        decisions=(_type_of(upper, "B"), _type_of(lower, "B")),
        key=Key(
            intended={f"{upper}.type": "B", f"{lower}.type": "B"},
            traps=(Trap(id=CANARY, misconception="M01", decision=f"{upper}.type", option="A", rule="RCD-07"),),
        ),
    )


BELIEF = Misconception(id="M01", statement="It copes.", why_wrong="It is not required to.", rule="RCD-07")


@pytest.fixture
def by_hand(app: Flask, storage: SqlStorage) -> Task:
    """The task that every start gives."""
    made = hand_made_task()
    numbers = itertools.count(1)
    app.extensions["trainer.practice"] = Practice(
        storage=storage,
        make=lambda _request: (made, None),
        form=StoredForm(),
        catalogue=(BELIEF,),
        now=lambda: NOON,
        new_id=lambda: f"id-{next(numbers)}",
        new_seed=lambda: 7,
    )
    app.config["WTF_CSRF_ENABLED"] = False
    return made
