"""What the page of operation lets an administrator copy parses, and does not what once went wrong when followed."""

from __future__ import annotations

import re
import subprocess
import textwrap
from pathlib import Path

import pytest

_PAGE = (Path(__file__).resolve().parents[2] / "docs" / "operations.md").read_text(encoding="utf-8")
_BLOCKS = [textwrap.dedent(found) for found in re.findall(r"^ *```\n(.*?)^ *```", _PAGE, re.DOTALL | re.MULTILINE)]


def block(begins: str) -> str:
    (found,) = [each for each in _BLOCKS if begins in each]
    return found


@pytest.mark.parametrize("number", range(len(_BLOCKS)))
def test_every_block_is_shell_that_parses(number: int) -> None:
    done = subprocess.run(["sh", "-n"], input=_BLOCKS[number], capture_output=True, text=True, check=False)
    assert done.stderr == ""


def test_no_server_of_the_proxy_keeps_addresses_or_links() -> None:
    """At its usual level nginx logs each request that it cannot hand on: address, link (nginx.org, error_log)."""
    servers = block("server_name trainer.example.org").split("server {")[1:]
    assert len(servers) == 2
    for each in servers:
        assert "access_log off;" in each
        assert "error_log /var/log/nginx/error.log alert;" in each


def test_whatever_runs_at_night_tells_when_it_goes_wrong() -> None:
    """Debian's cron mails what is printed, not an exit code; without a program for mail it tells nobody (cron(8))."""
    lines = [each for each in block("/etc/cron.d/trainer").splitlines() if re.match(r"\d+ \d+ ", each)]
    assert len(lines) == 3
    assert all(" root trainer-daily " in each and ">/dev/null" not in each for each in lines)


def test_the_start_of_the_service_waits_until_it_serves_however_long_an_upgrade_takes() -> None:
    """systemd.service(5): ``notify`` waits for READY=1, which gunicorn sends, at most for TimeoutStartSec."""
    unit = block("[Service]")
    assert "Type=notify" in unit
    assert "TimeoutStartSec=infinity" in unit
