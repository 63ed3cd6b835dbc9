"""``trainer demo``: everything in one process, nothing to set up."""

from __future__ import annotations

import signal
import threading
from pathlib import Path
from types import FrameType

import click
from werkzeug.serving import BaseWSGIServer, WSGIRequestHandler, make_server

from trainer.cli.invent_process import inventing
from trainer.cli.inventing.accounts import ACCOUNTS, PASSWORD_FILE, is_empty, password_in
from trainer.cli.job_process import job_process
from trainer.cli.serving import application, data_option, listen, prepared, wait_until_it_answers
from trainer.persistence.repositories import SqlStorage

_LOOKS_EVERY_S = 0.2


@click.command()
@click.option(
    "--port", type=click.IntRange(0, 65535), default=5000, show_default=True, help="Port; 0 takes a free one."
)
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--empty", is_flag=True, help="Without the invented college and firm.")
@data_option
def demo(port: int, host: str, empty: bool, data: Path | None) -> None:
    """Serve the program on this machine, with an embedded database and invented data."""
    stop = _stop_on_signals()
    settings, database = prepared(data)
    with listen(host, port) as listener:
        server = make_server(
            host,
            port,
            application(settings, database),
            threaded=True,
            request_handler=_QuietRequests,
            fd=listener.fileno(),
        )
    thread = _serve(server)
    address = wait_until_it_answers(host, server.port)
    click.echo(f"Serving on {address}")
    click.echo("No sign-in is needed to practise: open the address and choose a level.")
    wanted = not empty and is_empty(SqlStorage(database))
    if wanted or (settings.data_folder / PASSWORD_FILE).exists():
        when = "in about half a minute, " if wanted else ""
        names = ", ".join(ACCOUNTS[:-1])
        password = password_in(settings.data_folder)
        click.echo(f"To see the other roles, {when}sign in as {names} or {ACCOUNTS[-1]}, password {password}")
    click.echo(f"All installations are invented. Your record is kept in {settings.data_folder}. Ctrl-C stops.")
    with inventing(settings.data_folder, wanted=wanted) as is_inventing:
        # A runner ends sittings whose time is up, and those that are being invented took place weeks ago.
        while is_inventing() and not stop.wait(_LOOKS_EVERY_S):
            pass
        if not stop.is_set():
            with job_process(data):
                stop.wait()
    server.shutdown()
    thread.join()
    server.server_close()
    database.close()


class _QuietRequests(WSGIRequestHandler):
    """Logs nothing for a request that went well, and names no library versions."""

    def log_request(self, code: int | str = "-", size: int | str = "-") -> None:
        """Nothing: the terminal is for the address."""

    def version_string(self) -> str:
        """The name of the program only."""
        return "trainer"


def _stop_on_signals() -> threading.Event:
    stop = threading.Event()

    def handle(_number: int, _frame: FrameType | None) -> None:
        stop.set()

    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, handle)
    return stop


def _serve(server: BaseWSGIServer) -> threading.Thread:
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    return thread
