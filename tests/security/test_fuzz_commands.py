"""Every command answers whatever it is called with: with a result, or with words and exit code 1 or 2; never a trace.

Commands that go on until they are stopped are read by the parser only; those that draw many houses get
few of them.
"""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner

from tests.security.fuzz import NASTY
from trainer.cli.main import COMMANDS, main

MANY, SOME, FEW = 300, 10, 2
"""How often each is called: with TRAINER_FUZZ=all, in the slow run, and else."""
# They serve, or start processes of their own: only what they are told is tried.
PARSED_ONLY = {
    ("demo",),
    ("invent",),
    ("serve",),
    ("jobs", "run"),
    ("prove",),
    ("report", "coverage"),
    ("report", "difficulty"),
}
# Draw a house for each seed.
SEEDS = ("0:1", "3:4", "5:5", "9:1", "-1:1", "a:b", "1", ":", "0:1:2", "0x1:2", "", "1.5:2", "٣:٤", "1e3:2")
WORDS = ("zs", "RCD-01", "choose", "question", "type_b", "pv_inverter", "A4:2026", "30", "2.5", "text", "json")
SAMPLES = (b"", b"{}", b"[]", b"\xff", b"a = 1\n", b'{"format": "protection-trainer/installation"}', b"\0", b"[" * 5000)


def commands(command: click.Command, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """All commands below, with their names from the top."""
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            below = command.get_command(context, name)
            assert below is not None
            yield from commands(below, (*path, name))
    else:
        yield path, command


EVERY = sorted(commands(main), key=lambda each: each[0])


def arguments(chance: random.Random, command: click.Command, folder: Path) -> list[str]:
    """Options and arguments of the command, some of them, with values that fit or do not."""
    line: list[str] = []
    for parameter in command.params:
        if isinstance(parameter, click.Option) and chance.random() < 0.4:
            line.append(chance.choice(parameter.opts))
            line += [] if parameter.is_flag else [_value(chance, parameter, folder) for _ in range(parameter.nargs)]
        elif isinstance(parameter, click.Argument) and chance.random() < 0.8:
            line.append(_value(chance, parameter, folder))
    if any("--data" in parameter.opts for parameter in command.params) and "--data" not in line:
        line += ["--data", str(folder / "data")]
    if any("--seeds" in parameter.opts for parameter in command.params) and "--seeds" not in line:
        line += ["--seeds", "0:1"]
    return line if chance.random() < 0.95 else [*line, chance.choice(("--no-such", "-x", "--", MARK))]


MARK = "surplus"


def _value(chance: random.Random, parameter: click.Parameter, folder: Path) -> str:
    if "--data" in parameter.opts:
        return str(folder / "data")
    if "--seeds" in parameter.opts:
        return chance.choice(SEEDS)
    if "--out" in parameter.opts or isinstance(parameter.type, click.Path):
        return str(folder / chance.choice(("out", "no/such/out", "sample-0")))
    if isinstance(parameter.type, click.Choice) and chance.random() < 0.7:
        return str(chance.choice(list(parameter.type.choices)))
    if isinstance(parameter, click.Argument) and chance.random() < 0.5:
        return str(folder / f"sample-{chance.randrange(len(SAMPLES))}")
    # The shell itself cannot hand over the character zero.
    return chance.choice((*WORDS, *NASTY)).replace("\0", "")


@pytest.mark.parametrize(("path", "command"), EVERY, ids=lambda each: " ".join(each) if isinstance(each, tuple) else "")
def test_no_command_fails_whatever_it_is_called_with(
    path: tuple[str, ...], command: click.Command, tmp_path: Path, request: pytest.FixtureRequest,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    for number, content in enumerate(SAMPLES):
        (tmp_path / f"sample-{number}").write_bytes(content)
    chance = random.Random(" ".join(path))
    some = SOME if request.config.getoption("--slow") else FEW
    times = MANY if os.environ.get("TRAINER_FUZZ") == "all" else some
    wrong = [told for _ in range(times) if (told := _tried(path, command, arguments(chance, command, tmp_path)))]
    assert wrong[:3] == []


def _tried(path: tuple[str, ...], command: click.Command, line: list[str]) -> str:
    """What is wrong with the answer, or nothing."""
    if path in PARSED_ONLY:
        return _parsed(command, line)
    answer: Any = CliRunner().invoke(main, [*path, *line], input="")
    failed = answer.exception is not None and not isinstance(answer.exception, SystemExit)
    if failed or answer.exit_code not in {0, 1, 2} or "Traceback" in answer.output:
        return f"{path} {line}: {answer.exit_code} {answer.exception!r}"[:800]
    return ""


def _parsed(command: click.Command, line: list[str]) -> str:
    try:
        command.make_context("x", list(line))
    except (click.ClickException, click.exceptions.Exit):
        return ""
    except Exception as error:  # noqa: BLE001 - whatever else comes out is what is looked for
        return f"{line}: {error!r}"[:800]
    return ""


def test_every_command_is_tried() -> None:
    assert {path[0] for path, _ in EVERY} == set(COMMANDS)
