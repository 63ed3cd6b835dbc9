"""Every route answers whatever is sent with words, never with a failure, a trace or a way out of the site."""

from __future__ import annotations

import logging
import os
import time
from itertools import islice
from pathlib import Path

import pytest
from sqlalchemy import delete

from tests.security.fuzz import Caught, Request, faults, requests
from tests.security.world import World, copied
from trainer.persistence.tables.operation import RateCountRow

# The whole run sends 96,000, at least 300 to each; it takes over half an hour and is asked for by TRAINER_FUZZ=all.
# With what commands take that is over 100,000. The slow run sends fewer.
MANY, LEAST, SOME, FEW = 96_000, 300, 40, 2
# Limits would otherwise answer most of what is sent.
_CLEARED_EVERY = 20
_PATIENCE_S = 20


def run(world: World, folder: Path, endpoint: str, method: str, times: int, seed: int = 0) -> tuple[int, list[str]]:
    """Sends requests to one route over a copy of the world; gives their number and what went wrong."""
    app, database = copied(world, folder)
    caught = Caught()
    app.logger.addHandler(caught)
    app.logger.propagate = False
    wrong: list[str] = []
    sent = 0
    began = time.monotonic()
    for request in islice(requests(app, world, endpoint, method, seed), times):
        if sent >= LEAST and time.monotonic() - began > _PATIENCE_S:
            # A page that draws a house anew for each request has had its least number.
            break
        if sent % _CLEARED_EVERY == 0:
            with database.writing() as session:
                session.execute(delete(RateCountRow))
        wrong += _judged(request, app, world, caught)
        sent += 1
    app.logger.removeHandler(caught)
    database.close()
    return sent, wrong


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


def test_no_route_fails_whatever_is_sent(
    world: World, tmp_path: Path, request: pytest.FixtureRequest, caplog: pytest.LogCaptureFixture
) -> None:
    whole = os.environ.get("TRAINER_FUZZ") == "all"
    few = SOME if request.config.getoption("--slow") else FEW
    caplog.set_level(logging.CRITICAL, "trainer")
    every = routes(world, tmp_path)
    share = max(LEAST, -(-MANY // len(every)))
    total, wrong, left = 0, [], 0
    for endpoint, method in every:
        # What slow pages could not take is sent to the quick ones.
        times = share + left if whole else few
        sent, bad = run(world, tmp_path / "copy", endpoint, method, times)
        left = times - sent if whole else 0
        total += sent
        wrong += bad[:3]
    assert wrong == []
    assert total >= (MANY if whole else few * len(every))
