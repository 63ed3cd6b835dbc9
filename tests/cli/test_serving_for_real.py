"""``trainer serve`` as a college runs it: renewed under load, behind a proxy or not, warm from the first request."""

from __future__ import annotations

import http.client
import re
import signal
import socket
import threading
import time
import urllib.request
from pathlib import Path
from types import SimpleNamespace
from urllib.parse import urlsplit

import pytest

from tests.cli.test_serving import started
from tests.patience import PATIENCE_S, until
from tests.ports import free_port
from trainer.cli.serve import _send_whole


def test_renewing_the_workers_loses_no_request(tmp_path: Path) -> None:
    """gunicorn.org, Signal Handling: HUP starts new workers and lets the old ones finish what they are at."""
    options = ("--port", str(free_port()), "--workers", "2", "--no-log-requests", "--data", str(tmp_path / "data"))
    with started("serve", *options, cwd=tmp_path) as (process, address):
        stop, answers, failures = threading.Event(), [], []

        def ask() -> None:
            while not stop.is_set():
                try:
                    with urllib.request.urlopen(f"{address}/about", timeout=PATIENCE_S) as answer:
                        answers.append(answer.status)
                except OSError as error:
                    failures.append(repr(error))

        askers = [threading.Thread(target=ask) for _ in range(2)]
        for asker in askers:
            asker.start()
        try:
            until(lambda: answers or failures, "the first answer")
            before = workers_of(process.pid)
            process.send_signal(signal.SIGHUP)
            until(lambda: not before & workers_of(process.pid), "the end of the workers from before")
        finally:
            stop.set()
            for asker in askers:
                asker.join()
        assert before
        assert failures == []
        assert set(answers) == {200}


def workers_of(parent: int) -> set[int]:
    """Its forked children: those that run the same command line."""
    command = Path(f"/proc/{parent}/cmdline").read_bytes()
    found = set()
    for status in Path("/proc").glob("[0-9]*/status"):
        try:
            is_child = re.search(rf"^PPid:\s+{parent}$", status.read_text(), re.MULTILINE)
            if is_child and (status.parent / "cmdline").read_bytes() == command:
                found.add(int(status.parent.name))
        except OSError:
            continue
    return found


def test_a_header_of_a_proxy_is_believed_by_the_setting_only(tmp_path: Path) -> None:
    """RFC 6797, 7.2: no Strict-Transport-Security over plain http; the header must not make it look like https."""
    options = ("--port", str(free_port()), "--workers", "1", "--data", str(tmp_path / "data"))
    with started("serve", *options, cwd=tmp_path) as (_, address):
        parts = urlsplit(address)
        connection = http.client.HTTPConnection(parts.hostname or "", parts.port, timeout=PATIENCE_S)
        connection.request("GET", "/healthz", headers={"X-Forwarded-Proto": "https"})
        answer = connection.getresponse()
        assert answer.status == 200
        assert answer.headers["Strict-Transport-Security"] is None
        connection.close()


@pytest.mark.skipif(not hasattr(socket, "TCP_CORK"), reason="a matter of Linux")
def test_headers_wait_for_the_page_that_follows_them() -> None:
    """tcp(7), TCP_CORK: partial frames wait, up to 200 ms; shutdown sends what is there."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        _send_whole([SimpleNamespace(sock=listener)])
        with socket.create_connection(listener.getsockname()) as client:
            answering, _ = listener.accept()
            answering.sendall(b"headers, ")
            client.settimeout(0.02)
            with pytest.raises(TimeoutError):
                client.recv(100)
            answering.sendall(b"page")
            answering.shutdown(socket.SHUT_WR)
            client.settimeout(PATIENCE_S)
            assert client.recv(100) == b"headers, page"
            answering.close()


def test_an_answer_comes_at_once(tmp_path: Path) -> None:
    """What waits for more ends with the answer: else each would come a fifth of a second late."""
    options = ("--port", str(free_port()), "--workers", "1", "--no-log-requests", "--data", str(tmp_path / "data"))
    with started("serve", *options, cwd=tmp_path) as (_, address):
        took = []
        for _ in range(20):
            began = time.perf_counter()
            with urllib.request.urlopen(f"{address}/healthz", timeout=PATIENCE_S) as answer:
                assert answer.read() == b"ok\n"
            took.append(time.perf_counter() - began)
    assert min(took) < 0.1
