"""The command ``trainer``. Each subcommand is loaded only when it is called."""

from __future__ import annotations

import sys
from importlib import import_module

import click

import trainer
from trainer.domain.errors import TrainerError

# Name of the command -> where it is. Only the one that is called is imported.
COMMANDS = {
    "agree": "trainer.cli.agree:agree",
    "audit": "trainer.cli.audit:audit",
    "calc": "trainer.cli.calc:calc",
    "check": "trainer.cli.check:check",
    "db": "trainer.cli.db:db",
    "demo": "trainer.cli.demo:demo",
    "flip": "trainer.cli.flip:flip",
    "grade": "trainer.cli.grade:grade",
    "invent": "trainer.cli.invent:invent",
    "jobs": "trainer.cli.jobs:jobs",
    "operator": "trainer.cli.operator:operator",
    "privacy": "trainer.cli.privacy:privacy",
    "programmes": "trainer.cli.programmes:programmes",
    "regrade": "trainer.cli.regrade:regrade",
    "prove": "trainer.cli.prove:command",
    "report": "trainer.cli.report:report",
    "rules": "trainer.cli.rules:rules",
    "scenario": "trainer.cli.scenario:scenario",
    "schema": "trainer.cli.schema:schema",
    "serve": "trainer.cli.serve:serve",
    "sittings": "trainer.cli.sittings:sittings",
    "solve": "trainer.cli.solve:solve",
    "waveform": "trainer.cli.waveform:waveform",
}


class LazyCommands(click.Group):
    """A group that knows its commands by name and imports one when it is needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """The names of all commands."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The command with this name."""
        place = COMMANDS.get(cmd_name)
        if place is None:
            return None
        module, _, attribute = place.partition(":")
        command = getattr(import_module(module), attribute)
        if not isinstance(command, click.Command):
            raise TypeError(f"{place} is not a command: {command!r}")
        return command

    def invoke(self, ctx: click.Context) -> object:
        """Runs the command; an input that cannot be used ends with exit code 2 and no trace."""
        try:
            return super().invoke(ctx)
        except TrainerError as error:
            for problem in error.problems:
                click.echo(f"Error: {problem}", err=True)
            ctx.exit(2)
        except Exception as error:
            words = _from_outside(error)
            if words is None:
                raise
            click.echo(f"Error: {words}", err=True)
            ctx.exit(2)


def _from_outside(error: Exception) -> str | None:
    """Words for what the program cannot help: files and disks of the system, a database that does not answer."""
    if isinstance(error, OSError):
        # Whoever reads the output may stop reading; click knows what to do then.
        gone = isinstance(error, BrokenPipeError) or error.strerror is None
        return None if gone else f"{error.filename or 'this machine'}: {error.strerror}"
    if "sqlalchemy" not in sys.modules:
        return None
    from trainer.persistence.failures import told  # noqa: PLC0415 - the library is loaded only where there is a database

    return told(error)


@click.group(cls=LazyCommands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(trainer.__version__, prog_name="trainer", message="%(prog)s %(version)s")
def main() -> None:
    """Train the choice of protection on invented electrical installations.

    A training aid: not a design, inspection or certification tool.
    """
