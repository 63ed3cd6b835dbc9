"""The notes: one page for each objective, with examples computed on the spot."""

from __future__ import annotations

from trainer.web.access import PUBLIC
from trainer.web.notes import pages, terms  # noqa: F401 - they register what they have
from trainer.web.notes.blueprint import blueprint

__all__ = ["ACCESS", "blueprint"]

ACCESS = {"notes.index": PUBLIC, "notes.show": PUBLIC}
