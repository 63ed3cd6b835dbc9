"""What every template can use: addresses of our own files, the navigation, the versions in force."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from flask import Flask, current_app, g, request, url_for
from flask_babel import LazyString, get_locale, get_translations, gettext, lazy_gettext

import trainer
from trainer.domain.vocabulary import DEFAULT_EDITION
from trainer.explain.caution import caution_paragraphs
from trainer.services.people.words import OrganisationKind, Role
from trainer.web.present import present_here, present_owner

if TYPE_CHECKING:
    from trainer.services.people.here import Here
    from trainer.services.people.records import Standing

# Set on a page that tells of a failure: nothing is asked of the database then, which may be what failed.
FAILED = "trainer_failed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """Who reads a page: the account that gave all its factors, and the member who works in an organisation now."""

    owner: Standing | None
    member: Here | None

    def is_any(self, *roles: Role) -> bool:
        """True for a member with one of the roles."""
        return self.member is not None and self.member.is_any(*roles)

    @property
    def is_of_a_firm(self) -> bool:
        """True for a member of a firm."""
        return self.member is not None and self.member.organisation.kind is OrganisationKind.FIRM


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """An entry of the navigation; ``shown`` says to whom, if not to everybody."""

    endpoint: str
    label: LazyString
    shown: Callable[[Reader], bool] | None = None

    def is_for(self, reader: Reader | None) -> bool:
        """True for whom it is meant; nobody is known on a page that tells of a failure."""
        return self.shown is None or (reader is not None and self.shown(reader))


def _to_visitors(reader: Reader) -> bool:
    return reader.owner is None


def _to_owners(reader: Reader) -> bool:
    return reader.owner is not None


def _to_lecturers(reader: Reader) -> bool:
    return reader.is_any(Role.LECTURER, Role.ADMINISTRATOR)


def _to_staff(reader: Reader) -> bool:
    return reader.member is not None and reader.member.is_staff


def _to_operators(reader: Reader) -> bool:
    return reader.owner is not None and reader.owner.person.is_operator


def _to_learners(reader: Reader) -> bool:
    return reader.is_any(Role.LEARNER)


def _to_firms(reader: Reader) -> bool:
    return reader.is_of_a_firm


def _to_training_managers(reader: Reader) -> bool:
    return reader.is_any(Role.TRAINING_MANAGER) or (reader.is_of_a_firm and reader.is_any(Role.ADMINISTRATOR))


# An entry is shown when its page is part of the application.
PLACES = (
    Place(endpoint="practice.start", label=lazy_gettext("Practise")),
    Place(endpoint="notes.index", label=lazy_gettext("Notes")),
    Place(endpoint="sittings.index", label=lazy_gettext("My papers"), shown=_to_learners),
    Place(endpoint="progress.show", label=lazy_gettext("Progress")),
    Place(endpoint="waveform.show", label=lazy_gettext("Waveform")),
    Place(endpoint="rules.index", label=lazy_gettext("Rules")),
    Place(endpoint="trying.show", label=lazy_gettext("Try a value")),
    Place(endpoint="home.about", label=lazy_gettext("About")),
    Place(endpoint="papers.index", label=lazy_gettext("Papers"), shown=_to_lecturers),
    Place(endpoint="organisation.groups", label=lazy_gettext("Groups"), shown=_to_staff),
    Place(endpoint="operator.organisations", label=lazy_gettext("Organisations"), shown=_to_operators),
    Place(endpoint="refreshers.mine", label=lazy_gettext("Refreshers"), shown=_to_firms),
    Place(endpoint="programmes.index", label=lazy_gettext("Programmes"), shown=_to_training_managers),
    Place(endpoint="people.sign_in", label=lazy_gettext("Sign in"), shown=_to_visitors),
    Place(endpoint="people.account", label=lazy_gettext("Account"), shown=_to_owners),
)


def install(app: Flask) -> None:
    """Makes the names known to every template."""
    app.jinja_env.globals.update(asset=asset, caution=caution, has_page=has_page, navigation=navigation)
    app.context_processor(_facts)


def asset(name: str) -> str:
    """The address of a file of our own, which changes with its content."""
    return _asset(str(current_app.static_folder), request.script_root, name)


def caution() -> tuple[str, str]:
    """The caution that stands wherever a verdict stands, in the language of the request."""
    return caution_paragraphs(gettext)


def has_page(endpoint: str) -> bool:
    """True when the application has the page."""
    return endpoint in current_app.view_functions


def navigation() -> list[dict[str, object]]:
    """The places to go, and which of them the current page belongs to."""
    section = request.endpoint.partition(".")[0] if request.endpoint else None
    root, catalogue, pages = request.script_root, get_translations(), current_app.view_functions
    reader = None if hasattr(g, FAILED) else Reader(owner=present_owner(), member=present_here())
    return [
        {
            "address": _address(root, place.endpoint),
            "label": _label(catalogue, place.endpoint),
            "here": place.endpoint == request.endpoint
            or (section != "home" and place.endpoint.partition(".")[0] == section),
        }
        for place in PLACES
        if place.endpoint in pages and place.is_for(reader)
    ]


def _facts() -> dict[str, str]:
    locale = get_locale()
    return {
        "language": str(locale).replace("_", "-") if locale else "en-GB",
        "program_version": trainer.__version__,
        "edition_in_force": DEFAULT_EDITION.value,
    }


# Addresses of our own hang on nothing but where the program is mounted, labels on nothing but the catalogue.
@lru_cache(maxsize=512)
def _asset(folder: str, root: str, name: str) -> str:  # noqa: ARG001 - the address begins with the root
    return url_for("static", filename=name, v=_fingerprint(Path(folder) / name))


@lru_cache(maxsize=128)
def _address(root: str, endpoint: str) -> str:  # noqa: ARG001 - see above
    return url_for(endpoint)


@lru_cache(maxsize=128)
def _label(catalogue: object, endpoint: str) -> str:  # noqa: ARG001 - see above
    return next(str(place.label) for place in PLACES if place.endpoint == endpoint)


@cache
def _fingerprint(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()[:12]
