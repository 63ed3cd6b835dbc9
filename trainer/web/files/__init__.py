"""Files that the job runner makes: asked for on a page, watched and taken here."""

from __future__ import annotations

from trainer.web.access import MEMBERS, OPERATORS, PUBLIC, Access
from trainer.web.files import pages, results_pages, work
from trainer.web.files.blueprint import blueprint

__all__ = ["ACCESS", "blueprint", "pages", "results_pages", "work"]

ACCESS: dict[str, Access] = {
    # Whose file it is, and whether its kind is for a role of theirs, is asked in the pages.
    "files.index": MEMBERS,
    "files.cancel": MEMBERS,
    "files.fetch": MEMBERS,
    "files.work": OPERATORS,
    # Also for those who practise without an account; each sees only their own.
    "files.results": PUBLIC,
    "files.ask_results": PUBLIC,
    "files.fetch_results": PUBLIC,
}
