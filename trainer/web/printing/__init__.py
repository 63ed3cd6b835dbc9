"""Papers on paper: asked for on a page, made by the job runner, taken from the page; and what was ticked, entered."""

from __future__ import annotations

from trainer.services.people.words import Role
from trainer.web.access import Access, roles
from trainer.web.printing import entering, pages
from trainer.web.printing.blueprint import blueprint

__all__ = ["ACCESS", "blueprint", "entering", "pages"]

_LECTURERS = roles(Role.LECTURER, Role.ADMINISTRATOR)

ACCESS: dict[str, Access] = {
    f"printing.{name}": _LECTURERS
    for name in ("index", "ask", "cancel", "fetch", "entries", "enter", "check_entry", "drop_entry")
}
