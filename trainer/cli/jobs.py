"""``trainer jobs``: the runner in a process of its own, and what it has to do."""

from __future__ import annotations

import os
import socket
import threading
from pathlib import Path

import click

from trainer.cli.job_process import left_alone, stop_on_signals
from trainer.cli.output import JSON, format_option, print_json
from trainer.cli.serving import data_option, jobs_over, prepared, rounds_over, runner_over
from trainer.cli.standing_back import stood_back
from trainer.services.jobs.running import Runner

_LOOKS_EVERY_S = 1.0
_SHOWN = ("id", "kind", "state", "progress_done", "progress_total", "created_at", "runner")


@click.group()
def jobs() -> None:
    """Do the work that pages ask for, such as papers to print."""


@jobs.command()
@click.option("--once", is_flag=True, help="Do what waits now, then end.")
@click.option("--with-parent", type=int, hidden=True, help="End when the process of this number, the parent, ends.")
@data_option
def run(once: bool, with_parent: int | None, data: Path | None) -> None:
    """Do jobs until told to stop, and what comes round: sittings marked; once a day data cleared, reminders sent.

    ``trainer demo`` and ``trainer serve`` start one. Several may run at once, also on several
    machines; each job is done by one of them. TERM ends a runner after the part that it is at, and
    whatever is left goes on from there.
    """
    stop = stop_on_signals()
    settings, database = prepared(data)
    name = f"{socket.gethostname()}-{os.getpid()}"
    try:
        if once:
            _work(runner_over(settings, database, name=name, stop=stop, between=lambda: None), stop)
            return
        # Whoever waits for a page comes before whatever is done in the background.
        promptly = stood_back()
        rounds = rounds_over(settings, database, name=name, promptly=promptly)
        runner = runner_over(settings, database, name=name, stop=stop, between=rounds.go, promptly=promptly)
        while not stop.is_set() and not left_alone(with_parent):
            rounds.go()
            if not runner.step():
                stop.wait(_LOOKS_EVERY_S)
    finally:
        database.close()


def _work(runner: Runner, stop: threading.Event) -> None:
    while not stop.is_set() and runner.step():
        pass


@jobs.command("list")
@format_option
@data_option
def list_jobs(form: str, data: Path | None) -> None:
    """Show what waits and what is being done."""
    _, database = prepared(data)
    try:
        with jobs_over(database).reading() as stored:
            found = stored.jobs.unfinished()
    finally:
        database.close()
    if form == JSON:
        print_json({"jobs": [{name: _plain(getattr(each, name)) for name in _SHOWN} for each in found]})
        return
    for each in found:
        click.echo(f"{each.id}  {each.kind}  {each.state.value}  {each.progress_done} of {each.progress_total}")
    if not found:
        click.echo("Nothing waits.")


def _plain(value: object) -> object:
    return value if value is None or isinstance(value, int) else str(value)
