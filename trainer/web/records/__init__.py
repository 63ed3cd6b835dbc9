"""Training records: for their holder, for the firm, and for third parties who were given a code."""

from __future__ import annotations

from trainer.services.people.words import Role
from trainer.web.access import MEMBERS, PUBLIC, Access, roles
from trainer.web.records import checking, showing
from trainer.web.records.blueprint import blueprint

__all__ = ["ACCESS", "blueprint", "checking", "showing"]

_MANAGERS = roles(Role.TRAINING_MANAGER, Role.ADMINISTRATOR)

ACCESS: dict[str, Access] = {
    "records.index": _MANAGERS,
    # Whose record it is is asked in the use cases.
    "records.show": MEMBERS,
    "records.ask_pdf": MEMBERS,
    "records.show_name": MEMBERS,
    "records.revoke": _MANAGERS,
    "records.check_form": PUBLIC,
    "records.check": PUBLIC,
}
