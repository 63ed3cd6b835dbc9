"""Years of practice of one learner, put together from histories of the pattern."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from trainer.cli.inventing.crowd import sheaves
from trainer.cli.inventing.crowd.copier import Copier
from trainer.cli.inventing.crowd.pattern import Pattern
from trainer.cli.inventing.crowd.practised import DAYS
from trainer.cli.inventing.crowd.rows import Rows
from trainer.cli.inventing.crowd.sheaves import Sheaf

_BETWEEN = timedelta(days=DAYS + 1)
_LAST_DAYS_AGO = 25.0


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """A history, and the cards and sums that it left."""

    learner_id: str
    sheaf: Sheaf
    cards: Rows
    standings: Rows


def histories_of(pattern: Pattern) -> tuple[History, ...]:
    """All histories of the pattern."""
    return tuple(
        History(
            learner_id=each,
            sheaf=sheaves.history(pattern, each),
            cards=pattern.rows["schedule_card"].where("learner_id", {each}),
            standings=pattern.rows["objective_standing"].where("learner_id", {each}),
        )
        for each in pattern.histories
    )


def practise(copier: Copier, histories: Sequence[History], learner_id: str, number: int) -> None:
    """Gives a learner that many histories, one after the other, the newest in the last weeks."""
    cards: dict[str, dict[str, Any]] = {}
    sums: dict[str, dict[str, Any]] = {}
    shift = -timedelta(days=copier.draws.uniform(0, _LAST_DAYS_AGO))
    for _ in range(number):
        history = copier.draws.choice(histories)
        copier.copy(history.sheaf, {history.learner_id: learner_id}, shift)
        _remember(history.cards, cards, shift, _card)
        _remember(history.standings, sums, shift, _sum)
        shift -= _BETWEEN
    for name, found in (("schedule_card", cards), ("objective_standing", sums)):
        for each in found.values():
            copier.add(name, **{**each, "learner_id": learner_id})


def _remember(rows: Rows, found: dict[str, dict[str, Any]], shift: timedelta, added: Any) -> None:
    for row in rows:
        older = dict(zip(rows.columns, row, strict=True))
        name = older["objective_id"]
        found[name] = added(found.get(name), older, shift)


def _card(newer: dict[str, Any] | None, older: dict[str, Any], shift: timedelta) -> dict[str, Any]:
    """The newest card with the reviews of all."""
    if newer is not None:
        return {**newer, "reviews": newer["reviews"] + older["reviews"]}
    state = json.loads(older["state_json"])
    for name in ("due", "last_review"):
        state[name] = (datetime.fromisoformat(state[name]) + shift).isoformat()
    moved = {name: value + shift if isinstance(value, datetime) else value for name, value in older.items()}
    return {**moved, "state_json": json.dumps(state, sort_keys=True)}


def _sum(newer: dict[str, Any] | None, older: dict[str, Any], shift: timedelta) -> dict[str, Any]:
    """What both earned."""
    if newer is None:
        return {**older, "last_at": older["last_at"] + shift}
    return {**newer, **{name: newer[name] + older[name] for name in ("decisions", "marks", "marks_available")}}
