"""Each connection wakes one of the workers that wait. *Source* epoll_ctl(2), proc_pid_fdinfo(5)."""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.patience import PATIENCE_S
from trainer.cli.doors import ONE_AT_A_TIME, Doors

pytestmark = pytest.mark.skipif(not ONE_AT_A_TIME, reason="another system has no such waiting")

# linux/eventpoll.h: EPOLLEXCLUSIVE is bit 28, EPOLLIN bit 0.
_EXCLUSIVE, _READABLE = 1 << 28, 1


@pytest.fixture
def listener() -> Iterator[socket.socket]:
    with closing(socket.create_server(("127.0.0.1", 0))) as made:
        made.setblocking(False)
        yield made


def _asked_for(doors: Doors) -> dict[int, int]:
    """The events that the kernel was asked for, by number of the file."""
    lines = Path(f"/proc/self/fdinfo/{doors._poll.fileno()}").read_text().splitlines()
    fields = [line.split() for line in lines if line.startswith("tfd:")]
    return {int(each[1]): int(each[3], 16) for each in fields}


def test_the_kernel_is_asked_to_wake_one_worker_for_a_connection_and_each_for_its_signals(
    listener: socket.socket,
) -> None:
    signals, other = os.pipe()
    with closing(Doors([listener, signals])) as doors:
        asked_for = _asked_for(doors)
        assert asked_for[listener.fileno()] & _EXCLUSIVE
        assert not asked_for[signals] & _EXCLUSIVE
        assert all(events & _READABLE for events in asked_for.values())
    os.close(signals)
    os.close(other)


def test_whoever_waits_is_told_what_is_ready(listener: socket.socket) -> None:
    signals, other = os.pipe()
    with closing(Doors([listener, signals])) as doors:
        assert doors.wait(0) == []
        with closing(socket.create_connection(listener.getsockname())):
            assert doors.wait(PATIENCE_S) == [listener]
            # It is ready until somebody takes it.
            assert doors.wait(PATIENCE_S) == [listener]
            listener.accept()[0].close()
        os.write(other, b"s")
        assert doors.wait(PATIENCE_S) == [signals]
        # A signal wakes once.
        assert doors.wait(0) == []
    os.close(signals)
    os.close(other)


def test_of_two_who_wait_the_one_that_does_not_come_leaves_the_connection_to_the_other(listener: socket.socket) -> None:
    with closing(Doors([listener])) as first, closing(Doors([listener])) as second:
        with closing(socket.create_connection(listener.getsockname())):
            assert listener in first.wait(PATIENCE_S) + second.wait(PATIENCE_S)
            listener.accept()[0].close()
        assert first.wait(0) == second.wait(0) == []
