"""Mail as the use cases see it: something that takes a message. How it goes out is decided elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True, kw_only=True)
class Mail:
    """A message to one person, in plain text."""

    to: str
    subject: str
    text: str


class MailBox(Protocol):
    """Takes messages."""

    def send(self, mail: Mail) -> None:
        """Sends the message, or keeps it where it can be read."""
