"""The living page of the design shows every class that the stylesheets know."""

from __future__ import annotations

import re
from pathlib import Path

from flask.testing import FlaskClient

SHEETS = ("trainer.css", "practice.css", "task.css")


def styled(root: Path) -> set[str]:
    text = "".join((root / "trainer/web/static" / name).read_text("utf-8") for name in SHEETS)
    rules = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
    selectors = " ".join(re.findall(r"([^{};]+)\{", rules))
    return set(re.findall(r"\.([a-z][a-z0-9_-]*)", selectors))


def test_every_class_of_the_stylesheets_is_shown(client: FlaskClient, root: Path) -> None:
    page = client.get("/style").text
    shown = set(" ".join(re.findall(r'class="([^"]*)"', page)).split())
    assert styled(root) - shown == set()


def test_the_check_sees_a_class_that_is_not_shown(root: Path) -> None:
    assert {"button", "finding", "line-diagram"} <= styled(root)
