"""For contributors: writes the migration that a change of the models needs.

``python -m trainer.persistence.new_migration "what changes"``; read what it wrote before you commit it.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from alembic import command
from alembic.script import ScriptDirectory

from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.schema import alembic_configuration, upgrade


def write(message: str) -> None:
    """Compares the models with a database made by the migrations so far and writes the difference."""
    configuration = alembic_configuration()
    number = len(list(ScriptDirectory.from_config(configuration).walk_revisions())) + 1
    with tempfile.TemporaryDirectory() as folder:
        database = Database(sqlite_url(Path(folder) / "compare.sqlite3"))
        upgrade(database)
        with database.migrating() as connection:
            configuration.attributes["connection"] = connection
            command.revision(configuration, message, autogenerate=True, rev_id=f"{number:04d}")
        database.close()


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit('usage: python -m trainer.persistence.new_migration "what changes"')
    write(sys.argv[1])
