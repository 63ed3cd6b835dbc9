"""Variants drawn while nobody waits: one thread for each paper, at most one at a time in a process."""

from __future__ import annotations

import threading

from flask import current_app

from trainer.services.papers.errors import PaperError
from trainer.services.papers.moving import MovingDesk
from trainer.services.people.here import Here
from trainer.web.papers.blueprint import desk

SWITCH = "PAPERS_DRAW_IN_BACKGROUND"
"""Setting of the application: False draws at once, so that a test need not wait."""

_going: set[str] = set()
_lock = threading.Lock()
_turns = threading.Semaphore(1)


def draw_in_background(here: Here, paper_id: str) -> None:
    """Begins to draw the missing variants of a paper, unless this process is at it already.

    Drawing is repeatable and keeps what is there, so several processes, or one that is ended in the
    middle, do no harm; the page of the paper takes it up again.
    """
    maker = desk(MovingDesk)
    with _lock:
        if paper_id in _going:
            return
        _going.add(paper_id)
    if current_app.config.get(SWITCH, True):
        log = current_app.logger

        def work() -> None:
            try:
                with _turns:
                    _draw(maker, here, paper_id)
            except Exception:
                # Nobody waits for the thread: the log is where a failure can be read.
                log.exception("variants of a paper could not be drawn")

        threading.Thread(target=work, name=f"variants-{paper_id}", daemon=True).start()
    else:
        _draw(maker, here, paper_id)


def _draw(maker: MovingDesk, here: Here, paper_id: str) -> None:
    try:
        maker.prepare_all(here, paper_id)
    except PaperError:
        # The paper was taken away meanwhile.
        return
    finally:
        with _lock:
            _going.discard(paper_id)
