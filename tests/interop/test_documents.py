from __future__ import annotations

import json

import pytest

from trainer.domain.errors import InstallationError, Problem
from trainer.interop.documents import BYTES_MAXIMUM, parsed
from trainer.interop.installations import read_installation


def refused(data: bytes) -> Problem:
    with pytest.raises(InstallationError) as caught:
        read_installation(data)
    return caught.value.problems[0]


def test_json_and_toml_are_told_apart_by_their_first_sign():
    assert parsed(b' {"a": 1}') == parsed(b"a = 1") == {"a": 1}


def test_a_byte_order_mark_is_no_obstacle():
    assert parsed(b"\xef\xbb\xbfa = 1") == {"a": 1}


def test_a_mistake_in_toml_is_named_with_line_and_column():
    problem = refused(b'title = "x"\npremises = dwelling\n')
    assert problem.path == "line 2, column 12"
    assert problem.problem.startswith("not TOML")


def test_a_mistake_in_json_is_named_with_line_and_column():
    problem = refused(b'{"title": "x",\n "premises" "dwelling"}')
    assert problem.path == "line 2, column 13"
    assert problem.problem.startswith("not JSON")


def test_a_file_cut_off_is_called_so(sample):
    text = json.dumps(sample)
    assert "cut off" in refused(text[: len(text) // 2].encode() + b"\n").problem
    assert "cut off" in refused(b'title = "x"\nnotices = [\n').problem


def test_a_toml_file_cut_off_between_two_tables_lacks_the_last_part():
    start = b'format = "protection-trainer/installation"\nformat_version = 1\ntitle = "x"\n[supply]\n[earthing]\n'
    with pytest.raises(InstallationError) as caught:
        read_installation(start)
    assert {problem.path for problem in caught.value.problems} == {"boards", "devices", "circuits", "equipment"}


@pytest.mark.parametrize("data", [b"", b"  \n", b"\xef\xbb\xbf"])
def test_an_empty_file_is_called_empty(data):
    assert "empty" in refused(data).problem


def test_a_wrong_encoding_is_named_with_its_line():
    problem = refused('title = "x"\npremises = "Düsseldorf"\n'.encode("latin-1"))
    assert (problem.path, problem.value) == ("line 2", "byte fc")
    assert "UTF-8" in problem.problem


def test_utf_16_is_called_so():
    assert "UTF-16" in refused('title = "x"'.encode("utf-16")).problem


@pytest.mark.parametrize("data", [b'{"a":' * 100_000, b"a = " + b"[" * 100_000, b"[" * 100_000])
def test_nesting_without_end_is_refused(data):
    assert refused(data)


@pytest.mark.parametrize("key", [b"a", b'"a"', b"'a'"])
def test_dotted_keys_without_end_are_refused_before_the_parser_labours_on_them(key):
    problem = refused(b"b = 1\n" + b".".join([key] * 50_000) + b" = 1")
    assert (problem.path, "nested too deeply" in problem.problem) == ("line 2", True)


def test_dots_in_texts_and_comments_are_no_nesting():
    assert parsed(b'a = "' + b"." * 40 + b'"  # ' + b"." * 40)


def test_a_huge_file_is_refused_unread():
    assert "too large" in refused(b"#" * (BYTES_MAXIMUM + 1)).problem


@pytest.mark.parametrize("data", [b'{"a": ' + b"9" * 5000 + b"}", b"a = " + b"9" * 5000])
def test_a_number_of_thousands_of_digits_is_refused(data):
    assert "thousands of digits" in refused(data).problem


@pytest.mark.parametrize("number", ["NaN", "Infinity", "1e999"])
def test_numbers_that_json_has_not_are_refused_at_their_place(sample, number):
    text = json.dumps(sample).replace('"rated_current_a": 100', f'"rated_current_a": {number}')
    assert refused(text.encode()).path == "devices.main.rated_current_a"


def test_a_key_that_stands_twice_is_refused_in_both_formats():
    assert "stands twice" in refused(b'{"title": "x", "title": "y"}').problem
    assert refused(b'title = "x"\ntitle = "y"\n').path == "line 2, column 12"


def test_only_the_keys_that_stand_twice_are_named():
    with pytest.raises(InstallationError) as caught:
        read_installation(b'{"title": "x", "premises": null, "title": "y"}')
    assert [problem.path for problem in caught.value.problems] == ["title"]


def test_very_many_keys_that_stand_twice_are_found():
    # Were each key compared with each other, this would take hours.
    refused(b"{" + b",".join(b'"k%d":0' % (n % 40_000) for n in range(80_000)) + b"}")


def test_the_largest_file_full_of_mistakes_is_answered():
    records = ",".join(f'{{"id":"d{n}","board":"cx","fed_by":"dx{n}","knid":1}}' for n in range(500))
    text = '{"devices":[' + records + "]," + ",".join(f'"k{n}":0' for n in range(60_000)) + "}"
    refused(text.encode()[:BYTES_MAXIMUM])
