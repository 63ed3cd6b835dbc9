"""The firm as a whole: matrix, gaps, what changed, files, evidence, reminders; and how it holds with many people."""

from __future__ import annotations

import csv
import io
import re
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import event, select, update

from tests.web.people.conftest import Browser, Clock, House, build, member
from tests.web.programmes.conftest import FORM, more_people
from tests.web.programmes.test_taking import sit
from tests.web.taking import Run, taken
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.programmes.repositories import programme_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.organisations import OrganisationRow
from trainer.persistence.tables.programmes import AssignmentRow
from trainer.services.people.words import MemberState, Role

Browsers = Callable[..., Browser]


def cells(page: str, name: str) -> dict[str, str]:
    """The letters of somebody's row by objective."""
    row = re.search(rf'<tr role="row"><th scope="row" role="rowheader">{name}.*?</tr>', page, re.DOTALL)[0]
    return dict(re.findall(r'data-name="(LO\d+)"><abbr title="[^"]+">(\w)</abbr>', row))


def set_rows(storage: SqlStorage, where: object, **values: object) -> None:
    with storage.database.writing() as session:
        session.execute(update(AssignmentRow).where(where).values(**values))


def test_the_matrix_shows_not_yet_assessed_current_due_soon_and_overdue_by_letter(
    programme: str, manager: Browser, learner: Browser, storage: SqlStorage, clock: Clock
) -> None:
    wanted = FORM["objective-firm-installer"]
    # Never assessed, and the first due day lies within the sixty days of warning.
    assert cells(manager.get("/programmes/matrix").text, "Firm-Learner") == dict.fromkeys(wanted, "S")
    set_rows(storage, AssignmentRow.member_id == "firm-learner", due_at=datetime(2027, 6, 1, tzinfo=UTC))
    assert cells(manager.get("/programmes/matrix").text, "Firm-Learner") == dict.fromkeys(wanted, "N")
    sit(learner, storage)
    assert cells(manager.get("/programmes/matrix").text, "Firm-Learner") == dict.fromkeys(wanted, "C")
    # Sixty days before 2 November 2027 is 3 September.
    for day, letter in ((datetime(2027, 9, 3, tzinfo=UTC), "S"), (datetime(2027, 11, 3, tzinfo=UTC), "O")):
        clock.now = day
        manager.sign_in("firm-training_manager")
        assert cells(manager.get("/programmes/matrix").text, "Firm-Learner") == dict.fromkeys(wanted, letter)


def test_the_matrix_is_narrowed_by_site_and_role_and_its_columns_with_it(
    programme: str, manager: Browser, storage: SqlStorage
) -> None:
    more_people(storage, 1, role="firm-inspector")
    manager.post(f"{programme}/assign", page=programme)
    page = manager.get("/programmes/matrix?role=firm-inspector").text
    assert cells(page, "Person 00000") == {"LO05": "S"}
    assert "Firm-Learner" not in page
    assert "LO20" not in page
    assert "Person 00000" not in manager.get("/programmes/matrix?site=firm-depot").text


def test_programme_matrix_and_gaps_count_the_overdue_alike_and_name_who_was_never_assessed(
    programme: str, manager: Browser, storage: SqlStorage
) -> None:
    more_people(storage, 3)
    manager.post(f"{programme}/assign", page=programme)
    # Two of four are past their due day: one passed a year before it, one never did. Two have time yet.
    past = datetime(2026, 10, 1, tzinfo=UTC)
    set_rows(storage, AssignmentRow.id.is_not(None), due_at=datetime(2027, 6, 1, tzinfo=UTC))
    with storage.database.reading() as session:
        first, second, *_ = session.scalars(select(AssignmentRow.id).order_by(AssignmentRow.id)).all()
    set_rows(storage, AssignmentRow.id == first, due_at=past, last_passed_at=past - timedelta(days=365))
    set_rows(storage, AssignmentRow.id == second, due_at=past)
    page = manager.get(programme).text
    standings = dict(re.findall(r"standing=(\w+)[^>]*>.*?class=\"number\">(\d+)<", page, re.DOTALL))
    assert (standings["overdue"], standings["due"]) == ("2", "2")
    rows = re.findall(r'<tr role="row"><th scope="row".*?</tr>', manager.get("/programmes/matrix").text, re.DOTALL)
    letters = [set(re.findall(r'<abbr title="[^"]+">(\w)</abbr>', row)) for row in rows]
    assert sorted(letters, key=str) == [{"N"}, {"N"}, {"O"}, {"O"}]
    gap = re.search(r"<tr><th scope=\"row\">.*?</tr>", manager.get("/programmes/gaps").text, re.DOTALL)[0]
    assert re.findall(r'figure-cell">(\d+)<', gap) == ["4", "2", "1", "2", "0", "0", "0"]


def test_gaps_count_people_by_programme_and_role(
    programme: str, manager: Browser, learner: Browser, storage: SqlStorage
) -> None:
    more_people(storage, 3)
    manager.post(f"{programme}/assign", page=programme)
    sit(learner, storage)
    page = manager.get("/programmes/gaps").text
    row = re.search(r"<tr><th scope=\"row\">.*?</tr>", page, re.DOTALL)[0]
    # People, overdue, of these never assessed, not yet assessed, due soon, current, excused.
    assert re.findall(r'figure-cell">(\d+)<', row) == ["4", "0", "0", "0", "3", "1", "0"]


def test_what_changed_names_rules_objectives_and_who_was_assessed_before(
    programme: str, manager: Browser, learner: Browser, storage: SqlStorage
) -> None:
    sit(learner, storage)
    set_rows(storage, AssignmentRow.member_id == "firm-learner", last_edition="A3:2024")
    page = manager.get("/programmes/changes").text
    for said in ("BAT-02", "GEN-02", "LO20", "Firm-Learner"):
        assert said in page
    assert "Firm-Learner" not in manager.get("/programmes/changes?earlier=A2:2022&later=A3:2024").text
    # The learner reads why the next one begins with it.
    assert "Changed since you were last assessed" in learner.get("/refreshers").text
    assert manager.get("/programmes/changes?earlier=A9:2099").status_code == 404


MATRIX = "/programmes/matrix"


def matrix(browser: Browser, run: Run, form: str) -> bytes:
    return taken(browser, f"/programmes/take/matrix.{form}", MATRIX, run)


def evidence(browser: Browser, run: Run) -> zipfile.ZipFile:
    return zipfile.ZipFile(io.BytesIO(taken(browser, "/programmes/evidence", MATRIX, run)))


@pytest.fixture(params=[300, 10], ids=["at once", "by the runner"])
def people_at_once(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> int:
    """Up to how many people a table is made at once; the runner then takes seven at a time."""
    monkeypatch.setattr("trainer.web.programmes.firm.SMALL", request.param)
    monkeypatch.setattr("trainer.web.programmes.making._PEOPLE", 7)
    return int(request.param)


def test_tables_carry_everybody_and_no_text_is_taken_for_a_formula(
    programme: str, manager: Browser, storage: SqlStorage, run: Run, people_at_once: int
) -> None:
    """OWASP, CSV Injection: cells that begin with =, +, -, @, tab or carriage return."""
    names = ["=1+1", "+1", "-1", "@SUM(A1)", '=HYPERLINK("http://a.example")']
    shared = {"trade_role_id": "firm-installer", "state": MemberState.INVITED}
    with storage.scopes(people_repositories).writing() as stored:
        for number, name in enumerate(names):
            stored.members.add(member(f"odd{number}", "firm", Role.LEARNER, display_name=name, **shared))
    more_people(storage, 60)
    manager.post(f"{programme}/assign", page=programme)
    rows = list(csv.reader(io.StringIO(matrix(manager, run, "csv").decode("utf-8-sig"))))
    assert len(rows) == 1 + 1 + 60 + len(names)
    assert not [row[0] for row in rows if row[0][:1] in "=+-@"]
    import openpyxl

    sheet = openpyxl.load_workbook(io.BytesIO(matrix(manager, run, "xlsx"))).active
    assert sheet.max_row == len(rows)
    assert {cell.data_type for row in sheet.iter_rows() for cell in row}.isdisjoint({"f"})


def test_the_evidence_pack_holds_matrix_records_what_was_asked_and_what_it_does_not_prove(
    programme: str, manager: Browser, learner: Browser, storage: SqlStorage, run: Run
) -> None:
    sit(learner, storage)
    with storage.scopes(programme_repositories).reading() as stored:
        (record,) = stored.records.of_member("firm", "firm-learner")
    pack = evidence(manager, run)
    assert pack.testzip() is None
    names = set(pack.namelist())
    assert {
        "README.txt",
        "matrix.csv",
        "matrix.html",
        "asked.csv",
        "records.csv",
        f"records/{record.code}.html",
    } <= names
    readme = pack.read("README.txt").decode()
    assert "WHAT IT DOES NOT PROVE" in readme
    assert "not a qualification, a competence card or a certificate" in readme
    assert "&#" not in readme
    asked = list(csv.DictReader(io.StringIO(pack.read("asked.csv").decode("utf-8-sig"))))
    assert {each["edition"] for each in asked} == {"A4:2026"}
    assert {each["objective"] for each in asked} <= set(record.objectives)
    assert len({each["task"] for each in asked}) == 3
    assert "Firm-Learner" in pack.read(f"records/{record.code}.html").decode()


def test_a_revoked_record_is_not_evidence(
    programme: str, manager: Browser, learner: Browser, storage: SqlStorage, run: Run
) -> None:
    sit(learner, storage)
    with storage.scopes(programme_repositories).reading() as stored:
        (record,) = stored.records.of_member("firm", "firm-learner")
    page = f"/records/{record.id}"
    manager.post(f"{page}/revoke", {"reason": "mistake"}, page=page)
    pack = evidence(manager, run)
    assert not [name for name in pack.namelist() if name.startswith("records/") and name.endswith(".html")]


def test_taking_data_away_is_noted(programme: str, manager: Browser, storage: SqlStorage, run: Run) -> None:
    for form in ("csv", "xlsx"):
        matrix(manager, run, form)
    evidence(manager, run)
    with storage.scopes(SqlAuditLog).reading() as log:
        actions = [each.action for each in log.all() if each.action.startswith("programme.e")]
        noted = [each.details_json for each in log.all() if each.action == "programme.exported"]
    assert noted == ['{"what":"matrix"}', '{"what":"matrix"}']
    assert actions[2:] == ["programme.evidence_asked", "programme.evidence_done", "programme.evidence_fetched"]


def test_a_file_is_for_whoever_asked_for_it_and_only_while_they_manage(
    programme: str, manager: Browser, storage: SqlStorage, browser_of: Browsers, run: Run
) -> None:
    evidence(manager, run)
    address = re.search(r'href="(/files/[^"]+)" download', manager.get("/files").text)[1]
    assert browser_of("firm-administrator").get(address).status_code == 404
    assert browser_of("firm-learner").get(address).status_code == 404
    with storage.scopes(people_repositories).writing() as stored:
        found = stored.members.get("firm", "firm-training_manager")
        stored.members.change(replace(found, roles=frozenset({Role.LEARNER})))
    assert manager.get(address).status_code == 404
    assert "Evidence pack" not in manager.get("/files").text


def test_a_file_that_waits_is_cancelled_and_of_many_the_sixth_is_refused(
    programme: str, manager: Browser, run: Run
) -> None:
    answers = [manager.post("/programmes/evidence", {}, page=MATRIX).status_code for _ in range(6)]
    assert answers == [303] * 5 + [400]
    page = manager.get("/files").text
    assert "0 of 2 made" in page
    job = re.search(r'action="(/files/[^"]+/cancel)"', page)[1]
    assert manager.post(job, {}, page=MATRIX).status_code == 303
    run()
    page = manager.get("/files").text
    assert page.count(" download") == 4
    assert "cancelled" in page


@contextmanager
def counted(storage: SqlStorage) -> Iterator[list[str]]:
    """The statements that are executed meanwhile."""
    seen: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_more: object) -> None:
        seen.append(statement)

    engines = [each for each in vars(storage.database).values() if hasattr(each, "dialect")]
    assert engines
    for engine in engines:
        event.listen(engine, "before_cursor_execute", note)
    yield seen
    for engine in engines:
        event.remove(engine, "before_cursor_execute", note)


PAGES = ("/programmes", "/programmes/matrix", "/programmes/gaps", "/programmes/changes", "/records", "/refreshers")


def test_the_number_of_queries_does_not_depend_on_the_number_of_people(
    programme: str, manager: Browser, storage: SqlStorage
) -> None:
    def numbers() -> dict[str, int]:
        found = {}
        for path in (programme, *PAGES):
            with counted(storage) as seen:
                assert manager.get(path).status_code == 200
            found[path] = len(seen)
        return found

    more_people(storage, 60)
    manager.post(f"{programme}/assign", page=programme)
    few = numbers()
    more_people(storage, 3000, first=100)
    manager.post(f"{programme}/assign", page=programme)
    assert numbers() == few
    assert max(few.values()) <= 20


@pytest.mark.slow
def test_every_page_answers_with_ten_thousand_people(
    programme: str, manager: Browser, storage: SqlStorage, record_property: Callable[[str, object], None]
) -> None:
    """How long each took stands in the report (``--junit-xml``); a time is never asserted."""
    more_people(storage, 10_000)
    manager.post(f"{programme}/assign", page=programme)
    set_rows(storage, AssignmentRow.id < "M", due_at=datetime(2026, 10, 1, tzinfo=UTC))
    for path in (programme, f"{programme}?standing=overdue&site=firm-yard", f"{programme}?search=person+09", *PAGES):
        began = time.perf_counter()
        assert manager.get(path).status_code == 200
        record_property(path, round((time.perf_counter() - began) * 1000))


def test_a_manager_of_another_firm_sees_nothing_of_this_one(
    programme: str, learner: Browser, storage: SqlStorage, browser_of: Browsers, run: Run
) -> None:
    sit(learner, storage)
    build(storage, "other")
    other = browser_of("other-training_manager")
    for path in PAGES:
        text = other.get(path).text
        assert "Firm-Learner" not in text
        assert "Residual current devices" not in text
    assert other.get(programme).status_code == 404
    rows = matrix(other, run, "csv")
    assert b"Firm-Learner" not in rows
    pack = evidence(other, run)
    assert all(b"Firm-Learner" not in pack.read(name) for name in pack.namelist())


def test_a_role_of_another_firm_cannot_be_given_objectives(manager: Browser, storage: SqlStorage) -> None:
    build(storage, "other")
    answer = manager.post("/programmes/new", {**FORM, "objective-other-role": ["LO02"]}, page="/programmes/new")
    # Fields of no role of this firm are not read at all.
    assert answer.status_code == 303
    with storage.scopes(programme_repositories).reading() as stored:
        (made,) = stored.programmes.all("firm")
    assert set(made.objectives) == {"firm-installer", "firm-inspector"}


def test_whoever_left_is_not_in_the_matrix(programme: str, manager: Browser, storage: SqlStorage) -> None:
    more_people(storage, 1)
    manager.post(f"{programme}/assign", page=programme)
    with storage.scopes(people_repositories).writing() as stored:
        found = stored.members.get("firm", "p00000")
        stored.members.change(replace(found, state=MemberState.ENDED))
    assert "Person 00000" not in manager.get("/programmes/matrix").text


def test_the_administrator_of_a_firm_is_led_to_the_programmes_and_the_one_of_a_college_is_not(
    firm: House, storage: SqlStorage, browser_of: Browsers
) -> None:
    def led() -> bool:
        page = browser_of("firm-administrator").get("/rules").text
        return 'href="/programmes"' in page

    assert not led()
    with storage.database.writing() as session:
        session.execute(update(OrganisationRow).values(kind="firm"))
    assert led()
