"""Everything that a first request would load and compile, done once before the workers are forked."""

from __future__ import annotations

import gc

from flask import Flask

from trainer.services.scenarios import inspection_words, measurement_words, scenarios
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.records import SavedAnswer
from trainer.web.health import COUNTS
from trainer.web.practice.wired import practice, translated_engine
from trainer.web.present import joining
from trainer.web.sittings.wired import sitting_desk
from trainer.web.wiring import utc_now

_TEMPLATES = ("html", "svg")
# Folders whose templates are filled without a web framework; pages take drawings in as well.
_OF_WORDS_ONLY = "explanations/"
_OF_WORDS = (_OF_WORDS_ONLY, "diagrams/")


_NOTHING = SavedAnswer(
    position=0, sequence=1, sender="", answers_json="", certainty_json="", saved_at=utc_now(), late=False
)


def warm(app: Flask) -> None:
    """Loads the catalogue and compiles every template; the workers then share the memory."""
    scenarios()
    inspection_words()
    measurement_words()
    with app.test_request_context():
        words = translated_engine().environment
        _rehearse()
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


def _rehearse() -> None:
    """Asks what pages and saves ask, of things that are not there: it loads modules and compiles statements."""
    practice().open("")
    looks = practice().storage.looks
    looks.learner("")
    looks.learner("", without_account=True)
    looks.work("")
    people, sittings = joining().storage, sitting_desk(Finishing).storage
    joining().standings.standing("")
    with people.reading() as stored:
        stored.wall.holds("sitting", "", "")
    with sittings.reading() as stored_sittings:
        stored_sittings.sittings.get("", "")
        stored_sittings.sittings.state_and_task("", "", "", 0)
        stored_sittings.sittings.items("")
        stored_sittings.papers.get("", "")
        stored_sittings.answers.all("")
        stored_sittings.answers.get("", 0)
    with sittings.writing() as stored_sittings:
        stored_sittings.sittings.get("", "", hold=True)
        stored_sittings.answers.put("", _NOTHING, base=0)
    sitting_desk(Finishing).timely.keep("", "", "", _NOTHING, base=0)
