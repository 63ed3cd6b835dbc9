"""What a paper counts for in a plan: from the time of its sitting, once, and nothing before its marks are released."""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta

import pytest
from fsrs import Card, Rating, Scheduler

from tests.services.sittings.world import COLLEGE, NOON, PAPER, World, answers, furnish, here, paper, right_answers
from trainer.domain.tasks import Task, TaskKind
from trainer.persistence.models import AttemptRow, LearnerRow, OutcomeRow, PageRow
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.plan.repositories import plan_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.sittings.repositories import sitting_repositories
from trainer.persistence.tables.accounts import PersonRow
from trainer.persistence.tables.organisations import MemberRow, OrganisationRow
from trainer.persistence.tables.plan import ScheduleReviewRow
from trainer.persistence.tables.sittings import GradingRow, SittingItemRow, SittingObjectiveRow, SittingRow
from trainer.services.papers.blueprint import Blueprint, Slot, write_blueprint
from trainer.services.papers.making import keep, made
from trainer.services.papers.records import Moderation
from trainer.services.papers.words import ModerationKind
from trainer.services.plan.plan import Planning
from trainer.services.plan.scheduling import CardState
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.outcomes import objectives_of
from trainer.services.sittings.starting import Starting
from trainer.services.sittings.working import Stamp, Working
from trainer.web.plan.wired import aims_in
from trainer.web.sittings.wired import SittingStoredForm

QUESTION = 2
"""The position of the question whose objective no other task of the paper has."""
TWO = Blueprint(
    slots=(
        Slot(kind=TaskKind.QUESTION, level=1, family="largest_loop_of_a_breaker", marks=4),
        Slot(kind=TaskKind.QUESTION, level=1, family="voltage_at_the_electrode", marks=5),
    )
)
FORM = SittingStoredForm()
LATER = NOON + timedelta(days=40)


@pytest.fixture
def world(storage: SqlStorage) -> World:
    """Ann with an account and a record of practice."""
    blueprint_json = write_blueprint(TWO)
    furnish(storage, variants=0, blueprint_json=blueprint_json)
    with storage.scopes(paper_repositories).writing() as stored:
        keep(stored, made(paper(blueprint_json=blueprint_json), 1, FORM, NOON))
    with storage.database.writing() as session:
        session.add(LearnerRow(id="anns", created_at=NOON, last_seen_at=NOON))
        session.flush()
        session.add(
            PersonRow(
                id="person-ann",
                sign_in_name="ann",
                email=None,
                display_name="Ann",
                password_hash="x",
                password_changed_at=NOON,
                is_operator=False,
                learner_id="anns",
                created_at=NOON,
            )
        )
        session.flush()
        session.get(MemberRow, "ann").person_id = "person-ann"
    return World(storage)


def sat(world: World, *, wrong: tuple[int, ...] = ()) -> Mapping[int, Task]:
    """Ann sits the paper at noon and hands in an hour later, right but for some positions; gives the tasks."""
    sitting = world.desk(Starting).start(here(), PAPER, 1, "")
    tasks = tasks_of(world, sitting.id)
    for position, task in tasks.items():
        given = {} if position in wrong else right_answers(task)
        stamp = Stamp(sender="page", sequence=1, base=0)
        world.desk(Working).save(here(), sitting.id, position, answers(given), stamp)
    world.clock.pass_by(minutes=50)
    world.desk(Finishing).hand_in(here(), sitting.id)
    return tasks


def tasks_of(world: World, sitting_id: str) -> Mapping[int, Task]:
    with world.storage.scopes(sitting_repositories).reading() as stored:
        items = stored.sittings.items(sitting_id)
        return {each.position: FORM.read_task(stored.tasks.get(each.content_hash).content) for each in items}


def planning(world: World, at: datetime = LATER) -> Planning:
    scopes = world.storage.scopes(plan_repositories)
    return Planning(storage=scopes, now=lambda: at, objectives=("LO01",), aims=aims_in)


def cards(world: World) -> Mapping[str, CardState]:
    return planning(world).plan("anns").cards


def only_in(tasks: Mapping[int, Task], position: int) -> str:
    """An objective that no other task of the paper has."""
    met = {number: {one for many in objectives_of(task).values() for one in many} for number, task in tasks.items()}
    return min(met[position] - set().union(*(found for number, found in met.items() if number != position)))


def by_the_library(*met: tuple[Rating, datetime]) -> datetime:
    """When a card is due by the published scheduler, without chance and without steps of minutes."""
    plain = Scheduler(enable_fuzzing=False, learning_steps=(), relearning_steps=(), maximum_interval=365)
    card = Card(card_id=1, due=met[0][1])
    for rating, at in met:
        card, _log = plain.review_card(card, rating, at)
    return card.due


def handed_in(world: World) -> datetime:
    return world.rows(SittingRow)[0].handed_in_at


def moderated(world: World, **values: object) -> None:
    usual = {
        "id": "change", "organisation_id": COLLEGE, "paper_id": PAPER, "kind": ModerationKind.ITEM_VOIDED,
        "sitting_id": None, "position": QUESTION, "slot": QUESTION, "marks_before": None, "marks_after": None,
        "reason": "The question had two answers.", "made_by": "bob", "made_at": LATER,
    }  # fmt: skip
    with world.storage.scopes(paper_repositories).writing() as stored:
        stored.moderations.add(Moderation(**{**usual, **values}))


@pytest.mark.parametrize("state", ["open", "closed", "moderated"])
def test_nothing_of_a_paper_is_in_the_plan_before_its_marks_are_released(world: World, state: str) -> None:
    sat(world)
    world.set_paper(state=state)
    plan = planning(world).plan("anns")
    assert (plan.cards, plan.standings) == ({}, {})
    assert world.rows(ScheduleReviewRow) == []


def test_once_released_each_objective_was_met_when_the_sitting_was_handed_in(world: World) -> None:
    tasks = sat(world)
    world.set_paper(state="released", released_at=LATER)
    wanted = {one for task in tasks.values() for many in objectives_of(task).values() for one in many}
    found = cards(world)
    assert set(found) == wanted
    assert {each.reviews for each in found.values()} == {1}
    assert {each.last_reviewed_at for each in found.values()} == {NOON + timedelta(minutes=50)}
    # Everything right and nothing said of how sure: good.
    assert {each.due_at for each in found.values()} == {by_the_library((Rating.Good, handed_in(world)))}


def test_what_earned_nothing_is_again_and_the_standing_counts_it(world: World) -> None:
    tasks = sat(world, wrong=(QUESTION,))
    world.set_paper(state="released")
    name = only_in(tasks, QUESTION)
    plan = planning(world).plan("anns")
    assert plan.cards[name].due_at == by_the_library((Rating.Again, handed_in(world)))
    assert plan.standings[name].marks == 0
    assert plan.standings[name].marks_available > 0
    assert {each.why for each in plan.offers if each.objective_id == name} == {"missed"}


def test_a_sitting_is_counted_once_however_many_pages_ask(world: World) -> None:
    sat(world)
    world.set_paper(state="released")
    with ThreadPoolExecutor(8) as pool:
        moved = list(pool.map(lambda _: planning(world).catch_up("anns"), range(8)))
    assert sum(moved) == len(world.rows(ScheduleReviewRow)) > 0
    assert planning(world).catch_up("anns") == 0


def practised(world: World, name: str, at: datetime, marks: int) -> None:
    with world.storage.database.writing() as session:
        hash_of = session.query(SittingItemRow).first().content_hash
        session.add(PageRow(id=f"page{at.day}", content_hash=hash_of, learner_id="anns", created_at=at))
        session.flush()
        session.add(
            AttemptRow(
                id=f"attempt{at.day}",
                page_id=f"page{at.day}",
                number=1,
                learner_id="anns",
                answers_json="{}",
                certainty_json="{}",
                grade_json=b"{}",
                marks=marks,
                marks_available=1,
                safe_to_energise=True,
                rule_set_version="1",
                edition="A4:2026",
                started_at=at,
                submitted_at=at,
                outcomes=[OutcomeRow(position=1, learner_id="anns", objective_id=name, marks=marks, marks_available=1)],
            )
        )


@pytest.mark.parametrize("looked_before", [True, False])
def test_the_plan_is_the_same_whenever_it_is_opened(world: World, looked_before: bool) -> None:
    """The sitting comes before the practice in time and is told after it."""
    tasks = sat(world)
    name, at = only_in(tasks, QUESTION), NOON + timedelta(days=3)
    practised(world, name, at, marks=0)
    if looked_before:
        assert planning(world).plan("anns").cards[name].due_at == by_the_library((Rating.Again, at))
    world.set_paper(state="released")
    card = cards(world)[name]
    assert card.due_at == by_the_library((Rating.Good, handed_in(world)), (Rating.Again, at))
    assert card.reviews == 2
    standing = planning(world).plan("anns").standings[name]
    assert (standing.decisions, standing.last_at) == (2, at)


def test_a_voided_task_counts_for_nothing_and_counts_again_when_that_is_taken_back(world: World) -> None:
    tasks = sat(world)
    world.set_paper(state="released")
    name = only_in(tasks, QUESTION)
    before = cards(world)
    moderated(world)
    after = cards(world)
    assert set(before) - set(after) >= {name}
    assert name not in planning(world).plan("anns").standings
    with world.storage.scopes(paper_repositories).writing() as stored:
        assert stored.moderations.withdraw(COLLEGE, "change", LATER)
    assert cards(world) == before


def test_a_mark_changed_by_hand_counts_as_it_stands_now(world: World) -> None:
    tasks = sat(world, wrong=(QUESTION,))
    world.set_paper(state="released")
    name = only_in(tasks, QUESTION)
    assert cards(world)[name].due_at == by_the_library((Rating.Again, handed_in(world)))
    # The question is worth five marks in the paper: all of them now.
    changed = {"kind": ModerationKind.MARK_CHANGED, "sitting_id": world.rows(SittingRow)[0].id}
    moderated(world, **changed, marks_before=0, marks_after=5)
    plan = planning(world).plan("anns")
    assert plan.cards[name].due_at == by_the_library((Rating.Good, handed_in(world)))
    assert plan.standings[name].marks == plan.standings[name].marks_available
    assert plan.cards[name].reviews == 1


def test_judging_again_replaces_what_was_counted(world: World) -> None:
    tasks = sat(world)
    world.set_paper(state="released")
    name = only_in(tasks, QUESTION)
    assert cards(world)[name].due_at == by_the_library((Rating.Good, handed_in(world)))
    with world.storage.database.writing() as session:
        first = session.query(GradingRow).one()
        values = {each.name: getattr(first, each.name) for each in GradingRow.__table__.columns}
        session.add(GradingRow(**{**values, "id": "second", "number": 2, "reason": "a rule was corrected"}))
        session.query(SittingRow).one().grading_number = 2
        session.query(SittingObjectiveRow).filter_by(objective_id=name).one().marks = 0
    plan = planning(world).plan("anns")
    assert plan.cards[name].due_at == by_the_library((Rating.Again, handed_in(world)))
    assert (plan.cards[name].reviews, plan.standings[name].marks) == (1, 0)


def test_a_date_alone_tells_nothing_where_two_persons_release(world: World) -> None:
    sat(world)
    world.set_paper(state="moderated", release_policy="on_date", release_at=LATER - timedelta(days=1))
    with world.storage.database.writing() as session:
        session.get(OrganisationRow, COLLEGE).release_needs_second_person = True
    assert cards(world) == {}
    with world.storage.database.writing() as session:
        session.get(OrganisationRow, COLLEGE).release_needs_second_person = False
    assert cards(world) != {}


def test_a_paper_for_practice_counts_at_once(world: World) -> None:
    world.set_paper(mode="practice")
    sat(world)
    assert cards(world) != {}


def test_how_sure_somebody_was_counts_as_in_practice(world: World) -> None:
    """All right and said to be certain is easy: 8 days at first by the published initial stability."""
    sitting = world.desk(Starting).start(here(), PAPER, 1, "")
    tasks = tasks_of(world, sitting.id)
    task = tasks[QUESTION]
    assert all(objectives_of(task).values())
    sure = dict.fromkeys((each.id for each in task.asks), 3)
    stamp = Stamp(sender="page", sequence=1, base=0)
    world.desk(Working).save(here(), sitting.id, QUESTION, answers(right_answers(task), **sure), stamp)
    world.desk(Finishing).hand_in(here(), sitting.id)
    world.set_paper(state="released")
    first = next(iter(objectives_of(task).values()))[0]
    card = cards(world)[first]
    assert (card.due_at - handed_in(world)).days == 8
