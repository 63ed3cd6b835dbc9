from __future__ import annotations

import hashlib
import json
import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.draws import UNHURRIED
from trainer.interop.canonical import canonical_bytes, canonical_members, canonical_object, content_hash, rounded


def test_keys_are_sorted_separators_bare_and_one_newline_ends_the_text():
    assert canonical_bytes({"b": [1, None, True], "a": "x"}) == b'{"a":"x","b":[1,null,true]}\n'


def test_text_is_utf_8_and_not_escaped():
    assert canonical_bytes({"a": "Ω"}) == b'{"a":"\xce\xa9"}\n'


@pytest.mark.parametrize(
    ("key", "value", "expected"),
    [
        ("residual_current_ma", 6.00049, 6.0),
        ("residual_current_ma", 6.00051, 6.001),
        ("earth_fault_loop_impedance_ohm", 0.34996, 0.35),
        ("earth_fault_loop_impedance_ohm", 0.34994, 0.3499),
        ("nominal_voltage_to_earth_v", 229.996, 230),
        ("break_time_ms", 24.456, 24.46),
        ("length_m", 12.0004, 12),
        ("time_s", 0.000123, 0.000123),
    ],
)
def test_a_number_is_rounded_by_the_unit_of_its_key(key, value, expected):
    # Places by unit as decided for this program: mA 3, ohm 4, V 2, ms 2.
    assert rounded({key: value}) == {key: expected}


def test_a_list_of_numbers_is_rounded_by_the_unit_of_its_key():
    assert rounded({"residual_current_ma": [0.12345, 1.0]}) == {"residual_current_ma": [0.123, 1]}


def test_a_value_is_rounded_by_the_unit_beside_it():
    term = {"name": "way 6", "value": 3.12345, "limit": 6.0, "unit": "mA"}
    assert rounded(term) == {"name": "way 6", "value": 3.123, "limit": 6, "unit": "mA"}


def test_a_number_without_unit_keeps_six_places():
    assert rounded({"ratio": 1 / 3}) == {"ratio": 0.333333}


def test_whole_numbers_are_the_same_however_they_were_typed():
    assert canonical_bytes({"length_m": 12.0}) == canonical_bytes({"length_m": 12})


def test_zero_has_no_sign():
    assert canonical_bytes([-0.0, -0.0000001]) == b"[0,0]\n"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_numbers_that_json_has_not_are_refused(value):
    with pytest.raises(ValueError, match="JSON has no number"):
        canonical_bytes({"a": value})


def test_a_key_that_is_no_text_is_refused():
    with pytest.raises(TypeError):
        canonical_bytes({1: "a"})


def test_an_object_is_the_same_whether_written_at_once_or_by_its_members():
    whole = {"unit": "mA", "value": 3.12345, "Ω": ["\u00e9", 1.0], "b": {"d": None, "c": 0.12345678}, 'a"': 1}
    assert canonical_object(canonical_members(whole)) == canonical_bytes(whole)
    assert canonical_object({}) == canonical_bytes({})


def test_the_hash_is_the_sha_256_of_the_bytes():
    assert content_hash({"a": 1}) == hashlib.sha256(b'{"a":1}\n').hexdigest()


def test_another_process_with_another_seed_of_hashing_gives_the_same_bytes():
    script = (
        "import sys; from trainer.interop.canonical import canonical_bytes;"
        "sys.stdout.buffer.write(canonical_bytes({'n': frozenset('qwertyuiop'), 'x_ma': 0.1 + 0.2}))"
    )
    outputs = {
        subprocess.run(
            [sys.executable, "-c", script], env={"PYTHONHASHSEED": seed}, capture_output=True, check=True
        ).stdout
        for seed in ("1", "2")
    }
    assert outputs == {b'{"n":["e","i","o","p","q","r","t","u","w","y"],"x_ma":0.3}\n'}


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=20,
)


@UNHURRIED
@given(_JSON)
def test_canonical_bytes_read_back_and_written_again_are_the_same(value):
    try:
        once = canonical_bytes(value)
    except UnicodeEncodeError:
        return  # half of a surrogate pair has no UTF-8
    assert canonical_bytes(json.loads(once)) == once
