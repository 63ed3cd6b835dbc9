"""How files of limits are read, on files made up here: what each field takes, and what is refused with its place."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import FrozenInstanceError, dataclass, fields
from pathlib import Path

import pytest

from trainer.domain.citations import Status
from trainer.domain.limits import loading
from trainer.domain.limits.loading import Limit, LimitDataError, Table, load_group, plain, read_table
from trainer.domain.vocabulary import Curve, Edition

Write = Callable[[str, str], None]

CITED = 'publication = "a book"\nclause = "1.2"\nstatus = "from memory"\n'
ONE = f'value = 30\nunit = "mA"\n{CITED}'


@pytest.fixture
def write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Write]:
    """Files in the place of the data folder, forgotten afterwards."""
    (tmp_path / "data").mkdir()
    monkeypatch.setattr(loading.resources, "files", lambda _package: tmp_path)
    loading.read_toml.cache_clear()
    loading.read_table.cache_clear()

    def write_file(name: str, text: str) -> None:
        (tmp_path / "data" / name).write_text(text, "utf-8")

    yield write_file
    loading.read_toml.cache_clear()
    loading.read_table.cache_clear()


@dataclass(frozen=True)
class One:
    rated_ma: Limit


@dataclass(frozen=True)
class Many:
    tolerance_ma: Mapping[str, Limit]


@dataclass(frozen=True)
class Tabulated:
    impedance: Table


def one(edition: Edition = Edition.A4_2026) -> Limit:
    return load_group(One, "made_up", edition).rated_ma


def test_a_limit_has_value_unit_and_citation(write: Write) -> None:
    write("made_up.toml", f"[rated_ma]\n{ONE}")
    limit = one()
    assert (limit.value, limit.unit) == (30.0, "mA")
    assert isinstance(limit.value, float)
    assert (limit.citation.publication, limit.citation.clause) == ("a book", "1.2")
    assert (limit.citation.status, limit.citation.edition) == (Status.MEMORY, None)
    assert (limit.citation.checked_on, limit.citation.note) == (None, "")


def test_a_citation_may_say_where_and_when_it_was_seen(write: Write) -> None:
    write("made_up.toml", f'[rated_ma]\n{ONE}seen_in = "A2:2022"\nchecked_on = "2026-01-02"\nnote = "by hand"\n')
    citation = one().citation
    assert (citation.edition, citation.checked_on, citation.note) == ("A2:2022", "2026-01-02", "by hand")


def test_one_edition_may_differ(write: Write) -> None:
    write("made_up.toml", f'[rated_ma]\n{ONE}\n[rated_ma.in."A2:2022"]\nvalue = 100\nclause = "3.4"\n')
    older, newer = one(Edition.A2_2022), one(Edition.A4_2026)
    assert (older.value, older.unit, older.citation.clause) == (100.0, "mA", "3.4")
    assert (newer.value, newer.citation.clause) == (30.0, "1.2")


def test_a_mapping_takes_what_its_entries_have_in_common_and_what_each_has_of_its_own(write: Write) -> None:
    entries = '[tolerance_ma.A]\nvalue = 6\n[tolerance_ma.F]\nvalue = 10\nclause = "5"\n'
    write("made_up.toml", f'[tolerance_ma]\nunit = "mA"\n{CITED}\n{entries}')
    limits = load_group(Many, "made_up", Edition.A4_2026).tolerance_ma
    assert {key: (each.value, each.unit, each.citation.clause) for key, each in limits.items()} == {
        "A": (6.0, "mA", "1.2"),
        "F": (10.0, "mA", "5"),
    }
    with pytest.raises(TypeError):
        limits["A"] = limits["F"]  # type: ignore[index]


def test_one_edition_of_a_mapping_may_differ(write: Write) -> None:
    text = f'[tolerance_ma]\nunit = "mA"\n{CITED}\n[tolerance_ma.A]\nvalue = 6\n'
    write("made_up.toml", text + '[tolerance_ma.in."A2:2022".A]\nvalue = 7\n')
    assert load_group(Many, "made_up", Edition.A2_2022).tolerance_ma["A"].value == 7.0
    newer = load_group(Many, "made_up", Edition.A4_2026).tolerance_ma
    assert (list(newer), newer["A"].value) == (["A"], 6.0)


@pytest.mark.parametrize("lacking", ["value", "unit"])
def test_a_limit_without_value_or_unit_is_refused(write: Write, lacking: str) -> None:
    lines = [line for line in ONE.splitlines() if not line.startswith(lacking)]
    write("made_up.toml", "[rated_ma]\n" + "\n".join(lines))
    with pytest.raises(LimitDataError, match=r"^made_up.toml: rated_ma: needs value and unit$"):
        one()


@pytest.mark.parametrize("lacking", ["publication", "clause", "status"])
def test_a_limit_whose_citation_lacks_something_is_refused(write: Write, lacking: str) -> None:
    lines = [line for line in ONE.splitlines() if not line.startswith(lacking)]
    write("made_up.toml", "[rated_ma]\n" + "\n".join(lines))
    with pytest.raises(LimitDataError, match=rf"^made_up.toml: rated_ma: citation lacks or misspells '{lacking}'$"):
        one()


def test_a_status_that_does_not_exist_is_refused(write: Write) -> None:
    write("made_up.toml", f"[rated_ma]\n{ONE.replace('from memory', 'hearsay')}")
    with pytest.raises(LimitDataError, match="misspells 'hearsay'"):
        one()


def test_a_field_without_an_entry_and_an_entry_without_a_field_are_refused(write: Write) -> None:
    write("made_up.toml", "")
    with pytest.raises(LimitDataError, match=r"^made_up.toml: rated_ma: missing$"):
        one()
    loading.read_toml.cache_clear()
    write("made_up.toml", f"[rated_ma]\n{ONE}\n[b]\n[a]\n")
    with pytest.raises(LimitDataError, match=r"^made_up.toml: no field for \['a', 'b'\]$"):
        one()


def test_a_fault_within_a_mapping_is_named_by_its_key(write: Write) -> None:
    write("made_up.toml", f'[tolerance_ma]\nunit = "mA"\n{CITED}\n[tolerance_ma.A]\n')
    with pytest.raises(LimitDataError, match=r"^made_up.toml: tolerance_ma.A: needs value and unit$"):
        load_group(Many, "made_up", Edition.A4_2026)


# --- tables -----------------------------------------------------------------------------------------------

TABLE = """# table: Table 41.3
# publication: a book: the first
# unit: ohm
# status: from memory

curve,rating,value
B,6,7.28
B,32,1.37
C,32,0.68
"""


def test_a_table_has_its_citation_at_the_head_and_the_value_in_its_last_column(write: Write) -> None:
    write("made_up.toml", '[impedance]\nfile = "rows.csv"\n')
    write("rows.csv", TABLE)
    table = load_group(Tabulated, "made_up", Edition.A4_2026).impedance
    assert (table.keys, table.unit) == (("curve", "rating"), "ohm")
    assert (table.citation.publication, table.citation.clause) == ("a book: the first", "Table 41.3")
    assert dict(table.rows) == {("B", "6"): 7.28, ("B", "32"): 1.37, ("C", "32"): 0.68}
    with pytest.raises(TypeError):
        table.rows["B", "6"] = 0.0  # type: ignore[index]


def test_a_row_is_found_by_numbers_and_members_as_they_are_written(write: Write) -> None:
    write("rows.csv", TABLE)
    table = read_table("rows.csv")
    assert table.get(Curve.B, 32.0) == 1.37
    assert table.get("B", 33.0) is None
    assert table.column(Curve.B) == {"6": 7.28, "32": 1.37}
    assert table.column("C", 32) == {"32": 0.68}
    assert table.column("D") == {}


def test_a_column_is_known_by_the_last_part_of_its_key_however_many_there_are(write: Write) -> None:
    head = "#table: Table 1\n#publication: a book\n#unit: ohm\n#status: from memory\n"
    write("three.csv", head + "curve,time,rating,value\nB,0.4,6,7.28\nB,0.4,32,1.37\nB,5,32,1.5\n")
    write("one.csv", head + "rating,value\n6,7.28\n")
    assert read_table("three.csv").column("B", 0.4) == {"6": 7.28, "32": 1.37}
    assert read_table("one.csv").column() == {"6": 7.28}
    assert read_table("one.csv").unit == "ohm"


def test_a_table_may_have_a_name_and_a_clause_in_place_of_a_number(write: Write) -> None:
    write("rows.csv", TABLE)
    write("named.csv", TABLE.replace("# table: Table 41.3", "# name: loops\n# clause: 411.4"))
    assert read_table("rows.csv").name == "rows.csv"
    assert (read_table("named.csv").name, read_table("named.csv").citation.clause) == ("loops", "411.4")


@pytest.mark.parametrize(
    ("part", "written"),
    [(32.0, "32"), (2.5, "2.5"), (32, "32"), (Curve.B, "B"), ("BS 88-3", "BS 88-3"), (0.725, "0.725")],
)
def test_keys_are_written_plainly(part: object, written: str) -> None:
    assert plain(part) == written


def test_a_file_is_read_once(write: Write) -> None:
    write("rows.csv", TABLE)
    first = read_table("rows.csv")
    write("rows.csv", "")
    assert read_table("rows.csv") is first
    write("made_up.toml", f"[rated_ma]\n{ONE}")
    assert loading.read_toml("made_up.toml") is loading.read_toml("made_up.toml")


def test_limits_and_tables_are_never_changed_and_are_written_with_names(write: Write) -> None:
    write("made_up.toml", f"[rated_ma]\n{ONE}")
    write("rows.csv", TABLE)
    for record, field in ((one(), "value"), (read_table("rows.csv"), "unit")):
        with pytest.raises(FrozenInstanceError):
            setattr(record, field, None)
        assert not hasattr(record, "__dict__")
        with pytest.raises(TypeError):
            type(record)(*(getattr(record, each.name) for each in fields(record)))
