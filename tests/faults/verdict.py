"""What must hold when it is over: all that was told is there, everything marked once, the log whole."""

from __future__ import annotations

import json

from sqlalchemy import func, select

from tests.faults.people import Ledger
from tests.faults.program import Program
from trainer.persistence.database import Database
from trainer.persistence.tables.sittings import GradingRow, ItemGradingRow, SavedAnswerRow, SittingRow

_ITEMS = 4


def wrongs(address: str, ledger: Ledger) -> list[str]:
    """Whatever was told and is not so, or was done twice or by half."""
    database = Database(address)
    with database.reading() as session:
        saved = {row.sitting_id: row for row in session.scalars(select(SavedAnswerRow))}
        sittings = {row.id: row for row in session.scalars(select(SittingRow))}
        gradings = {row.sitting_id: row for row in session.scalars(select(GradingRow))}
        often = dict(session.execute(select(GradingRow.sitting_id, func.count()).group_by(GradingRow.sitting_id)).all())
        items = dict(
            session.execute(select(ItemGradingRow.grading_id, func.count()).group_by(ItemGradingRow.grading_id)).all()
        )
    database.close()
    found = [*ledger.wrong]
    for sitting_id, sequence in ledger.saved.items():
        found += _saved(sitting_id, sequence, saved.get(sitting_id))
    for sitting_id in ledger.handed_in:
        if sitting_id not in sittings or sittings[sitting_id].state != "handed_in":
            found.append(f"{sitting_id}: told to be handed in, and is not")
    for each in sittings.values():
        wanted = 1 if each.state == "handed_in" else 0
        if often.get(each.id, 0) != wanted:
            found.append(f"{each.id}: {each.state} with {often.get(each.id, 0)} markings")
        if wanted and items.get(gradings[each.id].id) != _ITEMS:
            found.append(f"{each.id}: marked by half")
        if wanted and each.marks != gradings[each.id].marks:
            found.append(f"{each.id}: has {each.marks} marks, was given {gradings[each.id].marks}")
    return found


def _saved(sitting_id: str, told: int, row: SavedAnswerRow | None) -> list[str]:
    if row is None or row.sequence < told:
        return [f"{sitting_id}: told {told}, kept {row.sequence if row else 'nothing'}"]
    value = json.loads(row.answers_json).get("question", "")
    # A save that was not acknowledged may stand there, but whole: what it says is its number.
    return [] if value.startswith(str(row.sequence)) else [f"{sitting_id}: kept {row.sequence} with {value!r}"]


def chain(program: Program, known: str) -> tuple[str, str]:
    """Verifies the log of who did what against the hash noted before; gives the last one, and what is wrong."""
    done = program.run("audit", "verify", *(["--known", known] if known else []))
    last = done.stdout.strip().rpartition("Last: ")[2]
    return last, "" if done.returncode == 0 else f"audit verify: {done.stdout}{done.stderr}"
