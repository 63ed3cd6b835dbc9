"""Messages in the format of RFC 5322: into a folder, onto the console, or out by SMTP (RFC 5321)."""

from __future__ import annotations

import os
import smtplib
import ssl
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime, make_msgid
from pathlib import Path
from urllib.parse import urlsplit

from trainer.domain.errors import Problem, TrainerError
from trainer.services.people.mail import Mail

_PATIENCE_S = 15
_KINDS = ("folder", "console", "smtp://USER@HOST:PORT", "smtps://USER@HOST:PORT")


class MailAddressError(TrainerError):
    """A way for mail that cannot be used."""


def message(mail: Mail, sender: str, at: datetime) -> EmailMessage:
    """The message as it goes out. Line breaks in a heading are refused by the library, so nothing can be put in."""
    made = EmailMessage(policy=SMTP)
    made["From"] = sender
    made["To"] = mail.to
    made["Subject"] = mail.subject
    made["Date"] = format_datetime(at)
    made["Message-ID"] = make_msgid(domain="trainer.invalid")
    # RFC 3834: nobody's absence note should answer.
    made["Auto-Submitted"] = "auto-generated"
    made.set_content(mail.text)
    return made


@dataclass(frozen=True, slots=True, kw_only=True)
class FolderMail:
    """Keeps each message as a file that only the owner reads: for a site without a mail server."""

    folder: Path
    sender: str
    now: Callable[[], datetime]
    new_id: Callable[[], str]

    def send(self, mail: Mail) -> None:
        """Writes the message into the folder."""
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        at = self.now()
        path = self.folder / f"{at:%Y%m%d-%H%M%S}-{self.new_id()}.eml"
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "wb") as file:
            file.write(message(mail, self.sender, at).as_bytes())


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsoleMail:
    """Writes each message to standard error."""

    sender: str
    now: Callable[[], datetime]

    def send(self, mail: Mail) -> None:
        """Writes the message."""
        sys.stderr.write(message(mail, self.sender, self.now()).as_string() + "\n")
        sys.stderr.flush()


@dataclass(frozen=True, slots=True, kw_only=True)
class SmtpMail:
    """Hands each message to a mail server, always encrypted unless it is this machine."""

    host: str
    port: int
    sender: str
    now: Callable[[], datetime]
    user: str = ""
    password: str = ""
    encrypted_from_start: bool = False

    def __repr__(self) -> str:
        """Names the server, never the password."""
        return f"SmtpMail(host={self.host!r}, port={self.port})"

    def send(self, mail: Mail) -> None:
        """Sends the message."""
        made = message(mail, self.sender, self.now())
        with self._connected() as server:
            if self.user:
                server.login(self.user, self.password)
            server.send_message(made)

    def _connected(self) -> smtplib.SMTP:
        context = ssl.create_default_context()
        if self.encrypted_from_start:
            return smtplib.SMTP_SSL(self.host, self.port, timeout=_PATIENCE_S, context=context)
        server = smtplib.SMTP(self.host, self.port, timeout=_PATIENCE_S)
        if self.host not in {"localhost", "127.0.0.1", "::1"}:
            server.starttls(context=context)
        return server


def mail_box(
    way: str,
    *,
    folder: Path,
    sender: str,
    password: str,
    now: Callable[[], datetime],
    new_id: Callable[[], str],
) -> FolderMail | ConsoleMail | SmtpMail:
    """The way for mail that a setting names. *Raises* MailAddressError."""
    if way == "folder":
        return FolderMail(folder=folder, sender=sender, now=now, new_id=new_id)
    if way == "console":
        return ConsoleMail(sender=sender, now=now)
    try:
        address = urlsplit(way)
        host, port = address.hostname, address.port
    except ValueError:
        host, port, address = None, None, urlsplit("")
    if address.scheme not in {"smtp", "smtps"} or not host or address.password:
        problem = "is no way for mail; the password of a server stands in TRAINER_MAIL_PASSWORD"
        raise MailAddressError(Problem(path="TRAINER_MAIL", problem=problem, possible=_KINDS))
    encrypted = address.scheme == "smtps"
    return SmtpMail(
        host=host,
        port=port or (465 if encrypted else 587),
        sender=sender,
        now=now,
        user=address.username or "",
        password=password,
        encrypted_from_start=encrypted,
    )
