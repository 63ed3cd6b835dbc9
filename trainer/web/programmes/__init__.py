"""The pages of refresher programmes for whoever manages them."""

from __future__ import annotations

from trainer.services.people.words import Role
from trainer.web.access import Access, roles
from trainer.web.programmes import firm, managing
from trainer.web.programmes.blueprint import blueprint

__all__ = ["ACCESS", "blueprint", "firm", "managing"]

_MANAGERS = roles(Role.TRAINING_MANAGER, Role.ADMINISTRATOR)

ACCESS: dict[str, Access] = {
    "programmes.index": _MANAGERS,
    "programmes.new": _MANAGERS,
    "programmes.change": _MANAGERS,
    "programmes.show": _MANAGERS,
    "programmes.start": _MANAGERS,
    "programmes.end": _MANAGERS,
    "programmes.assign": _MANAGERS,
    "programmes.excuse": _MANAGERS,
    "programmes.end_excuse": _MANAGERS,
    "programmes.matrix": _MANAGERS,
    "programmes.gaps": _MANAGERS,
    "programmes.changes": _MANAGERS,
    "programmes.take": _MANAGERS,
    "programmes.evidence": _MANAGERS,
}
