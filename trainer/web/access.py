"""Who may open which page. Every route stands in a table; ``trainer.web.guard`` holds to it.

A package of pages carries its own table ``ACCESS`` beside its blueprint: name of the route to one
of the kinds below. Packages that anybody may see stand in ``OPEN``.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from trainer.services.people.words import Role


class Ask(Enum):
    """What a page asks of the person who opens it."""

    NOTHING = "nothing"
    # Signed in with the password only: the code is still to come.
    HALF = "half"
    # An account, the second factor still to be set up where it must be.
    ACCOUNT = "account"
    SIGNED_IN = "signed in"
    MEMBER = "member"
    OPERATOR = "operator"


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """What a page asks, and of members which roles: one of them is enough."""

    ask: Ask
    roles: frozenset[Role] = frozenset(Role)


PUBLIC = Access(ask=Ask.NOTHING)
HALF = Access(ask=Ask.HALF)
ACCOUNT = Access(ask=Ask.ACCOUNT)
SIGNED_IN = Access(ask=Ask.SIGNED_IN)
MEMBERS = Access(ask=Ask.MEMBER)
OPERATORS = Access(ask=Ask.OPERATOR)


def roles(*any_of: Role) -> Access:
    """Members with at least one of the roles."""
    return Access(ask=Ask.MEMBER, roles=frozenset(any_of))


STAFF = roles(Role.LECTURER, Role.TRAINING_MANAGER, Role.ADMINISTRATOR)
ADMINISTRATORS = roles(Role.ADMINISTRATOR)

# Blueprints whose every page anybody may see; files of our own among them.
OPEN = frozenset(
    {"static", "home", "health", "practice", "progress", "rules", "waveform", "faults", "questions", "style"}
)

# Parts of addresses that name something of an organisation, and as what the wall knows it.
WALLED = {
    f"{kind}_id": kind
    for kind in (
        "appeal",
        "arrangement",
        "assignment",
        "group",
        "job",
        "member",
        "paper",
        "programme",
        "record",
        "site",
        "sitting",
        "trade_role",
    )
}
# Parts of addresses of members' pages that name nothing of an organisation.
FREE = frozenset({"position", "number", "variant", "session_id", "objective_id", "name", "edition", "code", "slot"})
