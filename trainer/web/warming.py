"""Everything that a first request would load and compile, done once before the workers are forked."""

from __future__ import annotations

import gc

from flask import Flask

from trainer.services.scenarios import inspection_words, measurement_words, scenarios
from trainer.web.health import COUNTS
from trainer.web.practice.wired import translated_engine

_TEMPLATES = ("html", "svg")
# Folders whose templates are filled without a web framework; pages take drawings in as well.
_OF_WORDS_ONLY = "explanations/"
_OF_WORDS = (_OF_WORDS_ONLY, "diagrams/")


def warm(app: Flask) -> None:
    """Loads the catalogue and compiles every template; the workers then share the memory."""
    scenarios()
    inspection_words()
    measurement_words()
    with app.test_request_context():
        words = translated_engine().environment
    for name in app.jinja_env.list_templates(extensions=_TEMPLATES):
        if name.startswith(_OF_WORDS):
            words.get_template(name)
        if not name.startswith(_OF_WORDS_ONLY):
            app.jinja_env.get_template(name)
    # Made now, so that all workers count in the same memory.
    app.extensions[COUNTS].text()
    # What is there now is never garbage: the collector leaves its pages shared.
    gc.collect()
    gc.freeze()
