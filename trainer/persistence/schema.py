"""Brings the tables of a database up to the version this program needs."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy.engine import Connection

from trainer.domain.errors import Problem
from trainer.persistence.database import Database, MigrationError

_MIGRATIONS = Path(__file__).resolve().parent / "migrations"


def upgrade(database: Database) -> None:
    """Applies the migrations that are missing; several processes may call it at once.

    Raises: MigrationError when the database was made by a newer program.
    """
    # Looked at first: the check of all references at the end of a change takes long where much is stored.
    if is_current(database):
        return
    configuration = alembic_configuration()
    with database.migrating() as connection:
        _refuse_unknown_version(configuration, connection)
        configuration.attributes["connection"] = connection
        command.upgrade(configuration, "heads")


def downgrade(database: Database, revision: str) -> None:
    """Takes migrations back down to a revision; ``base`` takes back all of them."""
    configuration = alembic_configuration()
    with database.migrating() as connection:
        configuration.attributes["connection"] = connection
        command.downgrade(configuration, revision)


def version(database: Database) -> str | None:
    """The revision of the tables in the database, or None when there are none."""
    with database.reading() as session:
        return MigrationContext.configure(session.connection()).get_current_revision()


def is_current(database: Database) -> bool:
    """True when the tables are of the version that this program needs."""
    return version(database) == newest_version()


@cache
def newest_version() -> str:
    """The revision that this program needs."""
    head = ScriptDirectory.from_config(alembic_configuration()).get_current_head()
    assert head is not None, "the package carries at least one migration"  # noqa: S101 - tells mypy
    return head


def alembic_configuration() -> Config:
    """Where Alembic finds the migrations, in a checkout and in an installed package."""
    configuration = Config()
    configuration.set_main_option("script_location", str(_MIGRATIONS).replace("%", "%%"))
    configuration.set_main_option("path_separator", "os")
    configuration.set_main_option("file_template", "v%%(rev)s_%%(slug)s")
    return configuration


def _refuse_unknown_version(configuration: Config, connection: Connection) -> None:
    found = MigrationContext.configure(connection).get_current_revision()
    known = {script.revision for script in ScriptDirectory.from_config(configuration).walk_revisions()}
    if found is not None and found not in known:
        problem = "the database was made by a newer version of this program; install that version"
        raise MigrationError(Problem(path="database", value=found, problem=problem))
