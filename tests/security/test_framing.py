"""Where one request ends and the next begins: what could be read in two ways is refused, and the connection ends.

Source: RFC 9112, 5.1 (no space before the colon), 5.2 (line folding), 6.1 and 6.3 (Transfer-Encoding, Content-Length);
OWASP ASVS 5.0.0, 4.2.1.
"""

from __future__ import annotations

import socket
import time
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest

from tests.cli.test_serving import started
from tests.patience import PATIENCE_S
from tests.ports import free_port

HIDDEN = "GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n"
CHUNKED = f"0\r\n\r\n{HIDDEN}"
# What each could mean differs between a proxy and the program behind it.
AMBIGUOUS = {
    "both lengths": ("Content-Length: 4\r\nTransfer-Encoding: chunked\r\n", CHUNKED),
    "two lengths": ("Content-Length: 0\r\nContent-Length: 44\r\n", HIDDEN),
    "a list of lengths": ("Content-Length: 0, 44\r\n", HIDDEN),
    "a signed length": ("Content-Length: +0\r\n", HIDDEN),
    "a negative length": ("Content-Length: -1\r\n", HIDDEN),
    "a length in hexadecimal": ("Content-Length: 0x0\r\n", HIDDEN),
    "a space before the colon": ("Content-Length : 0\r\n", HIDDEN),
    "a folded line": ("Content-Length:\r\n 0\r\n", HIDDEN),
    "an unknown coding": ("Transfer-Encoding: xchunked\r\n", CHUNKED),
    "chunked not last": ("Transfer-Encoding: chunked, identity\r\n", CHUNKED),
    "chunked twice": ("Transfer-Encoding: chunked\r\nTransfer-Encoding: chunked\r\n", CHUNKED),
}


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    folder = tmp_path_factory.mktemp("framing")
    options = ("--port", str(free_port()), "--workers", "1", "--no-log-requests", "--data", str(folder / "data"))
    with started("serve", *options, cwd=folder) as (_, address):
        yield urlsplit(address).port or 0


def answers(port: int, request: str) -> bytes:
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_S) as connection:
        connection.sendall(request.encode())
        connection.shutdown(socket.SHUT_WR)
        parts = []
        while part := connection.recv(65_536):
            parts.append(part)
    return b"".join(parts)


@pytest.mark.parametrize("headers_and_rest", AMBIGUOUS.values(), ids=AMBIGUOUS)
def test_a_request_whose_end_is_ambiguous_is_refused_and_nothing_behind_it_is_read(
    port: int, headers_and_rest: tuple[str, str]
) -> None:
    headers, rest = headers_and_rest
    answer = answers(port, f"POST /practise HTTP/1.1\r\nHost: localhost\r\n{headers}\r\n{rest}")
    status = int(answer.split(b" ", 2)[1]) if answer else 400
    assert status in {400, 501}, answer[:200]
    assert answer.count(b"HTTP/1.1 ") <= 1
    assert b"ok\n" not in answer


def test_a_plain_request_is_answered(port: int) -> None:
    assert answers(port, HIDDEN).startswith(b"HTTP/1.1 200")


def test_a_connection_on_which_nothing_is_said_does_not_hold_a_worker_for_long(port: int) -> None:
    """Browsers open connections before they need them; the one worker here waited half a minute and was ended."""
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_S) as idle:
        began = time.monotonic()
        assert answers(port, HIDDEN).startswith(b"HTTP/1.1 200")
        assert time.monotonic() - began < 15
        # It is told so, and nothing else is.
        assert idle.recv(100) == b""
