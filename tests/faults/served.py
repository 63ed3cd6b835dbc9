"""``trainer serve`` with a clock that a file sets: the argument for the time, given where the program is put together.

Debian's ``faketime`` was tried first: it breaks waiting by the monotonic clock in Python 3.11.
"""

from __future__ import annotations

import os
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path

from trainer.cli import serving
from trainer.cli.main import main
from trainer.web.wiring import Wiring, utc_now

CLOCK = "TRAINER_TESTS_CLOCK"


def now() -> datetime:
    """The time of day, off by as many seconds as the file says at this moment."""
    try:
        return utc_now() + timedelta(seconds=int(Path(os.environ[CLOCK]).read_text("utf-8") or 0))
    except OSError:
        return utc_now()


if __name__ == "__main__":
    setattr(serving, "Wiring", partial(Wiring, now=now))  # noqa: B010 - the type says that it is a class
    main()
