"""Messages, and the ways they go."""

from __future__ import annotations

import socket
import stat
import threading
from datetime import UTC, datetime
from email import message_from_bytes
from email.policy import default
from pathlib import Path

import pytest

from trainer.interop.mail import FolderMail, MailAddressError, SmtpMail, mail_box, message
from trainer.services.people.mail import Mail

AT = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)
MAIL = Mail(to="ann@example.org", subject="Grüße", text="A link:\n\nhttps://trainer.example.org/x\n")


def now() -> datetime:
    return AT


def box(way: str, folder: Path):
    return mail_box(way, folder=folder, sender="t@example.org", password="secret", now=now, new_id=lambda: "id")


def test_a_message_is_read_back_by_the_standard_library() -> None:
    read = message_from_bytes(message(MAIL, "trainer@example.org", AT).as_bytes(), policy=default)
    assert (read["To"], read["From"], read["Subject"]) == ("ann@example.org", "trainer@example.org", "Grüße")
    assert read["Date"].datetime == AT
    assert read.get_content().replace("\r\n", "\n") == MAIL.text


def test_a_line_break_in_a_heading_puts_nothing_in() -> None:
    with pytest.raises(ValueError, match=r"linefeed|newline|carriage"):
        message(Mail(to="a@example.org\nBcc: b@example.org", subject="x", text=""), "t@example.org", AT)


def test_a_site_without_a_mail_server_keeps_messages_where_only_the_owner_reads_them(tmp_path: Path) -> None:
    kept = box("folder", tmp_path / "mail")
    assert isinstance(kept, FolderMail)
    kept.send(MAIL)
    file = next((tmp_path / "mail").glob("*.eml"))
    assert b"https://trainer.example.org/x" in file.read_bytes()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_the_console_shows_the_message(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    box("console", tmp_path).send(MAIL)
    assert "https://trainer.example.org/x" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("way", "port", "encrypted"),
    [("smtp://u@mail.example.org", 587, False), ("smtps://mail.example.org", 465, True), ("smtp://h:25", 25, False)],
)
def test_a_mail_server_is_named_by_its_address(tmp_path: Path, way: str, port: int, *, encrypted: bool) -> None:
    made = box(way, tmp_path)
    assert isinstance(made, SmtpMail)
    assert (made.port, made.encrypted_from_start) == (port, encrypted)
    assert "secret" not in repr(made)


@pytest.mark.parametrize("way", ["post", "http://mail.example.org", "smtp://", "smtp://u:pass@h", "smtp://h:x"])
def test_another_way_is_refused(tmp_path: Path, way: str) -> None:
    with pytest.raises(MailAddressError, match="no way for mail"):
        box(way, tmp_path)


def test_a_server_gets_the_message_as_rfc_5321_says(tmp_path: Path) -> None:
    """A few lines of server on this machine: it answers as RFC 5321 asks and keeps what it was told."""
    heard: list[str] = []
    with socket.create_server(("127.0.0.1", 0)) as listener:
        server = threading.Thread(target=_serve, args=(listener, heard))
        server.start()
        box(f"smtp://127.0.0.1:{listener.getsockname()[1]}", tmp_path).send(MAIL)
        server.join()
    # Commands may come in any case (RFC 5321, 2.4).
    commands = " ".join(heard).upper()
    assert "MAIL FROM:<T@EXAMPLE.ORG>" in commands
    assert "RCPT TO:<ANN@EXAMPLE.ORG>" in commands
    assert "https://trainer.example.org/x" in heard


def _serve(listener: socket.socket, heard: list[str]) -> None:
    connection, _ = listener.accept()
    with connection, connection.makefile("rw", newline="\r\n", encoding="utf-8") as lines:
        _say(lines, "220 here")
        in_data = False
        for line in lines:
            text = line.rstrip("\r\n")
            heard.append(text)
            if in_data:
                in_data = text != "."
                if not in_data:
                    _say(lines, "250 kept")
            elif text.upper() == "DATA":
                in_data = True
                _say(lines, "354 go on")
            elif text.upper() == "QUIT":
                _say(lines, "221 bye")
                return
            else:
                _say(lines, "250 ok")


def _say(lines, text: str) -> None:
    lines.write(text + "\r\n")
    lines.flush()
