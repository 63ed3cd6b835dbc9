"""Brings up the application with its database: the only place where the command line touches the web."""

from __future__ import annotations

import os
import socket
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

import click
from flask import Flask

from trainer.cli.privacy_files import MailFiles
from trainer.config import Settings, settings_from
from trainer.domain.errors import Problem, TrainerError
from trainer.domain.rules.version import rule_set_version
from trainer.interop.mail import mail_box
from trainer.persistence.database import Database
from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.people.standings import SqlStandings
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.programmes.repositories import programme_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.services.answering import Solutions
from trainer.services.jobs.daily import ask_for_today
from trainer.services.jobs.rounds import Chore, Rounds
from trainer.services.jobs.running import Runner, beat, drop_old_files
from trainer.services.jobs.storage import JobRepositories
from trainer.services.people.hashing import Argon2
from trainer.services.people.here import Desk
from trainer.services.people.mail import MailBox
from trainer.services.privacy.daily import KIND as CLEARING
from trainer.services.privacy.daily import Clearing
from trainer.services.privacy.retention import Retention
from trainer.services.programmes import daily as reminders
from trainer.services.programmes.refreshers import Refreshers
from trainer.services.programmes.reminding import Reminding
from trainer.services.regrading.judging import Regrading
from trainer.services.scenarios import make_task, scenarios
from trainer.services.scopes import Promptly, Scopes
from trainer.services.sittings.finishing import Finishing
from trainer.web import logging_lines
from trainer.web.app import create_app
from trainer.web.health import COUNTS, METRICS_TOKEN
from trainer.web.practice.writing import StoredForm
from trainer.web.printing.works import ALL_KINDS, QUICK, works_of
from trainer.web.sittings.wired import SittingStoredForm, desk_with
from trainer.web.warming import warm
from trainer.web.wiring import Wiring, random_id, utc_now

# A machine with other work may need many times the second that it takes.
_PATIENCE_S = 120
_WAITING_LINE = 512
# What each chore costs when there is nothing to do is one short query.
_BEATS_EVERY = timedelta(seconds=15)
_MARKS_EVERY = timedelta(seconds=3)
_ASKS_EVERY = timedelta(minutes=1)
_DROPS_EVERY = timedelta(hours=1)
# Long enough for somebody who waits for a turn to wake up and take it.
_LETS_OTHERS_S = 0.005

data_option = click.option(
    "--data",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder for database and secret; by default TRAINER_DATA, else a folder in the user's data folder.",
)


class ServingError(TrainerError):
    """The program cannot serve at this address."""


def prepared(data_folder: Path | None) -> tuple[Settings, Database]:
    """The settings and the database, its tables brought up to date.

    Raises: SettingsError, DatabaseAddressError, MigrationError.
    """
    settings = settings_from(os.environ, data_folder=data_folder)
    database = Database(settings.database_url)
    upgrade(database)
    return settings, database


def now() -> datetime:
    """The time of the server, for commands that have no application."""
    return utc_now()


def new_id() -> str:
    """A random id, for commands that have no application."""
    return random_id()


def application(settings: Settings, database: Database) -> Flask:
    """The application over the database."""
    wired = Wiring(storage=SqlStorage(database), mail=_mail_box(settings), address=settings.address)
    app = create_app(settings, wired)
    app.config[METRICS_TOKEN] = settings.metrics_token
    return app


def warmed(app: Flask) -> None:
    """Loads and compiles what the first requests would, before the workers are made."""
    warm(app)


def counted_apart(app: Flask, number: int) -> None:
    """Lets a worker count its answers in a place of its own."""
    app.extensions[COUNTS].take_slot(number)


def log_settings(*, requests: bool) -> dict[str, Any]:
    """Logs as lines of JSON, with or without one for each answer."""
    return logging_lines.settings("INFO" if requests else "WARNING")


def stored_form() -> SittingStoredForm:
    """The form in which tasks of papers and their gradings are kept."""
    return SittingStoredForm()


def _mail_box(settings: Settings) -> MailBox:
    return mail_box(
        settings.mail,
        folder=settings.data_folder / "mail",
        sender=settings.mail_from,
        password=settings.mail_password,
        now=utc_now,
        new_id=random_id,
    )


D = TypeVar("D", bound=Desk)


def desk_over(settings: Settings, database: Database, kind: type[D]) -> D:
    """Use cases of people over the database, for commands."""
    return kind(
        storage=SqlStorage(database).scopes(people_repositories),
        standings=SqlStandings(database),
        now=utc_now,
        new_id=random_id,
        hasher=Argon2(),
        secret_key=settings.secret_key,
    )


def reminding_over(settings: Settings, database: Database, address: str | None = None) -> Reminding:
    """The daily round of refresher programmes over the database; links lead to the address, else to this machine."""
    address = address or settings.address or "http://127.0.0.1:8000"
    scopes = SqlStorage(database).scopes(programme_repositories)
    return Reminding(storage=scopes, now=utc_now, new_id=random_id, mail=_mail_box(settings), address=address)


def refreshers_over(database: Database) -> Refreshers:
    """Refreshers over the database, for giving records that were earned."""
    scopes = SqlStorage(database).scopes(programme_repositories)
    return Refreshers(storage=scopes, now=utc_now, new_id=random_id, make=make_task, form=StoredForm())


def regrading_over(database: Database) -> Regrading:
    """The use case of judging the attempts in the database again, by the rules of this program."""
    return Regrading(
        storage=SqlStorage(database),
        form=StoredForm(),
        catalogue=tuple(scenarios().misconceptions.values()),
        version=rule_set_version(),
        now=utc_now,
    )


def finishing_over(database: Database, promptly: Promptly | None = None) -> Finishing:
    """The use case of ending and marking sittings, over the database."""
    finishing = desk_with(Wiring(storage=SqlStorage(database)), Finishing, Solutions())
    return finishing if promptly is None else replace(finishing, promptly=promptly)


def jobs_over(database: Database) -> Scopes[JobRepositories]:
    """Jobs in the database."""
    return SqlStorage(database).scopes(job_repositories)


def retention_over(storage: SqlStorage, data_folder: Path, promptly: Promptly | None = None) -> Retention:
    """Holding to the times of keeping, over the database and the folder of mails."""
    retention = Retention(
        storage=storage.scopes(privacy_repositories),
        now=utc_now,
        new_id=random_id,
        files=MailFiles(folder=data_folder / "mail"),
        pause=lambda: time.sleep(_LETS_OTHERS_S),
    )
    return retention if promptly is None else replace(retention, promptly=promptly)


def rounds_over(settings: Settings, database: Database, *, name: str, promptly: Promptly | None = None) -> Rounds:
    """What a runner sees to beside its jobs.

    ``name`` lets several runners mark in different orders, ``promptly`` does what others wait for.
    """
    jobs = jobs_over(database)
    finishing = finishing_over(database, promptly)
    at_once = finishing.promptly
    kinds = (*ALL_KINDS, CLEARING, reminders.KIND)

    def ask() -> None:
        ask_for_today(jobs, CLEARING, now())
        reminding = reminding_over(settings, database)
        wanted = partial(reminders.wanted_today, reminding)
        ask_for_today(jobs, reminders.KIND, now(), wanted, from_hour=reminders.FROM_HOUR)

    chores = (
        Chore(name="sign of life", every=_BEATS_EVERY, do=lambda: at_once(lambda: beat(jobs, now()))),
        Chore(name="mark sittings", every=_MARKS_EVERY, do=lambda: finishing.close_due(order=name)),
        Chore(name="ask for the work of the day", every=_ASKS_EVERY, do=ask),
        Chore(
            name="drop old files", every=_DROPS_EVERY, do=lambda: at_once(lambda: drop_old_files(jobs, kinds, now()))
        ),
    )
    return Rounds(chores, now)


def runner_over(
    settings: Settings,
    database: Database,
    *,
    name: str,
    stop: threading.Event,
    between: Callable[[], None],
    promptly: Promptly | None = None,
) -> Runner:
    """A job runner over the database; what it needs for a job is loaded with the first one."""
    works = works_of(lambda: application(settings, database))
    clearing = Clearing(lambda: retention_over(SqlStorage(database), settings.data_folder, promptly))
    reminding = reminders.RemindingOfTheDay(
        reminding=partial(reminding_over, settings, database), refreshers=partial(refreshers_over, database)
    )
    return Runner(
        storage=jobs_over(database),
        works={**works, CLEARING: clearing, reminders.KIND: reminding},
        now=utc_now,
        new_id=random_id,
        name=name,
        stop=stop,
        quick=QUICK,
        between=between,
    )


def listen(host: str, port: int) -> socket.socket:
    """A socket that listens at the address; port 0 takes a free one.

    Raises: ServingError.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family, backlog=_WAITING_LINE)
    except OSError as error:
        problem = f"cannot listen here: {error.strerror}; choose another with --port or --host"
        raise ServingError(Problem(path="address", value=f"{host}:{port}", problem=problem)) from error


def wait_until_it_answers(host: str, port: int) -> str:
    """The address to open, once a page comes from it.

    Raises: ServingError after two minutes without an answer.
    """
    address = f"http://{_reachable(host)}:{port}"
    deadline = time.monotonic() + _PATIENCE_S
    while time.monotonic() < deadline:
        try:
            with urllib.request.urlopen(f"{address}/healthz", timeout=_PATIENCE_S):  # noqa: S310 - http, built here
                return address
        except (urllib.error.URLError, OSError):
            time.sleep(0.05)
    raise ServingError(Problem(path="address", value=address, problem="no answer; see the messages above"))


def _reachable(host: str) -> str:
    if host in {"0.0.0.0", "::"}:  # noqa: S104 - compared with, not listened on
        return "127.0.0.1"
    return f"[{host}]" if ":" in host else host
