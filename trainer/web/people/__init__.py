"""Accounts: signing in and out, the second factor, links, joining a group, a person's own account."""

from __future__ import annotations

from trainer.web.access import ACCOUNT, HALF, PUBLIC, Access
from trainer.web.people import account, entry, links
from trainer.web.people.blueprint import blueprint

__all__ = ["ACCESS", "account", "blueprint", "entry", "links"]

ACCESS: dict[str, Access] = {
    "people.sign_in": PUBLIC,
    "people.new_account": PUBLIC,
    "people.join": PUBLIC,
    "people.forgotten": PUBLIC,
    "people.reset": PUBLIC,
    "people.invitation": PUBLIC,
    "people.code": HALF,
    "people.sign_out": HALF,
    "people.account": ACCOUNT,
    "people.password": ACCOUNT,
    "people.second_factor": ACCOUNT,
    "people.remove_second_factor": ACCOUNT,
    "people.new_paper_codes": ACCOUNT,
    "people.end_session": ACCOUNT,
    "people.end_other_sessions": ACCOUNT,
    "people.work_in": ACCOUNT,
    "people.keep_practice": ACCOUNT,
}
