"""The sittings of a paper ended and marked when somebody of the staff looks at the paper."""

from __future__ import annotations

import threading
from collections.abc import Sequence

from flask import current_app

from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.records import Sitting
from trainer.web.files.asking import jobs
from trainer.web.sittings.wired import sitting_desk

SWITCH = "SITTINGS_MARK_IN_BACKGROUND"
"""Setting of the application: False marks at once, so that a test need not wait."""

_going: set[str] = set()
_lock = threading.Lock()


def close_sittings(organisation_id: str, paper_id: str) -> None:
    """Ends what is over now, and where no runner is at work begins to mark what is unmarked.

    Marking is repeatable and made once, so several processes, or one that is ended in the middle, do no
    harm; the next look takes it up again.
    """
    finishing = sitting_desk(Finishing)
    waiting = finishing.end_of_paper(organisation_id, paper_id)
    if not waiting:
        return
    if not current_app.config.get(SWITCH, True):
        _mark(finishing, waiting)
        return
    if jobs().is_runner_at_work():
        # It marks within seconds, and no page waits for it.
        return
    with _lock:
        if paper_id in _going:
            return
        _going.add(paper_id)
    log = current_app.logger

    def work() -> None:
        try:
            _mark(finishing, waiting)
        except Exception:
            # Nobody waits for the thread: the log is where a failure can be read.
            log.exception("sittings could not be marked")
        finally:
            with _lock:
                _going.discard(paper_id)

    threading.Thread(target=work, name=f"marking-{paper_id}", daemon=True).start()


def _mark(finishing: Finishing, waiting: Sequence[Sitting]) -> None:
    for each in waiting:
        # Also those handed in a moment ago: of a class that hands in at once most are left to this.
        finishing.marked(each)
