"""The words of the messages that carry links."""

from __future__ import annotations

from smtplib import SMTPException

from flask import current_app, request, url_for
from flask_babel import gettext

from trainer.services.people.links import Issued
from trainer.services.people.mail import Mail
from trainer.web.wiring import wiring


def link(endpoint: str, issued: Issued) -> str:
    """The full address of a link: under the site's own address where one is set, whatever the request claimed."""
    path = url_for(endpoint, token=issued.token)
    return (wiring().address or request.url_root).rstrip("/") + path


def send_reset(issued: Issued) -> None:
    """Sends the link for a new password."""
    text = gettext(
        "Somebody asked for a new password for your account of the Protection Trainer.\n\n"
        "%(link)s\n\n"
        "The link works once, until %(time)s UTC. If it was not you, do nothing: your password stays as it is.\n",
        link=link("people.reset", issued),
        time=f"{issued.expires_at:%H:%M}",
    )
    _send(issued, gettext("A new password"), text)


def send_invitation(issued: Issued, organisation_name: str) -> bool:
    """Sends an invitation; False where there is no address."""
    text = gettext(
        "%(name)s, you are invited to the Protection Trainer of %(organisation)s.\n\n"
        "%(link)s\n\n"
        "The link works once, until %(time)s UTC; ask for another if it is older.\n",
        name=issued.name,
        organisation=organisation_name,
        link=link("people.invitation", issued),
        time=f"{issued.expires_at:%H:%M}",
    )
    return _send(issued, gettext("Your invitation"), text)


def _send(issued: Issued, subject: str, text: str) -> bool:
    if issued.email is None:
        return False
    try:
        wiring().mail.send(Mail(to=issued.email, subject=subject, text=text))
    except (OSError, SMTPException) as error:
        # Neither the address nor the link: the log is read by people whom neither concerns.
        current_app.logger.warning("a message could not be sent: %s", type(error).__name__)
        return False
    return True


def mail_stays_here() -> bool:
    """True where messages lie on the server and reach nobody by themselves: a site without a mail server."""
    from trainer.interop.mail import ConsoleMail, FolderMail  # noqa: PLC0415 - its libraries take a while to load

    return isinstance(wiring().mail, FolderMail | ConsoleMail)
