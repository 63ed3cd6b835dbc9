"""The pages of whoever sits a paper: own papers, start, items, review, hand-in, result."""

from __future__ import annotations

from trainer.web.access import MEMBERS, Access
from trainer.web.sittings import ending, papers, working
from trainer.web.sittings.blueprint import blueprint

__all__ = ["ACCESS", "blueprint", "ending", "papers", "working"]

# Whose papers and sittings they are is asked in the use cases: another's looks as if it were not there.
ACCESS: dict[str, Access] = {
    "sittings.index": MEMBERS,
    "sittings.paper": MEMBERS,
    "sittings.start": MEMBERS,
    "sittings.sitting": MEMBERS,
    "sittings.item": MEMBERS,
    "sittings.keep": MEMBERS,
    "sittings.autosave": MEMBERS,
    "sittings.clock": MEMBERS,
    "sittings.rest": MEMBERS,
    "sittings.go_on": MEMBERS,
    "sittings.hand_in": MEMBERS,
    "sittings.result": MEMBERS,
    "sittings.result_item": MEMBERS,
    "sittings.appeal": MEMBERS,
}
