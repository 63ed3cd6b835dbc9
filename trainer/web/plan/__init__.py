"""A learner's plan: what to take, sets of tasks, the record, a copy of everything, deletion."""

from __future__ import annotations

from trainer.web.access import PUBLIC
from trainer.web.plan import data, pages, taking  # noqa: F401 - they register what they have
from trainer.web.plan.blueprint import blueprint

__all__ = ["ACCESS", "blueprint"]

ACCESS = {
    f"plan.{name}": PUBLIC
    for name in ("show", "take", "take_next", "leave_set", "history", "shortcuts", "data", "copy", "erase")
}
