"""An invented college: a group, a paper that is done with its figures, and one that is being sat."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from trainer.cli.inventing.abilities import abilities, chance, difficulties
from trainer.cli.inventing.workshop import Workshop
from trainer.domain.tasks import Task, TaskKind
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.sittings.repositories import sitting_repositories
from trainer.services.papers.blueprint import Blueprint, Slot
from trainer.services.papers.moving import MovingDesk
from trainer.services.papers.records import Paper
from trainer.services.papers.setting import SettingDesk
from trainer.services.papers.settings import PaperSettings
from trainer.services.papers.words import PaperMode, PaperState
from trainer.services.people.here import Here
from trainer.services.people.records import Group, GroupPlace, Organisation
from trainer.services.people.words import GroupPart, OrganisationKind, Role
from trainer.services.sittings.records import Sitting
from trainer.services.sittings.starting import Starting

NAME = "Aldermoor College (invented)"
LEARNERS = 32
_STILL_SITTING = 6
_DONE = Blueprint(
    slots=(
        Slot(kind=TaskKind.CHOOSE, level=1, objectives=("LO02",), marks=8),
        Slot(kind=TaskKind.QUESTION, level=2, objectives=("LO02",), count=2, marks=4),
        Slot(kind=TaskKind.QUESTION, level=2, objectives=("LO03",), count=3, marks=4),
        Slot(kind=TaskKind.QUESTION, level=2, objectives=("LO04",), count=3, marks=4),
        Slot(kind=TaskKind.MEASURE, level=1, marks=6),
    )
)
_RUNNING = Blueprint(
    slots=(
        Slot(kind=TaskKind.QUESTION, level=2, objectives=("LO12",), count=2, marks=4),
        Slot(kind=TaskKind.INSPECT, level=1, marks=8),
    )
)


def invent_college(shop: Workshop, now: datetime) -> None:
    """Makes the college with all that happened there; takes about a minute."""
    shop.clock.reach(now - timedelta(days=60))
    college = college_of(shop)
    lecturer = shop.member(college, Role.LECTURER, sign_in_name="lecturer")
    shop.member(college, Role.ADMINISTRATOR, sign_in_name="administrator")
    learners = [shop.member(college, Role.LEARNER, sign_in_name="learner")]
    learners += [shop.member(college, Role.LEARNER) for _ in range(LEARNERS - 1)]
    group = group_of(shop, college, lecturer, learners)
    shop.clock.reach(now - timedelta(days=21))
    settings = PaperSettings(title="Residual current, first paper", time_limit_min=45, pass_percent=60)
    finished_paper(shop, lecturer, learners, group, settings, _DONE)
    shop.clock.reach(now - timedelta(minutes=30))
    going_on(shop, lecturer, learners, group)


def college_of(shop: Workshop) -> Organisation:
    """The college, without anybody."""
    college = Organisation(
        id=shop.new_id(),
        name=NAME,
        kind=OrganisationKind.COLLEGE,
        release_needs_second_person=False,
        staff_need_second_factor=False,
        created_at=shop.clock(),
    )
    with shop.storage.scopes(people_repositories).writing() as stored:
        stored.organisations.add(college)
    return college


def group_of(shop: Workshop, college: Organisation, lecturer: Here, learners: Sequence[Here]) -> Group:
    """A group with its lecturer."""
    group = Group(id=shop.new_id(), organisation_id=college.id, name="Second year, evening", created_at=shop.clock())
    parts = [(lecturer, GroupPart.TEACHES), *((each, GroupPart.LEARNS) for each in learners)]
    with shop.storage.scopes(people_repositories).writing() as stored:
        stored.groups.add(group)
        stored.groups.put(
            [
                GroupPlace(
                    group_id=group.id,
                    member_id=each.member_id,
                    organisation_id=college.id,
                    part=part,
                    joined_at=shop.clock(),
                )
                for each, part in parts
            ]
        )
    return group


def _set(shop: Workshop, lecturer: Here, group: Group, settings: PaperSettings, blueprint: Blueprint) -> Paper:
    """A paper, set, locked and open, its variants drawn."""
    setting, moving = shop.papers(SettingDesk), shop.papers(MovingDesk)
    paper = setting.make(lecturer, settings, (group.id,))
    paper = setting.set_blueprint(lecturer, paper.id, paper.revision, blueprint)
    paper = moving.move(lecturer, paper.id, paper.revision, PaperState.LOCKED)
    moving.prepare_all(lecturer, paper.id)
    return moving.move(lecturer, paper.id, paper.revision, PaperState.OPEN)


def finished_paper(
    shop: Workshop,
    lecturer: Here,
    learners: Sequence[Here],
    group: Group,
    settings: PaperSettings,
    blueprint: Blueprint,
) -> Paper:
    """A paper that everybody sat and whose marks are out; it takes sixty hours of the clock."""
    paper = _set(shop, lecturer, group, settings, blueprint)
    hard = difficulties((each.position for each in blueprint.places()), shop.random)
    for learner, able in zip(learners, abilities(len(learners), shop.random), strict=True):
        sitting = shop.sittings(Starting).start(learner, paper.id, 1, "")
        tasks = tasks_of(shop, sitting)
        minutes = shop.random.uniform(12, 40) / len(tasks)
        for position, task in tasks.items():
            shop.sit(learner, sitting.id, {position: task}, chance(able, hard[position]), minutes)
        shop.hand_in(learner, sitting.id)
    moving = shop.papers(MovingDesk)
    for state in (PaperState.CLOSED, PaperState.MODERATED, PaperState.RELEASED):
        shop.clock.pass_by(hours=20)
        paper = moving.move(lecturer, paper.id, moving.paper(lecturer, paper.id).revision, state)
    return paper


def going_on(shop: Workshop, lecturer: Here, learners: Sequence[Here], group: Group) -> Paper:
    """A paper that some of the learners are at now."""
    settings = PaperSettings(title="Chargers, in class", mode=PaperMode.GRADED, time_limit_min=90)
    paper = _set(shop, lecturer, group, settings, _RUNNING)
    for learner in learners[1 : 1 + _STILL_SITTING]:
        sitting = shop.sittings(Starting).start(learner, paper.id, 1, "")
        tasks = tasks_of(shop, sitting)
        done = dict(list(tasks.items())[: shop.random.randint(1, len(tasks))])
        shop.sit(learner, sitting.id, done, 0.6, 2)
    return paper


def tasks_of(shop: Workshop, sitting: Sitting) -> dict[int, Task]:
    """The tasks of a sitting by their positions."""
    with shop.storage.scopes(sitting_repositories).reading() as stored:
        items = stored.sittings.items(sitting.id)
        kept = {each.position: stored.tasks.get(each.content_hash) for each in items}
    return {position: shop.form.read_task(task.content) for position, task in kept.items() if task is not None}
