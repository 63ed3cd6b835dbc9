"""Papers on paper: asked for on a page, made by the job runner, taken from the page."""

from __future__ import annotations

from trainer.services.people.words import Role
from trainer.web.access import Access, roles
from trainer.web.printing.pages import blueprint

__all__ = ["ACCESS", "blueprint"]

_LECTURERS = roles(Role.LECTURER, Role.ADMINISTRATOR)

ACCESS: dict[str, Access] = {f"printing.{name}": _LECTURERS for name in ("index", "ask", "cancel", "fetch")}
