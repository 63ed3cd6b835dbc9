"""Ports for programs that have to be told one: nobody else takes them between the asking and the listening.

ip(7): whoever names no port, to listen or to call, gets one of the range in ip_local_port_range. A port outside of it
goes to nobody by accident; processes that ask for several at once begin at different places.
"""

from __future__ import annotations

import os
import socket
from contextlib import suppress
from itertools import count
from pathlib import Path

_RANGE = Path("/proc/sys/net/ipv4/ip_local_port_range")
_FIRST, _MOST_TRIES = 10_000, 500
_numbers = count(os.getpid() * 101)


def free_port() -> int:
    """A port of this machine on which nobody listens, and which the system gives to nobody by itself."""
    room = _given_away_from() - _FIRST
    for _ in range(_MOST_TRIES if room > 0 else 0):
        with suppress(OSError), socket.create_server(("127.0.0.1", _FIRST + next(_numbers) % room)) as listener:
            return int(listener.getsockname()[1])
    # No room outside of the range: one that is free now, as good as it gets.
    with socket.create_server(("127.0.0.1", 0)) as listener:
        return int(listener.getsockname()[1])


def _given_away_from() -> int:
    """The first port that the system gives away; where it does not tell, as IANA has it (RFC 6335, 6)."""
    with suppress(OSError, ValueError, IndexError):
        return int(_RANGE.read_text(encoding="ascii").split()[0])
    return 49_152
