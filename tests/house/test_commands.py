"""The table of commands."""

from __future__ import annotations

import subprocess
import sys

import click
import pytest
from click.testing import CliRunner

import trainer
from trainer.cli.main import COMMANDS, main


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_listed_command_loads_under_its_name_and_explains_itself(name: str) -> None:
    command = main.get_command(click.Context(main), name)
    assert command is not None
    assert command.name == name
    assert command.help


def test_asking_for_the_version_loads_no_library_that_a_command_needs() -> None:
    heavy = {"alembic", "flask", "numpy", "sqlalchemy"}
    program = f"import sys, trainer.cli.main; print(sorted({heavy} & set(sys.modules)))"
    answer = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True)
    assert answer.stdout.strip() == "[]"


def test_the_version_is_told() -> None:
    answer = CliRunner().invoke(main, ["--version"])
    assert answer.output == f"trainer {trainer.__version__}\n"


def test_an_unknown_command_is_wrong_use() -> None:
    answer = CliRunner().invoke(main, ["no-such-command"])
    assert answer.exit_code == 2
    assert "No such command" in answer.stderr
    assert answer.stdout == ""
