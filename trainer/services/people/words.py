"""The closed lists of this subject; values are stored and never renamed."""

from __future__ import annotations

from enum import StrEnum


class OrganisationKind(StrEnum):
    """What an organisation is."""

    COLLEGE = "college"
    FIRM = "firm"


class Role(StrEnum):
    """What a member may be in an organisation; one person may be several."""

    LEARNER = "learner"
    LECTURER = "lecturer"
    TRAINING_MANAGER = "training_manager"
    ADMINISTRATOR = "administrator"


class MemberState(StrEnum):
    """Where a membership stands."""

    INVITED = "invited"
    ACTIVE = "active"
    ENDED = "ended"


class GroupPart(StrEnum):
    """What a member does in a group."""

    LEARNS = "learns"
    TEACHES = "teaches"


class TokenPurpose(StrEnum):
    """What a link with a single-use token is good for."""

    INVITATION = "invitation"
    RESET = "reset"


class FirstStep(StrEnum):
    """What somebody new to an organisation does first; shown, never stored."""

    GROUP = "group"
    LEARNERS = "learners"
    PAPER = "paper"
    PEOPLE = "people"
    PROGRAMME = "programme"
    STAFF = "staff"
    SECOND_FACTOR = "second_factor"
