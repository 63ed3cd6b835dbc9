"""Learners who sit a paper through the use cases, with answers whose marks are known beforehand."""

from __future__ import annotations

from collections.abc import Mapping

from flask import Flask

from trainer.domain.tasks import Task
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.answering import solution_of
from trainer.services.people.here import Here
from trainer.services.people.words import Role
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.records import Answers, Sitting
from trainer.services.sittings.starting import Starting
from trainer.services.sittings.working import Stamp, Working
from trainer.web.practice.comparing import options_met
from trainer.web.sittings.wired import sitting_desk


def here_as(storage: SqlStorage, member_id: str) -> Here:
    """Somebody of the college at work."""
    with storage.scopes(people_repositories).reading() as stored:
        organisation = stored.organisations.get("college")
        member = stored.members.get("college", member_id)
    assert organisation is not None
    assert member is not None
    return Here(
        person_id=member_id,
        session_id="session",
        display_name=member.display_name,
        member_id=member_id,
        organisation=organisation,
        roles=frozenset({Role.LEARNER}),
        is_operator=False,
        learner_id=None,
    )


def sat(app: Flask, storage: SqlStorage, paper_id: str, member_id: str, right: Mapping[int, bool]) -> Sitting:
    """A sitting that is handed in: at each position all is answered right, or all that can be is wrong."""
    here = here_as(storage, member_id)
    with app.app_context():
        sitting = sitting_desk(Starting).start(here, paper_id, 1, "")
        working = sitting_desk(Working)
        for position, is_right in right.items():
            task = working.item(here, sitting.id, position).task
            given = right_answers(task) if is_right else wrong_answers(task)
            stamp = Stamp(sender="page", sequence=position, base=0)
            working.save(here, sitting.id, position, Answers(given=given, certainty={}, unfinished={}), stamp)
        return sitting_desk(Finishing).hand_in(here, sitting.id)


def right_answers(task: Task) -> dict[str, str]:
    return {each.id: task.key.asks[each.id].model for each in task.asks} or dict(task.key.intended)


def wrong_answers(task: Task) -> dict[str, str]:
    """For each ask a known wrong answer; for a decision one that is in no acceptable proposal, if there is one."""
    if task.asks:
        found = {each.id: [w.answer for w in task.key.asks[each.id].wrongs] for each in task.asks}
        return {name: (wrongs or [_other(task, name)])[0] for name, wrongs in found.items()}
    met = options_met(solution_of(task))
    chosen = {}
    for each in task.decisions:
        never = [option.id for number, option in enumerate(each.options) if number not in met[each.id]]
        chosen[each.id] = never[0] if never else task.key.intended[each.id]
    return chosen


def _other(task: Task, name: str) -> str:
    ask = next(each for each in task.asks if each.id == name)
    return next(each.id for each in ask.choices if each.id not in task.key.asks[name].answers)
