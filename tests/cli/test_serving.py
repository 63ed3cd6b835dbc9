"""The two commands that serve, as a user starts them."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.patience import PATIENCE_S
from tests.ports import free_port


@contextmanager
def started(*arguments: str, cwd: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The command, and the address it says it serves at."""
    command = [sys.executable, "-m", "trainer", *arguments]
    environment = {name: value for name, value in os.environ.items() if not name.startswith("TRAINER_")}
    environment["HOME"] = str(cwd)
    with subprocess.Popen(
        command, cwd=cwd, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as process:
        assert process.stdout is not None
        first = process.stdout.readline()
        address = re.match(r"Serving on (http://\S+)", first)
        if address is None:
            process.kill()
            pytest.fail(first + process.stdout.read())
        try:
            yield process, address[1]
        finally:
            process.kill()


def ended(process: subprocess.Popen[str]) -> str:
    """What the command still printed until it ended."""
    assert process.stdout is not None
    rest = process.stdout.read()
    process.wait(timeout=PATIENCE_S)
    return rest


def page(address: str) -> str:
    with urllib.request.urlopen(address, timeout=PATIENCE_S) as answer:
        return answer.read().decode()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_the_demo_serves_when_it_says_so_and_ends_well_when_asked_to(tmp_path: Path, number: signal.Signals) -> None:
    with started("demo", "--port", "0", "--empty", "--data", str(tmp_path / "data"), cwd=tmp_path) as (
        process,
        address,
    ):
        assert "Protection Trainer" in page(address)
        process.send_signal(number)
        rest = ended(process)
        assert process.returncode == 0
        assert "No sign-in is needed" in rest
        assert "password" not in rest
        assert "Traceback" not in rest


def test_the_demo_keeps_its_secret_to_itself_and_uses_it_again(tmp_path: Path) -> None:
    secret = tmp_path / "data" / "secret-key"
    kept = []
    for _ in range(2):
        with started("demo", "--port", "0", "--empty", "--data", str(tmp_path / "data"), cwd=tmp_path):
            kept.append(secret.read_text(encoding="ascii"))
    assert kept[0] == kept[1]
    assert secret.stat().st_mode & 0o777 == 0o600


def test_a_taken_port_is_told_without_a_trace(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        for command in ("demo", "serve"):
            answer = subprocess.run(
                [sys.executable, "-m", "trainer", command, "--port", str(port), "--data", str(tmp_path)],
                capture_output=True,
                text=True,
                timeout=PATIENCE_S,
                check=False,
            )
            assert answer.returncode == 2
            assert answer.stdout == ""
            assert str(port) in answer.stderr
            assert "--port" in answer.stderr
            assert "Traceback" not in answer.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="gunicorn, behind this command, runs on Unix only")
def test_serve_answers_with_several_workers_and_ends_well_when_asked_to(tmp_path: Path) -> None:
    port = str(free_port())
    with started("serve", "--port", port, "--workers", "2", "--data", str(tmp_path / "data"), cwd=tmp_path) as (
        process,
        address,
    ):
        assert "Protection Trainer" in page(address)
        process.send_signal(signal.SIGTERM)
        rest = ended(process)
        assert process.returncode == 0
        assert "Traceback" not in rest
    assert [path.name for path in tmp_path.iterdir()] == ["data"], "nothing is written outside the data folder"


def test_the_demo_invents_a_college_and_a_firm_and_says_how_to_sign_in(tmp_path: Path) -> None:
    with started("demo", "--port", "0", "--data", str(tmp_path / "data"), cwd=tmp_path) as (process, _):
        process.send_signal(signal.SIGTERM)
        rest = ended(process)
    assert process.returncode == 0
    assert (tmp_path / "data" / "demo-password").read_text() in rest
    assert "sign in as learner, lecturer" in rest
    # Half an organisation would be of no use: ending waits for it.
    again = subprocess.run(
        [sys.executable, "-m", "trainer", "invent", "--data", str(tmp_path / "data")],
        check=True,
        capture_output=True,
        text=True,
    )
    assert "nothing was changed" in again.stdout
