"""``trainer serve``: several worker processes for real use."""

from __future__ import annotations

import os
import socket
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click
from flask import Flask
from gunicorn.app.base import BaseApplication
from gunicorn.glogging import Logger

from trainer.cli.job_process import job_process
from trainer.cli.line import Line, LiningWorker
from trainer.cli.serving import (
    application,
    counted_apart,
    data_option,
    listen,
    log_settings,
    prepared,
    warmed,
)
from trainer.persistence.database import Database

_MEMORY = "/dev/shm"  # noqa: S108 - gunicorn makes and unlinks a file of its own name there


@click.command()
@click.option("--port", type=click.IntRange(1, 65535), default=8000, show_default=True, help="Port to listen on.")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option(
    "--workers",
    type=click.IntRange(1, 256),
    default=lambda: (os.cpu_count() or 1) + 1,
    show_default="one more than there are processors",
    help="Worker processes.",
)
@click.option("--log-requests/--no-log-requests", default=True, show_default=True, help="One line for each answer.")
@data_option
def serve(port: int, host: str, workers: int, log_requests: bool, data: Path | None) -> None:
    """Serve the program with several worker processes.

    Logs are lines of JSON on standard error. HUP renews the workers one after another without
    losing a request; TERM lets them finish what they are at, then ends.
    """
    # Refuses a taken address before anything is started, with our own words.
    listen(host, port).close()
    settings, database = prepared(data)
    app = application(settings, database)
    warmed(app)
    # A connection must not be carried over into a worker.
    database.close()
    ready = f"Serving on http://{_bind(host, port)} with {workers} workers; data in {settings.data_folder}"

    def start(server: Any) -> None:
        _send_whole(server.LISTENERS)
        click.echo(ready)

    options = {
        "bind": _bind(host, port),
        "workers": workers,
        "when_ready": start,
        "post_fork": lambda _, worker: counted_apart(app, worker.age),
        "logconfig_dict": log_settings(requests=log_requests),
    }
    # Made before the workers, so that they share it; some are always left for everything else.
    LiningWorker.line = Line(_turns(workers, database))
    with job_process(data):
        _Workers(app, options).run()


def _turns(workers: int, database: Database) -> int:
    """How many serve the line: all but one on SQLite, half where each answer also waits for a server of its own."""
    most = workers - 1 if database.kind == "sqlite" else workers // 2
    return max(1, min(os.cpu_count() or 1, most))


def _bind(host: str, port: int) -> str:
    return f"[{host}]:{port}" if ":" in host else f"{host}:{port}"


def _send_whole(listeners: Sequence[Any]) -> None:
    """Lets headers and page go out together: apart, the headers wake whoever waits, who finds that the page is missing.

    Connections take this from where they were accepted. What fills no packet waits for more, or for the end that each
    answer here has; at most a fifth of a second.

    *Source* tcp(7), TCP_CORK.
    """
    for each in listeners:
        if hasattr(socket, "TCP_CORK"):
            each.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_CORK, 1)


class _Log(Logger):
    """Gunicorn's log, without what it puts together for each answer: the program has lines of its own for these."""

    def access(self, *_of_an_answer: Any) -> None:
        """Nothing: a line of gunicorn's would hold addresses, and nobody reads it."""


class _Workers(BaseApplication):
    """Gunicorn, told everything here: it reads no file and no command line of its own."""

    def __init__(self, app: Flask, options: dict[str, Any]) -> None:
        self._app = app
        self._options = options
        super().__init__()

    def load_config(self) -> None:
        """Sync workers: a page is computed, not waited for, so threads would only share one processor."""
        settings = {
            "worker_class": LiningWorker,
            "preload_app": True,
            "timeout": 30,
            "graceful_timeout": 30,
            "max_requests": 20_000,
            "max_requests_jitter": 2_000,
            "loglevel": "warning",
            "logger_class": _Log,
            # Headers of a proxy are believed by the setting for it, in one place, and nowhere else.
            "forwarded_allow_ips": "",
            # A worker that writes its sign of life into memory is not held up by a slow disk.
            "worker_tmp_dir": _MEMORY if os.access(_MEMORY, os.W_OK) else None,
            **self._options,
        }
        if "control_socket_disable" in self.cfg.settings:
            # Newer versions would open a socket for remote control in the home folder.
            settings["control_socket_disable"] = True
        for name, value in settings.items():
            self.cfg.set(name, value)

    def load(self) -> Any:
        """The application, put together before the workers are made."""
        return self._app
