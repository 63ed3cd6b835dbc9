"""Every route answers whatever is sent with words, never with a failure, a trace or a way out of the site."""

from __future__ import annotations

import logging
import os
import time
from itertools import islice
from pathlib import Path

import click
import pytest
from sqlalchemy import delete

from tests.security.fuzz import Caught, Request, faults, requests
from tests.security.world import World, copied
from trainer.persistence.tables.operation import RateCountRow

# The whole run sends 96,000, at least 300 to each; it takes over half an hour and is asked for by TRAINER_FUZZ=all.
# With what commands take that is over 100,000. It falls into parts, so that it goes on where it was stopped: -k part-3.
WHOLE = os.environ.get("TRAINER_FUZZ") == "all"
MANY, LEAST, SOME, FEW = 96_000, 300, 40, 2
PARTS = 12 if WHOLE else 1
# Limits would otherwise answer most of what is sent.
_CLEARED_EVERY = 20


def run(world: World, folder: Path, endpoint: str, method: str, times: int, seed: int = 0) -> list[str]:
    """Sends requests to one route over a copy of the world; gives what went wrong."""
    app, database = copied(world, folder)
    caught = Caught()
    app.logger.addHandler(caught)
    app.logger.propagate = False
    wrong: list[str] = []
    for number, request in enumerate(islice(requests(app, world, endpoint, method, seed), times)):
        if number % _CLEARED_EVERY == 0:
            with database.writing() as session:
                session.execute(delete(RateCountRow))
        wrong += _judged(request, app, world, caught)
    app.logger.removeHandler(caught)
    database.close()
    return wrong


def _judged(request: Request, app, world: World, caught: Caught) -> list[str]:
    caught.found.clear()
    answer = request.send(app, world)
    bad = faults(answer)
    return [f"{bad} {caught.found} {request}"[:1500]] if bad else []


def routes(world: World, folder: Path) -> list[tuple[str, str]]:
    app, database = copied(world, folder)
    database.close()
    safe = {"HEAD", "OPTIONS"}
    return sorted(
        (rule.endpoint, method) for rule in app.url_map.iter_rules() for method in (rule.methods or set()) - safe
    )


@pytest.mark.parametrize("part", range(PARTS), ids="part-{}".format)
def test_no_route_fails_whatever_is_sent(
    part: int, world: World, tmp_path: Path, request: pytest.FixtureRequest, caplog: pytest.LogCaptureFixture
) -> None:
    few = SOME if request.config.getoption("--slow") else FEW
    caplog.set_level(logging.CRITICAL, "trainer")
    every = routes(world, tmp_path)[part::PARTS]
    took, wrong = [], []
    for endpoint, method in every:
        began = time.monotonic()
        wrong += run(world, tmp_path / "copy", endpoint, method, LEAST if WHOLE else few)[:3]
        took.append((time.monotonic() - began, endpoint, method))
    sent = len(every) * (LEAST if WHOLE else few)
    if WHOLE:
        # What is left goes to the quick half: a page that draws a house for each request has had its least number.
        quick = sorted(took)[: -(-len(took) // 2)]
        more = -(-(MANY // PARTS - sent) // len(quick))
        for _, endpoint, method in quick:
            wrong += run(world, tmp_path / "copy", endpoint, method, more, seed=1)[:3]
            sent += more
        click.echo(f"part {part}: {sent} requests to {len(every)} routes, {len(wrong)} wrong")
    assert wrong == []
    assert sent >= (MANY // PARTS if WHOLE else few * len(every))
