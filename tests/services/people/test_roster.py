"""Rosters as people really send them."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.draws import UNHURRIED
from trainer.services.people.errors import RosterError
from trainer.services.people.roster import COLUMNS, MOST_BYTES, MOST_LINES, RosterRow, read_roster

HEAD = "name,email,reference,group\n"


def read(text: str, encoding: str = "utf-8"):
    return read_roster(text.encode(encoding if encoding != "windows-1252" else "cp1252"), encoding)


def problems(text: str) -> list[tuple[int, str]]:
    return [(bad.line, bad.problem) for bad in read(text).bad]


def test_a_plain_roster_is_read() -> None:
    roster = read(HEAD + "Ann Lee,ann@example.org,17,Evening\nBo Ray,,18,Evening\n")
    assert roster.bad == ()
    assert roster.rows == (
        RosterRow(line=2, name="Ann Lee", email="ann@example.org", reference="17", group="Evening"),
        RosterRow(line=3, name="Bo Ray", reference="18", group="Evening"),
    )


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_separators_line_ends_and_byte_order_marks_of_all_office_programs_are_taken(
    separator: str, end: str, mark: bytes
) -> None:
    text = end.join([separator.join(("Name", "Reference")), separator.join(("Ann Lee", "17")), ""])
    roster = read_roster(mark + text.encode())
    assert [(row.name, row.reference) for row in roster.rows] == [("Ann Lee", "17")]


def test_a_sheet_saved_as_unicode_text_is_taken() -> None:
    roster = read_roster("name\treference\nSiân\t1\n".encode("utf-16"))
    assert roster.rows[0].name == "Siân"


def test_the_wrong_encoding_is_told_with_the_line_and_the_right_one_works() -> None:
    content = (HEAD + "Ann,,1,\nSiân,,2,\n").encode("cp1252")
    with pytest.raises(RosterError, match="line 3 holds bytes that are not utf-8-sig; choose Windows-1252"):
        read_roster(content)
    assert read_roster(content, "windows-1252").rows[1].name == "Siân"


@pytest.mark.parametrize(
    ("content", "because"),
    [
        (b"", "is empty"),
        (b"PK\x03\x04 a sheet", "is no text"),
        (b"name\nA\x00nn\n", "is no text"),
        (b"first,last\nAnn,Lee\n", "unknown column"),
        (b"reference\n17\n", 'has no column "name"'),
        (b"name,name\nAnn,Lee\n", "names a column twice"),
        (b'name\n"Ann\n', "is no CSV"),
    ],
)
def test_a_file_that_cannot_be_used_at_all_is_refused_with_the_remedy(content: bytes, because: str) -> None:
    with pytest.raises(RosterError, match=because):
        read_roster(content)


def test_an_unknown_heading_is_told_with_the_nearest() -> None:
    with pytest.raises(RosterError, match="nearest: reference"):
        read_roster(b"name,referense\nAnn,1\n")


@pytest.mark.parametrize("cell", ["=1+1", "+44 1", "-3", "@sum", "\t=1", " =1"])
@pytest.mark.parametrize("column", COLUMNS)
def test_a_cell_that_a_sheet_would_compute_is_refused(cell: str, column: str) -> None:
    """OWASP, CSV injection: = + - @ tab and carriage return at the beginning of a cell."""
    given_cells = {"name": "Ann", column: cell}
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS)
    writer.writeheader()
    writer.writerow(given_cells)
    assert [line for line, problem in problems(out.getvalue()) if "like a formula" in problem] == [2]


def test_every_bad_line_is_told_not_only_the_first() -> None:
    text = HEAD + "\n".join(
        [
            "Ann,ann@example.org,1,A",
            ",bo@example.org,2,A",
            "Cy,not an address,3,A",
            "Di,,4,A,surplus",
            "Ed,,5,A",
            "Ed,,5,A",
            "Fay,,5,A",
            "Gus,ann@example.org,6,A",
            "",
            "Hal,,7,A",
        ]
    )
    told = problems(text)
    assert [line for line, _ in told] == [3, 4, 5, 7, 8, 9]
    assert [text for _, text in told] == [
        "name is empty; write a name",
        "email is not a mail address; write it as name@example.org",
        "has 5 cells under 4 headings",
        "says the same as line 6; take one out",
        "gives the person of line 6 other facts; make the lines agree",
        "has the address of line 2, which is somebody else",
    ]
    assert [row.name for row in read(text).rows] == ["Ann", "Ed", "Hal"]


def test_somebody_in_two_groups_stands_in_two_lines() -> None:
    roster = read(HEAD + "Ann,,1,Morning\nAnn,,1,Evening\n")
    assert roster.bad == ()
    assert [row.group for row in roster.rows] == ["Morning", "Evening"]


def test_a_line_number_is_that_of_the_file_even_after_a_cell_of_several_lines() -> None:
    assert problems('name,group\n"Ann\nLee",A\n,B\n') == [(4, "name is empty; write a name")]


def test_ten_thousand_lines_are_taken_and_one_more_is_refused() -> None:
    lines = [f"Person {number},,{number},G" for number in range(MOST_LINES)]
    assert len(read(HEAD + "\n".join(lines)).rows) == 10_000
    with pytest.raises(RosterError, match="more than 10000 lines"):
        read(HEAD + "\n".join([*lines, "One more,,x,G"]))


def test_a_large_file_is_refused_before_it_is_read() -> None:
    with pytest.raises(RosterError, match="larger than 2048 KiB"):
        read_roster(b"name\n" + b"a" * MOST_BYTES)


@given(st.binary(max_size=400) | st.text(max_size=400).map(lambda text: ("name,email\n" + text).encode()))
@settings(UNHURRIED, max_examples=300)
def test_whatever_is_sent_is_read_or_refused_with_words(content: bytes) -> None:
    try:
        rows = read_roster(content).rows
    except RosterError:
        rows = ()
    assert all(row.name for row in rows)


def test_the_page_names_the_columns_that_are_read(root: Path) -> None:
    """docs/accounts.md is what people are told."""
    text = (root / "docs/accounts.md").read_text(encoding="utf-8")
    assert all(f"`{column}`" in text for column in COLUMNS)
