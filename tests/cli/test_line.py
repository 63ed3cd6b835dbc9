"""Sign-ins wait in a line of their own while workers answer everything else.

*Source* unix(7): connections travel between processes with SCM_RIGHTS; fcntl(2): a lock goes with its process.
"""

from __future__ import annotations

import os
import signal
import socket
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from gunicorn.workers.sync import SyncWorker

from tests.bench.load import crowd, servers
from tests.bench.load.sending import Answer, Sender
from tests.patience import PATIENCE_S
from trainer.cli.line import Line, LiningWorker
from trainer.config import sqlite_url
from trainer.persistence.database import Database


def in_another_process(work: Callable[[], bool]) -> bool:
    """What the work gives in a forked process."""
    child = os.fork()
    if child == 0:
        os._exit(0 if work() else 1)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


@pytest.fixture
def line() -> Iterator[Line]:
    with closing(Line()) as made:
        yield made


def test_a_turn_is_taken_by_one_process_only_and_comes_back_with_its_end(line: Line) -> None:
    assert line.take_turn()
    assert not in_another_process(line.take_turn)
    line.end_turn()
    # The other process ended with the turn.
    assert in_another_process(line.take_turn)
    assert in_another_process(line.take_turn)


def test_there_are_as_many_turns_as_were_asked_for() -> None:
    with closing(Line(2)) as line:
        assert line.take_turn()
        assert in_another_process(line.take_turn)
        assert in_another_process(lambda: line.take_turn() and not in_another_process(line.take_turn))


def test_connections_come_out_of_the_line_in_their_order_in_whatever_process(line: Line) -> None:
    pairs = [socket.socketpair() for _ in range(3)]
    for number, (_, theirs) in enumerate(pairs):
        assert line.put(theirs, ["127.0.0.1", number])
        theirs.close()

    def answers() -> bool:
        while (found := line.next()) is not None:
            connection, address = found
            connection.sendall(f"{address[1]}".encode())
            connection.close()
        return True

    assert in_another_process(answers)
    assert [ours.recv(10) for ours, _ in pairs] == [b"0", b"1", b"2"]
    assert line.next() is None
    for ours, _ in pairs:
        ours.close()


def test_an_idle_worker_takes_up_within_seconds_whom_another_left_in_the_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """By itself gunicorn lets an idle worker wait for half of its timeout."""
    with closing(Line()) as line, closing(socket.create_server(("127.0.0.1", 0))) as listener:
        listener.setblocking(False)
        worker = object.__new__(LiningWorker)
        served: list[object] = []

        def answered(_self: object, _listener: object, client: socket.socket, addr: object) -> None:
            served.append(addr)
            client.close()
            worker.alive = False

        monkeypatch.setattr(LiningWorker, "line", line, raising=False)
        monkeypatch.setattr(SyncWorker, "handle", answered)
        vars(worker).update(alive=True, sockets=[listener], wait_fds=[listener], nr=0, ppid=os.getppid())
        vars(worker).update(tmp=SimpleNamespace(notify=lambda: None))
        # The line is empty at the first look; then somebody is left in it.
        worker.notify()
        ours, theirs = socket.socketpair()
        assert line.put(theirs, ["127.0.0.1", 1])
        theirs.close()
        began = time.monotonic()
        worker.run_for_one(PATIENCE_S)
        ours.close()
        assert served == [("127.0.0.1", 1)]
        # A look each second; without any it would have been the whole time.
        assert time.monotonic() - began < PATIENCE_S / 2


class Answering:
    """A worker that notes whom it answers; the first bytes of a request are its name."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, line: Line, listener: socket.socket) -> None:
        self.answered: list[str] = []
        self.worker = object.__new__(LiningWorker)
        monkeypatch.setattr(LiningWorker, "line", line, raising=False)
        monkeypatch.setattr(SyncWorker, "handle", lambda _worker, _listener, client, _address: self._answer(client))
        vars(self.worker).update(alive=True, sockets=[listener], nr=0, tmp=SimpleNamespace(notify=lambda: None))
        self.worker._looked_s = time.monotonic()
        self._listener = listener
        self._callers: list[socket.socket] = []

    def call(self, *requests: str) -> None:
        """Requests at the door, each on a connection of its own."""
        for request in requests:
            self._callers.append(socket.create_connection(self._listener.getsockname()))
            self._callers[-1].sendall(request.encode())

    def close(self) -> None:
        """Ends the connections."""
        for caller in self._callers:
            caller.close()

    def _answer(self, client: socket.socket) -> None:
        self.answered.append(client.recv(100).decode())
        client.close()


@pytest.fixture
def answering(monkeypatch: pytest.MonkeyPatch, line: Line) -> Iterator[Answering]:
    with closing(socket.create_server(("127.0.0.1", 0))) as listener:
        listener.setblocking(False)
        with closing(Answering(monkeypatch, line, listener)) as made:
            yield made


def _in_the_line(line: Line, *requests: str) -> None:
    for request in requests:
        ours, theirs = socket.socketpair()
        ours.sendall(request.encode())
        assert line.put(theirs, ["127.0.0.1", 1])
        ours.close()
        theirs.close()


def test_between_two_who_sign_in_all_are_answered_that_no_other_worker_came_to(
    line: Line, answering: Answering
) -> None:
    """Saves must not wait for a line of three hundred, though workers that wait for a database are all taken."""
    _in_the_line(line, "POST /sign-in second", "POST /sign-in third")
    answering.call("POST /sign-in first", "POST /save one", "POST /save two")
    answering.worker.accept(answering.worker.sockets[0])
    assert answering.answered == [
        "POST /sign-in first",
        "POST /save one",
        "POST /save two",
        "POST /sign-in second",
        "POST /sign-in third",
    ]
    # The turn was given back.
    assert in_another_process(line.take_turn)


def test_whoever_comes_to_sign_in_meanwhile_goes_to_the_end_of_the_line(line: Line, answering: Answering) -> None:
    _in_the_line(line, "POST /sign-in second")
    answering.call("POST /sign-in first", "POST /sign-in third", "POST /save one")
    answering.worker.accept(answering.worker.sockets[0])
    assert answering.answered == [
        "POST /sign-in first",
        "POST /save one",
        "POST /sign-in second",
        "POST /sign-in third",
    ]


def test_the_line_gets_on_however_many_others_come(line: Line, answering: Answering) -> None:
    _in_the_line(line, "POST /sign-in second")
    answering.call("POST /sign-in first", *(f"POST /save {number}" for number in range(60)))
    answering.worker.accept(answering.worker.sockets[0])
    at = answering.answered.index("POST /sign-in second")
    assert 1 < at < 60
    # Those that were left wait at the door, for this worker or another.
    assert answering.answered[at + 1 :] == [f"POST /save {number}" for number in range(at - 1, 2 * (at - 1))]


def test_a_worker_that_is_to_end_leaves_line_and_door_to_others(
    line: Line, answering: Answering, monkeypatch: pytest.MonkeyPatch
) -> None:
    _in_the_line(line, "POST /sign-in second")
    answering.call("POST /sign-in first", "POST /save one")
    answer = SyncWorker.handle

    def last(*arguments: Any) -> None:
        answer(*arguments)
        answering.worker.alive = False

    monkeypatch.setattr(SyncWorker, "handle", last)
    answering.worker.accept(answering.worker.sockets[0])
    assert answering.answered == ["POST /sign-in first"]
    left = line.next()
    assert left is not None
    left[0].close()


@pytest.mark.slow
def test_everybody_who_signs_in_at_one_moment_gets_in_also_when_a_worker_ends(tmp_path: Path) -> None:
    address = sqlite_url(tmp_path / "trainer.sqlite3")
    seats = crowd.seated(address, tmp_path, 4, variants=1)
    callers = crowd.callers(address, tmp_path, 24)
    answers: list[Answer] = []
    with servers.program(address, tmp_path, workers=3) as (master, port):
        sender = Sender(port)
        for request in callers:
            sender.add(0.0, lambda request=request: request, answers.append)
        for number, seat in enumerate(seats * 5):
            sender.add(0.1 + 0.01 * number, seat.save, answers.append)
        with ThreadPoolExecutor(1) as own:
            running = own.submit(sender.run)
            os.kill(servers.workers_of(master)[0], signal.SIGTERM)
            running.result()
    told = sorted(answer.status for answer in answers)
    assert told.count(303) == 24
    # Of two saves of one seat that overtake each other the older is refused: RFC 9110, 15.5.10.
    assert len(told) == 44
    assert set(told) <= {200, 303, 409}


@pytest.mark.slow
def test_whoever_waits_too_long_is_told_that_nothing_was_saved(tmp_path: Path) -> None:
    address = sqlite_url(tmp_path / "trainer.sqlite3")
    seat = crowd.seated(address, tmp_path, 1, variants=1)[0]
    answers: list[Answer] = []
    database = Database(address)
    with servers.program(address, tmp_path, workers=1) as (master, port), ThreadPoolExecutor(1) as own:
        sender = Sender(port)
        sender.add(0.0, seat.save, answers.append)
        with database.writing() as session:
            session.connection()
            running = own.submit(sender.run)
            (worker,) = servers.workers_of(master)
            while "locks_lock_inode_wait" not in Path(f"/proc/{worker}/wchan").read_text() and not running.done():
                time.sleep(0.01)
            # What gunicorn does with a worker that gives no sign of life: "timeout" in its settings.
            os.kill(worker, signal.SIGABRT)
            running.result()
    database.close()
    (answer,) = answers
    assert (answer.status, "not saved" in answer.text, "no-store" in answer.head) == (503, True, True)
