"""What every template can use: addresses of our own files, the navigation, the versions in force."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

from flask import Flask, current_app, g, request, url_for
from flask_babel import LazyString, get_locale, get_translations, gettext, lazy_gettext

import trainer
from trainer.domain.vocabulary import DEFAULT_EDITION
from trainer.explain.caution import caution_paragraphs
from trainer.services.people.words import OrganisationKind, Role
from trainer.web.present import present_here, present_owner

# Set on a page that tells of a failure: nothing is asked of the database then, which may be what failed.
FAILED = "trainer_failed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """An entry of the navigation."""

    endpoint: str
    label: LazyString
    shown: Callable[[], bool] = lambda: True


def _to_visitors() -> bool:
    return not hasattr(g, FAILED) and present_owner() is None


def _to_owners() -> bool:
    return not hasattr(g, FAILED) and present_owner() is not None


def _to_lecturers() -> bool:
    member = None if hasattr(g, FAILED) else present_here()
    return member is not None and member.is_any(Role.LECTURER, Role.ADMINISTRATOR)


def _to_staff() -> bool:
    member = None if hasattr(g, FAILED) else present_here()
    return member is not None and member.is_staff


def _to_operators() -> bool:
    owner = None if hasattr(g, FAILED) else present_owner()
    return owner is not None and owner.person.is_operator


def _to_learners() -> bool:
    if hasattr(g, FAILED):
        return False
    member = present_here()
    return member is not None and member.is_any(Role.LEARNER)


def _to_firms() -> bool:
    member = None if hasattr(g, FAILED) else present_here()
    return member is not None and member.organisation.kind is OrganisationKind.FIRM


def _to_training_managers() -> bool:
    member = None if hasattr(g, FAILED) else present_here()
    if member is None:
        return False
    firm = member.organisation.kind is OrganisationKind.FIRM
    return member.is_any(Role.TRAINING_MANAGER) or (firm and member.is_any(Role.ADMINISTRATOR))


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
    root, catalogue = request.script_root, get_translations()
    return [
        {
            "address": _address(root, place.endpoint),
            "label": _label(catalogue, place.endpoint),
            "here": place.endpoint == request.endpoint
            or (section != "home" and place.endpoint.partition(".")[0] == section),
        }
        for place in PLACES
        if has_page(place.endpoint) and place.shown()
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
