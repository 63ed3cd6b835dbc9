"""Finds the folders of scenario data and templates, in a checkout and in an installed package."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

FolderName = Literal["scenarios", "templates"]

_PACKAGE = Path(__file__).resolve().parent


class ResourceMissingError(RuntimeError):
    """A folder that belongs to the program is not where it was installed."""


def folder(name: FolderName) -> Path:
    """The folder ``scenarios`` or ``templates``.

    An installed package carries both inside itself; a checkout, recognised by its
    pyproject.toml, has them beside the package.

    Raises: ResourceMissingError when neither place has the folder.
    """
    bundled = _PACKAGE / "_bundled" / name
    if bundled.is_dir():
        return bundled
    checkout = _PACKAGE.parent
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    raise ResourceMissingError(
        f"the folder {name!r} is missing: looked for {bundled} and, for a checkout, {checkout / name}; "
        "install the package again"
    )
