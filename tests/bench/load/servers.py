"""Servers under load: the program as ``trainer serve`` runs it, and a bare application beside it on the same server."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from tests.patience import PATIENCE_S, until
from tests.ports import free_port
from trainer.config import DATABASE_URL

# The bare application: what a page costs when there is nothing to it.
BARE = """
import sys
from flask import Flask, Response
from gunicorn.app.base import BaseApplication
app = Flask("bare")
page = "x" * int(sys.argv[3])
@app.get("/")
def hello():
    return "hello"
@app.get("/page")
def plain():
    return page
# A page of as many bytes that a template fills with values: what a page costs that has nothing to work out.
row = "<tr><td>{{ each.name }}</td><td>{{ each.value }}</td><td>{{ each.note }}</td></tr>"
filled = app.jinja_env.from_string("<!doctype html><title>{{ title }}</title><table>{% for each in rows %}" + row
                                   + "{% endfor %}</table>")
note = "a note on what stands in the papers"
values = [{"name": f"circuit {n}", "value": f"{n} A", "note": note} for n in range(5000)]
one = len(filled.render(title="", rows=values[100:101])) - len(filled.render(title="", rows=[]))
@app.get("/filled")
def from_template():
    return filled.render(title="A plain page", rows=values[:len(page) // one])
class Bare(BaseApplication):
    def load_config(self):
        for name, value in {"bind": f"127.0.0.1:{sys.argv[1]}", "workers": int(sys.argv[2]), "worker_class": "sync",
                            "preload_app": True, "loglevel": "warning"}.items():
            self.cfg.set(name, value)
        if "control_socket_disable" in self.cfg.settings:
            self.cfg.set("control_socket_disable", True)
    def load(self):
        return app
Bare(app).run()
"""


@contextmanager
def program(address: str, folder: Path, workers: int = 2, port: int | None = None) -> Iterator[tuple[int, int]]:
    """``trainer serve`` over a database; gives its process and port."""
    port = port or free_port()
    options = ["--port", str(port), "--no-log-requests", "--data", str(folder)]
    # None is what the program takes by itself.
    options += ["--workers", str(workers)] if workers else []
    # Tasks are made as fast as they can be.
    environment = {**os.environ, DATABASE_URL: address, "TRAINER_NEW_TASKS": "0"}
    with _running([sys.executable, "-m", "trainer", "serve", *options], port, environment) as process:
        yield process.pid, port


@contextmanager
def bare(workers: int = 2, page_bytes: int = 10_000) -> Iterator[int]:
    """A Flask application that says hello, and a plain page of a size; gives the port."""
    port = free_port()
    with _running([sys.executable, "-c", BARE, str(port), str(workers), str(page_bytes)], port, dict(os.environ)):
        yield port


@contextmanager
def _running(command: list[str], port: int, environment: dict[str, str]) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        _wait_for(port, process)
        yield process
    finally:
        process.terminate()
        with suppress(subprocess.TimeoutExpired):
            process.wait(40)
        process.kill()
        process.wait()


def _wait_for(port: int, process: subprocess.Popen[bytes]) -> None:
    def answers() -> bool:
        if process.poll() is not None:
            raise RuntimeError(f"the server ended with {process.returncode}")
        with suppress(OSError), urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=PATIENCE_S):
            return True
        return False

    until(answers, "an answer of the server", every_s=0.1)


def workers_of(parent: int) -> list[int]:
    """The worker processes of a server: children that run the same command line."""
    command = Path(f"/proc/{parent}/cmdline").read_bytes()
    found = []
    for status in Path("/proc").glob("[0-9]*/status"):
        with suppress(OSError):
            is_child = re.search(rf"^PPid:\s+{parent}$", status.read_text(), re.MULTILINE)
            if is_child and (status.parent / "cmdline").read_bytes() == command:
                found.append(int(status.parent.name))
    return found


def fdatasync_ms(folder: Path, times: int = 20) -> float:
    """What the disk takes to keep 4 KiB, in the middle of the tries."""
    took = []
    with (folder / "fdatasync").open("wb") as file:
        for _ in range(times):
            file.write(b"x" * 4096)
            file.flush()
            start = time.perf_counter()
            os.fdatasync(file.fileno())
            took.append(1000 * (time.perf_counter() - start))
    return sorted(took)[times // 2]
