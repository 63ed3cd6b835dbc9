from __future__ import annotations

import json

import jsonschema
import pytest
from click.testing import CliRunner

from trainer.cli.main import main
from trainer.interop.canonical import canonical_bytes
from trainer.interop.schema import installation_schema


@pytest.mark.parametrize("arguments", [[], ["--format", "json"]])
def test_the_schema_is_printed_as_canonical_json_and_nothing_else(arguments):
    answer = CliRunner().invoke(main, ["schema", *arguments])
    assert answer.exit_code == 0
    assert answer.stdout_bytes == canonical_bytes(installation_schema())
    jsonschema.Draft202012Validator.check_schema(json.loads(answer.stdout))


def test_the_listing_for_people_is_no_json():
    answer = CliRunner().invoke(main, ["schema", "--format", "text"])
    assert answer.exit_code == 0
    assert "rated_residual_operating_current_ma: number, 5 to 30000" in answer.stdout
