"""Variants kept on both databases: drawn at once from many sides they are there once, and as they were."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest
from sqlalchemy import func, select

from tests.persistence.papers.test_papers import PAPER, college, storage  # noqa: F401 - fixtures
from tests.web.conftest import NOON
from tests.web.people.conftest import House
from trainer.domain.tasks import TaskKind
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.papers import PaperVariantRow
from trainer.services.papers import making
from trainer.services.papers.blueprint import Blueprint, Slot, write_blueprint
from trainer.services.papers.errors import PaperChangedError
from trainer.services.papers.making import ensure_variant, prepare
from trainer.services.papers.words import PaperState
from trainer.web.practice.writing import StoredForm

ASKED = Slot(kind=TaskKind.QUESTION, level=2, objectives=("LO02",), count=3, marks=2)
PAPER_WITH_TASKS = replace(PAPER, state=PaperState.LOCKED, blueprint_json=write_blueprint(Blueprint(slots=(ASKED,))))


def set_paper(storage: SqlStorage) -> None:  # noqa: F811
    with storage.scopes(paper_repositories).writing() as stored:
        stored.papers.change(PAPER_WITH_TASKS, seen=1)


def test_a_variant_that_many_ask_for_at_once_is_kept_once(storage: SqlStorage, college: House) -> None:  # noqa: F811
    set_paper(storage)
    scopes = storage.scopes(paper_repositories)
    with ThreadPoolExecutor(6) as pool:
        found = list(pool.map(lambda _: ensure_variant(scopes, StoredForm(), NOON, PAPER_WITH_TASKS, 1), range(6)))
    assert len(set(found)) == 1
    with storage.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(PaperVariantRow)) == 3


def test_making_ready_goes_on_where_it_stopped(storage: SqlStorage, college: House) -> None:  # noqa: F811
    set_paper(storage)
    scopes = storage.scopes(paper_repositories)
    left = iter([True, True, False])
    drawn = prepare(scopes, StoredForm(), lambda: NOON, PAPER_WITH_TASKS, range(1, 6), is_wanted=lambda: next(left))
    assert drawn == 2
    assert prepare(scopes, StoredForm(), lambda: NOON, PAPER_WITH_TASKS, range(1, 6)) == 3
    with scopes.reading() as stored:
        assert list(stored.papers.variants("paper")) == [1, 2, 3, 4, 5]


def test_making_ready_stops_when_the_tasks_were_changed(storage: SqlStorage, college: House) -> None:  # noqa: F811
    set_paper(storage)
    earlier = replace(PAPER_WITH_TASKS, variant_key="another key")
    assert prepare(storage.scopes(paper_repositories), StoredForm(), lambda: NOON, earlier, [1]) == 0


@pytest.mark.parametrize(
    "changed",
    [{"state": PaperState.DRAFT}, {"blueprint_json": write_blueprint(Blueprint(slots=(replace(ASKED, marks=3),)))}],
    ids=["taken_back", "changed_and_locked_again"],
)
def test_tasks_that_were_being_drawn_when_the_paper_was_taken_back_are_not_kept(
    storage: SqlStorage,  # noqa: F811
    college: House,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
    changed: dict[str, object],
) -> None:
    set_paper(storage)
    scopes = storage.scopes(paper_repositories)
    draw = making.made

    def drawn_meanwhile(*args):
        with scopes.writing() as stored:
            assert stored.papers.change(replace(PAPER_WITH_TASKS, **changed), seen=2)
            stored.papers.drop_variants("paper")
        return draw(*args)

    monkeypatch.setattr(making, "made", drawn_meanwhile)
    with pytest.raises(PaperChangedError, match="taken back"):
        ensure_variant(scopes, StoredForm(), NOON, PAPER_WITH_TASKS, 1)
    with scopes.reading() as stored:
        assert list(stored.papers.variants("paper")) == []
