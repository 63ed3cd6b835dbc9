"""What can be wrong with what people ask for."""

from __future__ import annotations

from trainer.domain.errors import TrainerError


class AccountError(TrainerError):
    """Something about an account that cannot be used as it is."""


class PasswordError(AccountError):
    """A password that is too easy to guess."""


class LinkError(AccountError):
    """A link that was used, is too old, or never was."""


class GroupError(TrainerError):
    """Something about a group that cannot be used as it is."""


class MemberError(TrainerError):
    """Something about a member that cannot be used as it is."""


class OrganisationError(TrainerError):
    """Something about an organisation that cannot be used as it is."""


class RosterError(TrainerError):
    """A roster that cannot be used as a whole."""
