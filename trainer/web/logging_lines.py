"""Log lines as JSON, one each, without anything of a person: no address, no id, no query, no text of an error."""

from __future__ import annotations

import json
import logging
import re
import traceback
from datetime import UTC, datetime
from types import TracebackType
from typing import Any

ACCESS_LOGGER = "trainer.access"

_ADDRESS = re.compile(r"\bip=\S+")
_FRAMES = 12


class JsonLines(logging.Formatter):
    """A record as one line of JSON.

    The text of an exception may quote what somebody entered, and the arguments of a message an
    address with ids in it; where something failed the line tells the kind and the place.
    """

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        line: dict[str, Any] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "process": record.process,
        }
        fields = getattr(record, "fields", None)
        if isinstance(fields, dict):
            line.update(fields)
        elif record.exc_info and record.exc_info[0] is not None:
            line["message"] = "failed"
            line["error"] = record.exc_info[0].__name__
            line["place"] = _place(record.exc_info[2])
        else:
            line["message"] = _ADDRESS.sub("ip=-", record.getMessage())
        return json.dumps(line, ensure_ascii=True)


def _place(trace: TracebackType | None) -> list[str]:
    frames = traceback.extract_tb(trace)[-_FRAMES:]
    return [f"{frame.filename.rpartition('site-packages/')[2]}:{frame.lineno} {frame.name}" for frame in frames]


def settings(level: str = "INFO") -> dict[str, Any]:
    """For ``logging.config``: everything to standard error in this form."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"lines": {"()": f"{__name__}.JsonLines"}},
        "handlers": {
            "stderr": {"class": "logging.StreamHandler", "formatter": "lines", "stream": "ext://sys.stderr"},
        },
        "root": {"level": "WARNING", "handlers": ["stderr"]},
        "loggers": {
            ACCESS_LOGGER: {"level": level, "handlers": ["stderr"], "propagate": False},
            "gunicorn.error": {"level": "WARNING", "handlers": ["stderr"], "propagate": False},
        },
    }
