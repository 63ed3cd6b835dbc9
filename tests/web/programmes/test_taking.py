"""A refresher from its start to the record, and the record in the hands of others."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from tests.web.people.conftest import Browser, Clock
from tests.web.programmes.conftest import FORM
from tests.web.taking import Run, taken
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.programmes.repositories import programme_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.sittings.repositories import sitting_repositories
from trainer.services.operation.audit import verified
from trainer.services.programmes.words import NameVisibility
from trainer.web.practice.writing import StoredForm

Browsers = Callable[..., Browser]


def begin(learner: Browser) -> str:
    """Begins the refresher; gives the address of the sitting."""
    path = re.search(r'action="(/refreshers/[\w-]+)"', learner.get("/refreshers").text)[1]
    return learner.post(path, page="/refreshers").headers["Location"]


def sit(learner: Browser, storage: SqlStorage, *, right: bool = True) -> str:
    """Answers every question by its key, or not at all, and hands in; gives the id of the sitting."""
    sitting = begin(learner)
    sitting_id = sitting.rpartition("/")[2]
    with storage.scopes(sitting_repositories).reading() as stored:
        tasks = [stored.tasks.get(each.content_hash) for each in stored.sittings.items(sitting_id)]
    for position, kept in enumerate(tasks, start=1):
        if right:
            task = StoredForm().read_task(kept.content)
            answer(learner, f"{sitting}/items/{position}", task)
    handed_in = learner.post(f"{sitting}/hand-in", page=sitting)
    assert handed_in.headers["Location"] == f"/refreshers/sittings/{sitting_id}"
    learner.get(handed_in.headers["Location"])
    return sitting_id


def answer(learner: Browser, address: str, task: object) -> None:
    data: dict[str, object] = {}
    page = learner.get(address).text
    for name in ("sender", "sequence", "base"):
        found = re.search(rf'name="{name}"[^>]*value="([^"]*)"', page)
        data[name] = found[1] if found else ""
    for ask in task.asks:
        model = task.key.asks[ask.id].model
        if ask.form == "order":
            for number, each in enumerate(model.split(">"), start=1):
                data[f"place-{ask.id}-{each}"] = str(number)
        elif ask.form == "match":
            for left, _, right in (pair.partition("=") for pair in model.split("+")):
                data[f"place-{ask.id}-{left}"] = right
        else:
            data[f"choice-{ask.id}"] = model.split("+") if ask.form == "several" else model
    kept = learner.post(address, data, page=address)
    assert kept.status_code == 303, kept.text


def records(storage: SqlStorage) -> list:
    with storage.scopes(programme_repositories).reading() as stored:
        return list(stored.records.of_member("firm", "firm-learner"))


def test_passing_gives_a_record_and_moves_the_due_day_by_the_cycle(
    programme: str, learner: Browser, manager: Browser, storage: SqlStorage, clock: Clock
) -> None:
    sitting_id = sit(learner, storage)
    page = learner.get(f"/refreshers/sittings/{sitting_id}").text
    assert "Passed" in page
    (record,) = records(storage)
    # Passed on 2 November 2026, twelve months: read off a calendar.
    assert record.valid_until == datetime(2027, 11, 2, tzinfo=UTC)
    assert record.marks == record.marks_available
    assert set(record.objectives) & set(FORM["objective-firm-installer"])
    assert record.edition == "A4:2026"
    assert "2 Nov 2027" in manager.get(programme).text


def test_nothing_right_gives_no_record_and_the_next_one_asks_what_went_wrong(
    programme: str, learner: Browser, storage: SqlStorage
) -> None:
    first = sit(learner, storage, right=False)
    assert "Not passed" in learner.get(f"/refreshers/sittings/{first}").text
    assert records(storage) == []
    with storage.scopes(programme_repositories).reading() as stored:
        member = stored.people.get("firm", "firm-learner")
        shares = stored.refreshers.shares("firm", member)
    missed = {name for name, share in shares.items() if share.marks == 0}
    second = begin(learner).rpartition("/")[2]
    assert second != first
    with storage.scopes(SqlAuditLog).reading() as log:
        started = [each for each in log.all() if each.action == "sitting.started"][-1]
    asked = json.loads(started.details_json)["objectives"].split()
    assert asked[0] in missed & set(FORM["objective-firm-installer"])


def test_beginning_twice_goes_on_with_the_same_sitting(programme: str, learner: Browser) -> None:
    assert begin(learner) == begin(learner)


def test_looking_twice_gives_one_record_and_the_chain_is_whole(
    programme: str, learner: Browser, storage: SqlStorage
) -> None:
    sitting_id = sit(learner, storage)
    for _ in range(3):
        learner.get(f"/refreshers/sittings/{sitting_id}")
        learner.get("/refreshers")
    assert len(records(storage)) == 1
    with storage.scopes(SqlAuditLog).reading() as log:
        entries = list(log.all())
    assert verified(entries).problem == ""
    assert [each.action for each in entries].count("record.issued") == 1


def test_a_refresher_of_somebody_else_cannot_be_begun_or_seen(
    programme: str, learner: Browser, storage: SqlStorage, browser_of: Browsers
) -> None:
    sitting_id = sit(learner, storage)
    path = f"/refreshers/sittings/{sitting_id}"
    (record,) = records(storage)
    other = browser_of("firm-lecturer")
    assert other.get(path).status_code in {400, 404}
    assert other.get(f"/records/{record.id}").status_code in {400, 404}
    assignment = re.search(r'action="(/refreshers/[\w-]+)"', learner.get("/refreshers").text)[1]
    assert other.post(assignment, page="/account").status_code in {400, 404}


def test_the_holder_decides_how_much_of_the_name_a_third_party_reads(
    programme: str, learner: Browser, storage: SqlStorage, browser_of: Browsers
) -> None:
    sit(learner, storage)
    (record,) = records(storage)
    visitor, page = browser_of(), f"/records/{record.id}"
    hidden = visitor.get(f"/check/{record.code}").text
    assert ("Firm-Learner" in hidden, "Residual current devices" in hidden) == (False, True)
    learner.post(f"{page}/name", {"visibility": "initials"}, page=page)
    initials = visitor.get(f"/check/{record.code}").text
    assert ("F." in initials, "Firm-Learner" in initials) == (True, False)
    learner.post(f"{page}/name", {"visibility": "full"}, page=page)
    assert "Firm-Learner" in visitor.get(f"/check/{record.code}").text


def test_nobody_but_the_holder_decides_on_the_name(
    programme: str, learner: Browser, manager: Browser, storage: SqlStorage
) -> None:
    sit(learner, storage)
    (record,) = records(storage)
    page = f"/records/{record.id}"
    assert manager.post(f"{page}/name", {"visibility": "full"}, page=page).status_code == 400
    assert records(storage)[0].name_visibility is NameVisibility.HIDDEN


def test_a_revoked_record_reads_as_a_code_that_nobody_has(
    programme: str, learner: Browser, manager: Browser, storage: SqlStorage, browser_of: Browsers
) -> None:
    sit(learner, storage)
    (record,) = records(storage)
    page = f"/records/{record.id}"
    assert manager.post(f"{page}/revoke", {"reason": ""}, page=page).status_code == 400
    assert manager.post(f"{page}/revoke", {"reason": "somebody else sat it"}, page=page).status_code == 303
    visitor = browser_of()
    revoked, unknown = visitor.get(f"/check/{record.code}"), visitor.get("/check/" + "0" * 26)
    assert (revoked.status_code, unknown.status_code) == (404, 404)
    assert revoked.data == unknown.data
    assert dict(revoked.headers).keys() == dict(unknown.headers).keys()
    assert "somebody else sat it" in learner.get(page).text
    # No longer current by it.
    assert "due soon" in learner.get("/refreshers").text
    assert learner.post(f"{page}/revoke", {"reason": "x"}, page="/account").status_code == 403


def test_a_code_is_found_however_it_is_typed(
    programme: str, learner: Browser, storage: SqlStorage, browser_of: Browsers
) -> None:
    sit(learner, storage)
    code = records(storage)[0].code
    typed = "-".join(code[at : at + 5] for at in range(0, len(code), 5)).lower().replace("0", "o").replace("1", "l")
    answer = browser_of().get(f"/check?code={typed}", follow_redirects=True)
    assert (answer.status_code, "A training record" in answer.text) == (200, True)


def test_guessing_codes_is_stopped_and_a_right_one_is_not_counted(
    programme: str, learner: Browser, storage: SqlStorage, browser_of: Browsers, clock: Clock
) -> None:
    sit(learner, storage)
    code, visitor = records(storage)[0].code, browser_of()
    for _ in range(40):
        assert visitor.get(f"/check/{code}").status_code == 200
    answers = [visitor.get(f"/check/{number:026}").status_code for number in range(31)]
    assert answers == [404] * 30 + [429]
    clock.pass_by(timedelta(minutes=15))
    assert visitor.get(f"/check/{code}").status_code == 200


def test_a_record_past_its_date_says_so(
    programme: str, learner: Browser, storage: SqlStorage, browser_of: Browsers, clock: Clock
) -> None:
    sit(learner, storage)
    code = records(storage)[0].code
    clock.now = datetime(2027, 11, 2, 23, 59, tzinfo=UTC)
    assert "in force" in browser_of().get(f"/check/{code}").text
    clock.now = datetime(2027, 11, 3, 0, 0, tzinfo=UTC)
    assert "past its date" in browser_of().get(f"/check/{code}").text


@pytest.mark.parametrize("path", ["records", "check"])
def test_a_record_carries_the_caution_and_never_calls_itself_a_certificate(
    programme: str, learner: Browser, storage: SqlStorage, path: str
) -> None:
    sit(learner, storage)
    (record,) = records(storage)
    address = f"/records/{record.id}" if path == "records" else f"/check/{record.code}"
    text = learner.get(address).text
    assert "training aid with invented installations" in text
    # Only to say what it is not.
    said = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", text)).lower()
    for word in ("certificate", "qualification"):
        for found in re.finditer(word, said):
            before = said[max(0, found.start() - 60) : found.start()]
            assert re.search(r"\b(not|no)\b", before), before


@pytest.mark.usefixtures("printer")
def test_the_pdf_says_what_the_record_says(programme: str, learner: Browser, storage: SqlStorage, run: Run) -> None:
    """Text extracted by pypdf, a general-purpose library."""
    import io

    import pypdf

    sit(learner, storage)
    (record,) = records(storage)
    content = taken(learner, f"/records/{record.id}/pdf", f"/records/{record.id}", run)
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages)
    flat = re.sub(r"\s+", "", text)
    for said in ("Firm-Learner", record.title, record.code[:5], "2 Nov 2027", "A4:2026", "not a qualification"):
        assert said.replace(" ", "").lower() in flat.lower(), said


def test_without_the_printer_the_page_says_what_is_missing(
    programme: str, learner: Browser, storage: SqlStorage, monkeypatch: pytest.MonkeyPatch
) -> None:
    from trainer.web.printing import pdf

    sit(learner, storage)
    (record,) = records(storage)
    monkeypatch.setattr(pdf, "missing", lambda: "No module named 'weasyprint'")
    page = learner.get(f"/records/{record.id}").text
    assert "weasyprint" in page
    assert f"/records/{record.id}/pdf" not in page
    answer = learner.post(f"/records/{record.id}/pdf", {}, page=f"/records/{record.id}")
    assert answer.headers["Location"] == f"/records/{record.id}"
