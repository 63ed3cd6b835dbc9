from __future__ import annotations

import json

from hypothesis import HealthCheck, given, settings

from tests.interop.strategies import installations
from trainer.domain.installation import Installation
from trainer.domain.validation import validated
from trainer.domain.vocabulary import Edition
from trainer.interop.canonical import canonical_bytes
from trainer.interop.installations import (
    installation_from_json,
    installation_to_json,
    read_installation,
)
from trainer.interop.toml_writing import installation_to_toml

MANY = settings(
    max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


@MANY
@given(installations())
def test_an_installation_comes_back_from_its_json_as_it_was(house: Installation):
    assert installation_from_json(json.loads(canonical_bytes(installation_to_json(validated(house))))) == house


@MANY
@given(installations())
def test_an_installation_comes_back_from_its_toml_as_it_was(house: Installation):
    read = read_installation(installation_to_toml(house, Edition.A3_2024, "An invented house.").encode())
    assert (read.installation, read.edition) == (house, Edition.A3_2024)


def test_what_is_unknown_or_usual_is_left_out(sample):
    written = installation_to_json(installation_from_json(sample))
    assert written == {**sample, "edition": "A4:2026"}


def test_an_empty_table_says_more_than_none(sample):
    assert installation_to_json(installation_from_json(sample))["equipment"][0]["charger"] == {}


def test_toml_is_written_as_a_person_would_write_it(sample):
    text = installation_to_toml(installation_from_json(sample), comment="An invented house.")
    assert text.startswith('# An invented house.\nformat = "protection-trainer/installation"\nformat_version = 1\n')
    assert '\n[[devices]]\nid = "main"\n' in text
    assert '\n[circuits.cable]\ntype = "4D5"\n' in text
