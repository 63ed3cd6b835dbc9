"""What no client may learn before the release: key, seeds, traps, secrets of the paper, marks, other people.

Every answer of the server during a sitting is searched for what was planted.
"""

from __future__ import annotations

import json
import re

from sqlalchemy import update

from tests.services.sittings.world import SECRET, World, right_answers
from tests.web.people.conftest import Browser
from tests.web.sittings.conftest import start
from tests.web.sittings.test_sitting_pages import autosave, form_of, press, variant
from trainer.persistence.models import TaskRow
from trainer.persistence.tables.sittings import SittingRow
from trainer.services.papers.words import PaperState

CANARY = "planted-canary"


def plant(world: World) -> None:
    """Puts a word into every part of the stored keys."""
    with world.storage.database.writing() as session:
        for row in session.query(TaskRow).all():
            document = json.loads(row.content)
            key = document["key"]
            for trap in key["traps"]:
                trap["id"] = trap["misconception"] = trap["rule"] = CANARY
            for each in (key.get("asks") or {}).values():
                each["why"] = CANARY
                for wrong in each.get("wrongs", []):
                    wrong["why"] = wrong["misconception"] = CANARY
            session.execute(
                update(TaskRow)
                .where(TaskRow.content_hash == row.content_hash)
                .values(content=json.dumps(document).encode())
            )


def test_no_answer_of_the_server_gives_away_what_is_secret(world: World, learner: Browser) -> None:
    plant(world)
    world.set_paper(access_code="amber-code")
    seen: list[str] = []
    path = start(learner, code="amber-code")
    tasks = world.tasks(variant(world))
    for position, task in tasks.items():
        item = f"{path}/items/{position}"
        seen.append(learner.get(item).text)
        wrong = dict(list(right_answers(task).items())[:-1])
        seen.append(autosave(learner, item, form_of(task, wrong)).text)
        seen.append(press(learner, item, form_of(task, wrong), go="flag").text)
    seen += [learner.get(each).text for each in ("/my-papers", "/my-papers/paper", path, f"{path}/clock")]
    seen.append(learner.post(f"{path}/hand-in", page=path).text)
    seen += [learner.get(each).text for each in ("/my-papers", f"{path}/result", f"{path}/result/1")]
    sitting = world.rows(SittingRow)[0]
    assert sitting.marks is not None
    everything = "\n".join(seen)
    secrets = [CANARY, SECRET, "amber-code", str(sitting.seed), "bob", *(str(task.seed) for task in tasks.values())]
    assert [each for each in secrets if each in everything] == []
    assert not re.search(r"\b\d+ of 30\b", everything), "no mark before the release"
    for task in tasks.values():
        assert not any(f"decision-{each.id}" in seen[-2] for each in task.decisions)


def test_the_planted_words_would_be_found(world: World, learner: Browser) -> None:
    """After the release the reasons are there, so the search above can find what it looks for."""
    plant(world)
    path = start(learner)
    learner.post(f"{path}/hand-in", page=path)
    world.set_paper(state=PaperState.RELEASED.value)
    assert CANARY in learner.get(f"{path}/result/2").text
