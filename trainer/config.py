"""Settings: where the data lies, which database, which secret. Read from arguments, then the environment."""

from __future__ import annotations

import os
import secrets
import stat
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from platformdirs import user_data_path

from trainer.domain.errors import Problem, TrainerError

DATA = "TRAINER_DATA"
DATABASE_URL = "TRAINER_DATABASE_URL"
SECRET_KEY = "TRAINER_SECRET_KEY"  # noqa: S105 - the name of the variable, not a secret
TRUSTED_PROXIES = "TRAINER_TRUSTED_PROXIES"
ADDRESS = "TRAINER_ADDRESS"
MAIL = "TRAINER_MAIL"
MAIL_FROM = "TRAINER_MAIL_FROM"
MAIL_PASSWORD = "TRAINER_MAIL_PASSWORD"  # noqa: S105 - the name of the variable, not a secret
NEW_TASKS = "TRAINER_NEW_TASKS"
METRICS_TOKEN = "TRAINER_METRICS_TOKEN"  # noqa: S105 - the name of the variable, not a secret

# A class of thirty that takes four short tasks a minute each.
NEW_TASKS_PER_MINUTE = 120
_SECRET_FILE = "secret-key"  # noqa: S105 - the name of the file, not a secret
_SECRET_MINIMUM_CHARACTERS = 32


class SettingsError(TrainerError):
    """A setting that cannot be used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Everything the program must be told before it can serve."""

    data_folder: Path
    database_url: str
    secret_key: str
    trusted_proxies: int = 0
    # Under which the site is known, for links in mail; None takes that of the request.
    address: str | None = None
    mail: str = "folder"
    mail_from: str = "trainer@localhost"
    mail_password: str = ""
    # From one address without an account, or by one account; 0 sets no limit.
    new_tasks_per_minute: int = NEW_TASKS_PER_MINUTE
    # Whoever brings it may read /metrics; None leaves them to this machine itself.
    metrics_token: str | None = None

    def __repr__(self) -> str:
        """Names the places, never the secret or a password in the address."""
        return f"Settings(data_folder={str(self.data_folder)!r})"


def settings_from(environment: Mapping[str, str], *, data_folder: Path | None = None) -> Settings:
    """Settings from an explicit data folder, else from the environment, else the user's data folder.

    Creates the folder, and in it the secret key, if they are not there yet.

    Raises: SettingsError.
    """
    folder = _made(data_folder or _folder_named(environment) or user_data_path("protection-trainer"))
    return Settings(
        data_folder=folder,
        database_url=environment.get(DATABASE_URL) or sqlite_url(folder / "trainer.sqlite3"),
        secret_key=_secret_named(environment) or _secret_kept_in(folder / _SECRET_FILE),
        trusted_proxies=_whole_number(environment, TRUSTED_PROXIES),
        address=_address_named(environment),
        mail=environment.get(MAIL) or "folder",
        mail_from=environment.get(MAIL_FROM) or "trainer@localhost",
        mail_password=environment.get(MAIL_PASSWORD, ""),
        new_tasks_per_minute=_whole_number(environment, NEW_TASKS, NEW_TASKS_PER_MINUTE),
        metrics_token=environment.get(METRICS_TOKEN) or None,
    )


def sqlite_url(path: Path) -> str:
    """The address of an SQLite database in a file."""
    return f"sqlite:///{path.resolve()}"


def _folder_named(environment: Mapping[str, str]) -> Path | None:
    named = environment.get(DATA)
    return Path(named).expanduser() if named else None


def _made(folder: Path) -> Path:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        problem = f"the data folder cannot be made: {error.strerror}; name another with --data or {DATA}"
        raise SettingsError(Problem(path=DATA, value=str(folder), problem=problem)) from error
    return folder


def _address_named(environment: Mapping[str, str]) -> str | None:
    """The address of the site. Mail that leaves the machine must have one: a request may claim any host."""
    named = environment.get(ADDRESS)
    if not named:
        if environment.get(MAIL, "").startswith("smtp"):
            problem = "must be set where mail goes out, so that links in it lead here"
            raise SettingsError(Problem(path=ADDRESS, problem=problem))
        return None
    parts = urlsplit(named)
    if parts.scheme not in {"http", "https"} or not parts.hostname or parts.path.strip("/") or parts.query:
        problem = "must be the address of the site, such as https://trainer.example.org"
        raise SettingsError(Problem(path=ADDRESS, value=named, problem=problem))
    return named.rstrip("/")


def _whole_number(environment: Mapping[str, str], name: str, otherwise: int = 0) -> int:
    text = environment.get(name, str(otherwise))
    if not (text.isascii() and text.isdigit()):
        raise SettingsError(Problem(path=name, value=text, problem="must be a whole number, 0 or more"))
    return int(text)


def _secret_named(environment: Mapping[str, str]) -> str | None:
    secret = environment.get(SECRET_KEY)
    if secret is not None and len(secret) < _SECRET_MINIMUM_CHARACTERS:
        problem = f"needs at least {_SECRET_MINIMUM_CHARACTERS} characters; leave it unset to have one made"
        raise SettingsError(Problem(path=SECRET_KEY, problem=problem))
    return secret


def _secret_kept_in(path: Path) -> str:
    """The secret in the file, made at first start; several processes starting at once agree on one."""
    if not path.exists():
        _write_once(path, secrets.token_urlsafe(48))
    _refuse_if_others_can_read(path)
    secret = path.read_text(encoding="ascii").strip()
    if len(secret) < _SECRET_MINIMUM_CHARACTERS:
        problem = "the secret key in this file is damaged; delete the file to have one made"
        raise SettingsError(Problem(path=str(path), problem=problem))
    return secret


def _write_once(path: Path, text: str) -> None:
    # mkstemp makes the file with mode 0600; a link never replaces a file that another process made first.
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}-")
    draft = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.link(draft, path)
    except FileExistsError:
        pass
    finally:
        draft.unlink()


def _refuse_if_others_can_read(path: Path) -> None:
    if os.name == "posix" and stat.S_IMODE(path.stat().st_mode) & 0o077:
        problem = "others can read this secret: delete the file to have a new one made; all sessions end"
        raise SettingsError(Problem(path=str(path), problem=problem))
