"""Any task by itself for those who set work: shown with its key, pinned, barred; never to a learner."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import NOON
from tests.web.papers.conftest import made, moved, with_tasks
from tests.web.people.conftest import Browser, House, build
from trainer.domain.generator.request import TaskRequest
from trainer.domain.tasks import TaskKind
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.papers import seeds
from trainer.services.papers.blueprint import read_blueprint
from trainer.services.papers.looking import Wanted, look
from trainer.services.people.records import GroupPlace
from trainer.services.people.words import GroupPart
from trainer.services.proving.seeds import fingerprint
from trainer.services.scenarios import make_task

SEED = "4711"


def address(**wanted: str) -> str:
    asked = {"kind": "choose", "level": "2", "seed": SEED, **wanted}
    return "/papers/look?" + "&".join(f"{name}={value}" for name, value in asked.items())


def marked(browser: Browser, do: str, **wanted: str):
    fields = {"kind": "choose", "level": "2", "seed": SEED, **wanted, "do": do}
    return browser.post("/papers/look", fields, page="/papers/new")


def blueprint_of(storage: SqlStorage, paper_address: str):
    with storage.scopes(paper_repositories).reading() as stored:
        return read_blueprint(stored.papers.get("college", paper_address.rpartition("/")[2]).blueprint_json)


@pytest.mark.parametrize("kind", list(TaskKind))
def test_a_seed_of_every_kind_is_shown_with_its_key(lecturer: Browser, kind: TaskKind) -> None:
    task = make_task(TaskRequest(seed=int(SEED), level=2, kind=kind))
    answer = lecturer.get(address(kind=kind.value))
    assert answer.status_code == 200
    assert answer.headers["X-Robots-Tag"] == "noindex, nofollow"
    assert fingerprint(task).hex() in answer.text
    assert all(f"<h3>{sheet.title}</h3>" in answer.text for sheet in task.pack if sheet.id != "found")
    rights = [option for each in task.decisions for option in each.options if option.id == task.key.intended[each.id]]
    assert answer.text.count("(intended)") == len(rights)
    assert all(key.why.split()[0] in answer.text for key in task.key.asks.values())
    assert "Words to read" in answer.text
    assert "Caution" in answer.text


def test_nothing_can_be_answered_on_the_page_of_a_key(lecturer: Browser) -> None:
    text = lecturer.get(address()).text
    asked = text[text.index('id="decisions"') : text.index('id="key"')]
    assert "<fieldset disabled" in asked
    assert "<button" not in asked


def test_every_option_that_is_never_right_names_a_rule_that_it_fails(lecturer: Browser) -> None:
    text = lecturer.get(address(level="5")).text
    wrong = text[text.index("What is wrong with the other options") : text.index('id="hard"')]
    rows = re.findall(r"<tr><th scope=\"row\">.*?</tr>", wrong, flags=re.S)
    assert len(rows) > 3
    assert all("/rules/" in row for row in rows)


def test_without_a_seed_one_is_drawn_and_stands_in_the_address(lecturer: Browser) -> None:
    drawn = {lecturer.get(address(seed="")).headers["Location"] for _ in range(2)}
    other = lecturer.get(address() + "&do=next").headers["Location"]
    assert all(re.search(r"seed=\d+", each) for each in (*drawn, other))
    assert f"seed={SEED}" not in other
    assert lecturer.get(other).status_code == 200


def test_objectives_are_met_by_a_seed_that_makes_the_same_task_without_them(lecturer: Browser) -> None:
    shown = look(Wanted(kind=TaskKind.CHOOSE, level=2, seed=int(SEED), objectives=("LO03",)))
    again = make_task(TaskRequest(seed=shown.task.seed, level=2))
    assert fingerprint(again).hex() == shown.fingerprint
    assert "LO03" in shown.objectives
    text = lecturer.get(address(objective="LO03")).text
    assert shown.fingerprint in text


@pytest.mark.parametrize(
    ("wanted", "told"),
    [
        # What is impossible, and what can be had instead.
        ({"kind": "choose", "level": "1", "objective": "LO48"}, "at no level; ask for kind question"),
        ({"kind": "choose", "level": "9"}, "possible: 1, 2, 3, 4, 5"),
        ({"kind": "choose", "archetype": "no-such-place"}, "unknown archetype"),
        ({"kind": "choose", "seed": "soon"}, "write a whole number, or leave it empty"),
        ({"kind": "choose", "seed": str(2**63)}, f"must be from 0 to {2**63 - 1}"),
    ],
)
def test_what_cannot_be_drawn_says_what_and_what_can_be_done(
    lecturer: Browser, wanted: dict[str, str], told: str
) -> None:
    answer = lecturer.get(address(**wanted))
    assert answer.status_code == 400
    assert told in answer.text
    assert 'id="key"' not in answer.text


def test_a_seed_of_another_generator_says_so_and_what_stays(lecturer: Browser) -> None:
    text = lecturer.get(address(version="1")).text
    assert "noted with version 1" in text
    assert "opens as it was" in text
    assert "Another version" not in lecturer.get(address()).text


def test_learners_and_visitors_never_reach_a_key(college: House, browser_of, client) -> None:
    learner = browser_of("college-learner")
    for page in (address(), "/papers/look", "/papers/look/list", "/papers/look/list/" + "0" * 64):
        assert learner.get(page).status_code == 403
        assert client.get(page).status_code == 303


def test_a_training_manager_looks_and_is_offered_no_papers(college: House, browser_of) -> None:
    manager = browser_of("college-training_manager")
    text = manager.get(address()).text
    assert "Same code, same task" in text
    assert "All papers" not in text
    assert "Put it into the paper" not in text


def test_a_training_manager_puts_no_task_into_a_paper_even_of_a_group_that_they_teach(
    lecturer: Browser, storage: SqlStorage, browser_of
) -> None:
    paper = made(lecturer)
    with_tasks(lecturer, paper)
    manager = browser_of("college-training_manager")
    place = GroupPlace(
        group_id="class",
        member_id="college-training_manager",
        organisation_id="college",
        part=GroupPart.TEACHES,
        joined_at=NOON,
    )
    with storage.scopes(people_repositories).writing() as stored:
        stored.groups.put([place])
    fields = {"kind": "question", "level": "2", "seed": SEED, "marks": "3", "place": f"{paper.rpartition('/')[2]}:0"}
    assert manager.post("/papers/look", {**fields, "do": "put"}, page="/account").status_code == 403
    assert len(blueprint_of(storage, paper).slots) == 2


def test_in_a_full_list_a_pin_still_becomes_a_bar_and_no_further_task_comes_in(
    lecturer: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(seeds, "MOST_MARKED", 1)
    assert marked(lecturer, "pinned", kind="question").status_code == 303
    assert marked(lecturer, "barred", kind="question").status_code == 303
    further = marked(lecturer, "pinned", kind="question", seed="4712")
    assert further.status_code == 400
    assert "take some out of the list first" in further.text
    assert "What to look at" in further.text


def test_pressed_twice_a_task_stands_in_a_paper_once(lecturer: Browser, storage: SqlStorage) -> None:
    paper = made(lecturer)
    with_tasks(lecturer, paper)
    place = f"{paper.rpartition('/')[2]}:0"
    assert marked(lecturer, "put", kind="question", place=place, marks="3").status_code == 303
    again = marked(lecturer, "put", kind="question", place=place, marks="3")
    assert again.status_code == 400
    assert "everybody gets this task already, in part 3" in again.text.replace("&#39;", "'").lower()
    assert len(blueprint_of(storage, paper).slots) == 3


def test_a_barred_seed_is_drawn_by_no_paper_of_the_organisation(lecturer: Browser, storage: SqlStorage) -> None:
    paper = made(lecturer)
    with_tasks(lecturer, paper)
    page = lecturer.get(f"{paper}/variants/1").text
    link = re.search(r'href="(/papers/look\?kind=choose[^"]*)"', page)
    assert link is not None
    where = link[1].replace("&amp;", "&")
    seed = re.search(r"seed=(\d+)", where)[1]
    wanted = dict(pair.split("=") for pair in where.partition("?")[2].split("&"))
    # The task that stood in the paper is the one that its own page shows.
    assert lecturer.get(where).text.count("Another version") == 0
    assert marked(lecturer, "barred", **wanted).status_code == 303
    assert seed not in lecturer.get(f"{paper}/variants/1").text
    assert moved(lecturer, paper, "locked", 2).status_code == 303
    assert int(seed) in blueprint_of(storage, paper).barred_seeds


def test_a_bar_of_one_organisation_is_none_of_anothers(lecturer: Browser, storage: SqlStorage, browser_of) -> None:
    build(storage, "firm")
    marked(lecturer, "barred")
    assert SEED in lecturer.get("/papers/look/list").text
    other = browser_of("firm-lecturer")
    assert "Nothing yet" in other.get("/papers/look/list").text
    with storage.scopes(paper_repositories).reading() as stored:
        name = stored.seeds.of("college")[0].content_hash
    assert other.get(f"/papers/look/list/{name}").status_code == 400
    assert other.post(f"/papers/look/list/{name}", {}, page="/papers/new").status_code == 400
    assert SEED in lecturer.get("/papers/look/list").text


def test_a_pinned_task_opens_as_it_was_kept_and_can_be_taken_out(lecturer: Browser, storage: SqlStorage) -> None:
    assert marked(lecturer, "pinned", kind="measure").status_code == 303
    assert "It stands in the list" in lecturer.get(address(kind="measure")).text
    with storage.scopes(paper_repositories).reading() as stored:
        (kept,) = stored.seeds.of("college")
    assert kept.kind is TaskKind.MEASURE
    page = lecturer.get(f"/papers/look/list/{kept.content_hash}").text
    assert "as it was when it was marked" in page
    assert lecturer.post(f"/papers/look/list/{kept.content_hash}", {}, page="/papers/new").status_code == 303
    assert "Nothing yet" in lecturer.get("/papers/look/list").text


def test_a_task_goes_into_a_draft_as_a_slot_of_its_own(lecturer: Browser, storage: SqlStorage) -> None:
    paper = made(lecturer)
    with_tasks(lecturer, paper)
    place = f"{paper.rpartition('/')[2]}:0"
    assert marked(lecturer, "put", kind="question", place=place, marks="3").status_code == 303
    slot = blueprint_of(storage, paper).slots[-1]
    assert (slot.kind, slot.marks, slot.pinned_seeds) == (TaskKind.QUESTION, 3, (int(SEED),))
    task = make_task(TaskRequest(seed=int(SEED), level=2, kind=TaskKind.QUESTION))
    for variant in (1, 2):
        assert task.asks[0].question in lecturer.get(f"{paper}/variants/{variant}").text.replace("&#39;", "'")


def test_a_slot_that_makes_another_task_of_the_seed_says_why(lecturer: Browser, storage: SqlStorage) -> None:
    paper = made(lecturer)
    with_tasks(lecturer, paper)
    place = f"{paper.rpartition('/')[2]}:1"
    answer = marked(lecturer, "put", place=place, marks="3")
    assert answer.status_code == 400
    assert "part of its own" in answer.text
    assert blueprint_of(storage, paper).slots[0].pinned_seeds == ()


def test_what_is_barred_is_not_pinned_and_a_pin_that_is_barred_later_stops_the_lock(lecturer: Browser) -> None:
    paper = made(lecturer)
    with_tasks(lecturer, paper)
    place = f"{paper.rpartition('/')[2]}:0"
    assert marked(lecturer, "put", place=place, marks="3").status_code == 303
    assert marked(lecturer, "barred").status_code == 303
    refused = moved(lecturer, paper, "locked", 3)
    assert refused.status_code == 400
    assert "take back the pin or the bar" in refused.text
    again = marked(lecturer, "put", place=place, marks="3")
    assert (again.status_code, "take it out of the list first" in again.text) == (400, True)
