"""The pages of an organisation for its staff: people, groups, rosters, settings, the log."""

from __future__ import annotations

from trainer.services.people.words import Role
from trainer.web.access import ADMINISTRATORS, STAFF, Access, roles
from trainer.web.organisation import groups, people, roster, settings
from trainer.web.organisation.blueprint import blueprint

__all__ = ["ACCESS", "blueprint", "groups", "people", "roster", "settings"]

_PEOPLE = roles(Role.ADMINISTRATOR, Role.TRAINING_MANAGER)

ACCESS: dict[str, Access] = {
    "organisation.people": _PEOPLE,
    "organisation.new_member": _PEOPLE,
    "organisation.member": _PEOPLE,
    "organisation.invite": _PEOPLE,
    "organisation.reset_by_hand": _PEOPLE,
    "organisation.end_member": _PEOPLE,
    "organisation.sign_out_member": _PEOPLE,
    "organisation.take_factor": ADMINISTRATORS,
    "organisation.take_back": _PEOPLE,
    "organisation.groups": STAFF,
    "organisation.group": STAFF,
    "organisation.rename_group": STAFF,
    "organisation.archive_group": STAFF,
    "organisation.new_code": STAFF,
    "organisation.end_code": STAFF,
    "organisation.show_code": STAFF,
    "organisation.invite_group": STAFF,
    "organisation.put_member": STAFF,
    "organisation.take_out": STAFF,
    "organisation.roster": STAFF,
    "organisation.roster_preview": STAFF,
    "organisation.take_roster": STAFF,
    "organisation.drop_roster": STAFF,
    "organisation.settings": ADMINISTRATORS,
    "organisation.add_place": ADMINISTRATORS,
    "organisation.log": ADMINISTRATORS,
}
