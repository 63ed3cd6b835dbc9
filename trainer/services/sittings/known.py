"""What was read of stored tasks, kept for a while: tasks never change, so losing or keeping it changes no answer."""

from __future__ import annotations

from dataclasses import dataclass, field

from trainer.domain.tasks import Task
from trainer.services.latest import Latest
from trainer.services.sittings.records import Answerable

# A whole house is some hundred kB as objects, what it asks a few kB: a worker stays within some 30 MB. The variants of
# a paper for a large college have about a hundred tasks.
_TASKS, _ANSWERABLE, _ITEMS = 128, 2048, 8192


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """Tasks, and what they ask."""

    tasks: Latest[Task] = field(default_factory=lambda: Latest(_TASKS))
    # The hash of the content of an item, by whose sitting it is in: an item stays what was delivered.
    items: Latest[str] = field(default_factory=lambda: Latest(_ITEMS))
    answerable: Latest[Answerable] = field(default_factory=lambda: Latest(_ANSWERABLE))
