"""Tasks to JSON and back: the same task, the same bytes, no values of what is to be chosen."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from trainer.domain.answers.decisions import Decision, Edit, Option
from trainer.domain.errors import TrainerError
from trainer.domain.tasks import Key, Sheet, SheetKind, SheetRow, Task, TaskKind, Trap
from trainer.domain.vocabulary import DEFAULT_EDITION, DeviceKind, RcdType
from trainer.interop.canonical import canonical_bytes
from trainer.interop.installations import read_installation
from trainer.interop.task_json import task_bytes, task_json
from trainer.interop.task_reading import read_task, task_from_json
from trainer.resources import folder
from trainer.services.regrading.sameness import same

EXAMPLE = sorted((folder("scenarios") / "examples").glob("*.toml"))[0]


def task() -> Task:
    house = read_installation(EXAMPLE.read_bytes()).installation
    device = next(each for each in house.devices.values() if each.kind is DeviceKind.RCBO)
    path = f"devices.{device.id}"
    types = (RcdType.A, RcdType.B)
    options = tuple(
        Option(id=kind.value, label=f"type {kind.value}", cost=n, edits=(Edit(path=f"{path}.rcd_type", value=kind),))
        for n, kind in enumerate(types)
    )
    notices = tuple(
        Option(id=name, label=name, edits=(Edit(path="notices", value=frozenset(values)),))
        for name, values in {"none": (), "rcd": ("rcd_test",)}.items()
    )
    return Task(
        seed=2**63 - 1,
        generator_version="1",
        rule_set_version="1.x",
        edition=DEFAULT_EDITION,
        kind=TaskKind.CHOOSE,
        level=1,
        archetype="example",
        title=house.title,
        story="A story.",
        house=house,
        pack=(
            Sheet(
                id="s1",
                title="Sheet",
                kind=SheetKind.DATA_SHEET,
                rows=(SheetRow(label="Input", value="7.4", unit="kW"),),
                notes=("Invented.",),
                subject=path,
            ),
        ),
        decisions=(
            Decision(id="type", subject=path, question="Type?", options=options, objectives=("LO02",)),
            Decision(id="notices", subject="installation", question="Notices?", options=notices),
        ),
        key=Key(
            intended={"type": "B", "notices": "rcd"},
            traps=(Trap(id="t", misconception="M01", decision="type", option="A", rule="RCD-06"),),
        ),
    )


def document(*, with_key: bool = False) -> dict[str, Any]:
    return json.loads(canonical_bytes(task_json(task(), [4, 1], "Caution.", with_key=with_key)))


def test_a_task_comes_back_as_it_went() -> None:
    read = task_from_json(document(with_key=True))
    again = task_json(read.task, [4, 1], "Caution.", with_key=True)
    assert canonical_bytes(again) == canonical_bytes(document(with_key=True))
    assert read.id == document()["id"]
    assert read.task.decisions == task().decisions
    assert read.task.key == task().key


def test_what_is_to_be_chosen_does_not_stand_in_the_installation() -> None:
    made = document()
    device = task().decisions[0].subject.rpartition(".")[2]
    held = next(each for each in made["installation"]["devices"] if each["id"] == device)
    assert "rcd_type" not in held
    assert "notices" not in made["installation"]
    assert "key" not in made


def test_the_id_does_not_depend_on_the_key() -> None:
    assert document()["id"] == document(with_key=True)["id"]


def test_a_task_that_was_changed_is_refused() -> None:
    made = document()
    made["decisions"][0]["question"] = "Another?"
    with pytest.raises(TrainerError, match="does not fit the content"):
        task_from_json(made)


def mutilated(change: str) -> dict[str, Any]:
    made = copy.deepcopy(document())
    made.pop("id")
    match change:
        case "no decisions":
            del made["decisions"]
        case "unknown option value":
            made["decisions"][0]["options"][0]["sets"] = [{"path": task().decisions[0].paths[0], "value": "Z"}]
        case "unknown place":
            made["decisions"][0]["options"][0]["sets"] = [{"path": "devices.nowhere.rcd_type", "value": "A"}]
        case "unknown attribute":
            made["decisions"][0]["options"][0]["sets"] = [{"path": "devices.x.colour", "value": "A"}]
        case "seed":
            made["seed"] = -1
        case "unknown part":
            made["colour"] = "red"
        case "options":
            made["decisions"][0]["options"] = []
        case "sheet":
            made["pack"][0]["kind"] = "poster"
    return made


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ("no decisions", "decisions"),
        ("unknown option value", "decisions[0].options[0].sets"),
        ("unknown place", "decisions[0].options[0].sets"),
        ("unknown attribute", "decisions[0].options[0].sets"),
        ("seed", "seed"),
        ("unknown part", "colour"),
        ("options", "decisions[0].options"),
        ("sheet", "pack[0].kind"),
    ],
)
def test_a_broken_task_is_refused_with_the_place(change: str, where: str) -> None:
    with pytest.raises(TrainerError) as caught:
        task_from_json(mutilated(change))
    assert any(problem.path.startswith(where) for problem in caught.value.problems)


def test_a_truncated_file_is_refused() -> None:
    with pytest.raises(TrainerError):
        read_task(canonical_bytes(document())[:200])


def test_the_bytes_of_a_task_are_those_of_its_object() -> None:
    own_id, written = task_bytes(task(), [4, 1], "Caution.")
    assert json.loads(written) == document(with_key=True)
    assert written == canonical_bytes(document(with_key=True))
    assert own_id == document()["id"]


def test_a_task_that_the_program_kept_is_read_as_one_from_outside() -> None:
    for given in (document(with_key=True), document()):
        assert same(task_from_json(given, kept=True), task_from_json(given))


def test_of_a_kept_task_too_the_form_is_read_strictly() -> None:
    made = document(with_key=True)
    made["installation"]["devices"][0]["kind"] = "something else"
    with pytest.raises(TrainerError, match="something else"):
        task_from_json(made, kept=True)
