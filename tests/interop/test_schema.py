from __future__ import annotations

import copy
import dataclasses
import tomllib

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings

from tests.interop.strategies import installations
from trainer.domain.devices import Device
from trainer.domain.installation import Installation
from trainer.domain.vocabulary import RcdType
from trainer.interop.installations import installation_to_json
from trainer.interop.reading import fields_of
from trainer.interop.schema import described, installation_schema, label_of
from trainer.interop.schema_text import schema_text
from trainer.resources import folder

EXAMPLES = sorted((folder("scenarios") / "examples").glob("*.toml"))


@pytest.fixture(scope="module")
def validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(installation_schema())


def test_the_schema_is_one_of_the_dialect_that_it_names():
    schema = installation_schema()
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_satisfies_the_schema(validator, path):
    validator.validate(tomllib.loads(path.read_text("utf-8")))


@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(house=installations())
def test_whatever_is_written_satisfies_the_schema(house):
    jsonschema.validate(installation_to_json(house), installation_schema(), jsonschema.Draft202012Validator)


@pytest.mark.parametrize(
    "change",
    [
        ("device", "kind", "mcb"),
        ("device", "rated_current_a", "40"),
        ("device", "rated_current_a", 100_000),
        ("device", "rated_current", 40),
        ("device", "id", "way 1"),
        ("device", "poles", 1.5),
        ("top", "format_version", 2),
        ("top", "premises", "castle"),
        ("top", "notices", ["rcd_tset"]),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(sample, problems, validator, change):
    place, key, value = change
    spoilt = copy.deepcopy(sample)
    (spoilt if place == "top" else spoilt["devices"][1])[key] = value
    assert problems(spoilt)
    assert not validator.is_valid(spoilt)


@pytest.mark.parametrize("part", ["format", "format_version", "title", "supply", "boards", "equipment"])
def test_the_schema_requires_what_the_reader_requires(sample, problems, validator, part):
    del sample[part]
    assert part in problems(sample)
    assert not validator.is_valid(sample)


def test_every_table_and_every_list_of_words_is_described():
    for name, definition in installation_schema()["$defs"].items():
        assert len(definition["description"]) > 20, name


def test_descriptions_are_the_docstrings_as_plain_text():
    assert described(RcdType).startswith("Types of residual current device")
    assert "``" not in described(Device)


def test_every_field_of_the_model_stands_in_the_schema():
    schema = installation_schema()
    for record in (Device, Installation):
        table = schema if record is Installation else schema["$defs"][record.__name__]
        assert {field.name for field in fields_of(record)} <= set(table["properties"])


def test_nothing_inside_the_model_leaks_into_the_format():
    assert "_memory" not in installation_schema()["properties"]
    assert any(field.name == "_memory" for field in dataclasses.fields(Installation))


@pytest.mark.parametrize(
    ("name", "label"),
    [
        ("tails_length_m", "tails length (m)"),
        ("rated_diversity_factor", "rated diversity factor"),
        ("voltage_coefficient_percent_per_k", "voltage coefficient (%/K)"),
        ("fed_by", "fed by"),
    ],
)
def test_a_label_is_the_name_in_words_with_its_unit(name, label):
    assert label_of(name) == label


def test_the_listing_for_people_names_every_field_and_every_word():
    text = schema_text()
    schema = installation_schema()
    for definition in (schema, *schema["$defs"].values()):
        for name in (*definition.get("properties", ()), *definition.get("enum", ())):
            assert name in text
