"""What is compiled before the workers are forked."""

from __future__ import annotations

import pytest
from flask import Flask
from jinja2 import Environment

from trainer.web.warming import warm


def test_once_warm_a_page_compiles_no_template(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    warm(app)
    compiled: list[str | None] = []
    compile_ = Environment.compile

    def noted(self, source, name=None, *more, **named):
        compiled.append(name)
        return compile_(self, source, name, *more, **named)

    monkeypatch.setattr(Environment, "compile", noted)
    client = app.test_client()
    for path in ("/", "/rules", "/rules/RCD-07", "/style", "/no-such-page"):
        assert client.get(path).status_code == (404 if path == "/no-such-page" else 200)
    assert compiled == []
