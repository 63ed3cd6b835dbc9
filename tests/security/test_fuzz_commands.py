"""Every command answers whatever it is called with: with a result, or with words and exit code 1 or 2; never a trace.

Commands that go on until they are stopped are read by the parser only; those that draw many houses get
few of them. Files are whole ones and spoiled ones; half of the commands on data find a site with people and papers.
"""

from __future__ import annotations

import os
import random
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner

from tests.security.command_lines import GOOD
from tests.security.fuzz import NASTY
from tests.security.fuzz_files import whole, written
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
NUMBERS = ("30", "2.5", "0.35", "0", "-1", "1e9", "6+2.5", "10:20", "pv=3.6", "32:B", "2.5/1.5", "70")


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


def arguments(chance: random.Random, name: str, command: click.Command, folder: Path) -> list[str]:
    """Options and arguments of the command, some of them, with values that fit or do not."""
    if name in GOOD and chance.random() < 0.6:
        return _spoiled(chance, GOOD[name], command, folder)
    line: list[str] = []
    often = chance.choice((0.2, 0.5, 0.95))
    for parameter in command.params:
        if isinstance(parameter, click.Option) and chance.random() < often:
            line.append(chance.choice(parameter.opts))
            line += [] if parameter.is_flag else [_value(chance, parameter, folder) for _ in range(parameter.nargs)]
        elif isinstance(parameter, click.Argument) and chance.random() < 0.9:
            line.append(_value(chance, parameter, folder))
    if any("--data" in parameter.opts for parameter in command.params) and "--data" not in line:
        line += ["--data", str(folder / "data")]
    if any("--seeds" in parameter.opts for parameter in command.params) and "--seeds" not in line:
        line += ["--seeds", "0:1"]
    return line if chance.random() < 0.95 else [*line, chance.choice(("--no-such", "-x", "--", MARK))]


def _spoiled(chance: random.Random, good: tuple[str, ...], command: click.Command, folder: Path) -> list[str]:
    """A line that is understood, as it is or with one or two words changed."""
    line = shlex.split(chance.choice(good))
    # What writes files gets no address outside of its folder.
    odd = [each.replace("\0", "") for each in NASTY if not (_is_on_data(command) and "/" in each)]
    for _ in range(chance.choice((0, 0, 1, 1, 2)) if line else 0):
        place = chance.randrange(len(line))
        if not line[place].startswith("--"):
            line[place] = chance.choice((line[place][:-1], *NUMBERS, *odd))
    read = {word: written(chance, folder / f"{word[1:]}.input", word) for word in line if word in whole()}
    data = ["--data", str(folder / "data")] if _is_on_data(command) else []
    return [*(read.get(word, word) for word in line), *data]


MARK = "surplus"


def _value(chance: random.Random, parameter: click.Parameter, folder: Path) -> str:
    if "--data" in parameter.opts:
        return str(folder / "data")
    if "--seeds" in parameter.opts:
        return chance.choice(SEEDS)
    if "--out" in parameter.opts or isinstance(parameter.type, click.Path):
        return chance.choice((str(folder / "out"), str(folder / "no/such/out"), written(chance, folder / "input")))
    if isinstance(parameter, click.Argument) and chance.random() < 0.7:
        return written(chance, folder / f"{parameter.name}.input")
    return _word(chance, parameter)


def _word(chance: random.Random, parameter: click.Parameter) -> str:
    if isinstance(parameter.type, click.Choice) and chance.random() < 0.8:
        return str(chance.choice(list(parameter.type.choices)))
    if chance.random() < 0.4:
        return chance.choice(NUMBERS)
    # The shell itself cannot hand over the character zero.
    return chance.choice((*WORDS, *NASTY)).replace("\0", "")


@pytest.mark.parametrize(("path", "command"), EVERY, ids=lambda each: " ".join(each) if isinstance(each, tuple) else "")
def test_no_command_fails_whatever_it_is_called_with(
    path: tuple[str, ...], command: click.Command, tmp_path: Path, request: pytest.FixtureRequest,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    chance = random.Random(" ".join(path))
    some = SOME if request.config.getoption("--slow") else FEW
    times = MANY if os.environ.get("TRAINER_FUZZ") == "all" else some
    furnished = request.getfixturevalue("world").file if times > FEW and _is_on_data(command) else None
    wrong = []
    for number in range(times):
        if furnished and number in {times // 2, 3 * times // 4}:
            _put(furnished, tmp_path / "data")
        line = arguments(chance, " ".join(path), command, tmp_path)
        wrong += [told for told in [_tried(path, command, line)] if told]
    assert wrong[:3] == []


def _is_on_data(command: click.Command) -> bool:
    return any("--data" in parameter.opts for parameter in command.params)


def _put(file: Path, folder: Path) -> None:
    """A site with two organisations, as the one before may have been erased."""
    folder.mkdir(mode=0o700, exist_ok=True)
    for leftover in folder.glob("trainer.sqlite3*"):
        leftover.unlink()
    shutil.copyfile(file, folder / "trainer.sqlite3")


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
