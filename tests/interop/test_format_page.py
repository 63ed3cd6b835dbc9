from __future__ import annotations

import re

import pytest

from trainer.domain.errors import InstallationError
from trainer.interop.installations import read_installation
from trainer.interop.schema import installation_schema


@pytest.fixture(scope="module")
def page(root) -> str:
    return (root / "docs" / "installation-format.md").read_text("utf-8")


def test_the_page_names_every_key_of_the_format(page):
    schema = installation_schema()
    tables = (schema, *schema["$defs"].values())
    keys = {name for table in tables for name in table.get("properties", ())}
    assert keys - set(re.findall(r"`(\w+)`", page)) == set()


def test_the_page_names_no_key_that_the_format_has_not(page):
    schema = installation_schema()
    known = {word for each in schema["$defs"].values() for word in (*each.get("properties", ()), *each.get("enum", ()))}
    known |= set(schema["properties"]) | {"notify_within_28_days", "apply_before_work"}
    known |= {"verdict", "rule_set_version", "rules_judged", "not_covered", "findings", "errors"}
    assert set(re.findall(r"`([a-z]\w*_\w+)`", page)) - known == set()


def test_the_shortest_file_of_the_page_is_read(page):
    shortest = re.search(r"```toml\n(.*?)```", page, re.DOTALL)
    assert shortest is not None
    house = read_installation(shortest[1].encode()).installation
    assert house.equipment["wallbox"].charger is not None


def test_nothing_of_the_shortest_file_can_be_spared(page):
    text = re.search(r"```toml\n(.*?)```", page, re.DOTALL)[1]
    for line in ("poles = 2\n", 'fed_by = "cu"\n', "[earthing]\n", "[equipment.charger]\n"):
        with pytest.raises(InstallationError):
            read_installation(text.replace(line, "", 1).encode())
