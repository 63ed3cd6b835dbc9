"""The guard that every request passes: who may open the page, and whether what its address names is on their side.

A route that stands in no table stops the program at its start; an id of another organisation looks
as if it were not there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import ModuleType
from typing import TYPE_CHECKING

from flask import Flask, Response, abort, current_app, redirect, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from trainer.services.latest import Latest
from trainer.services.people.here import Here, must_set_up, needs_code
from trainer.web.access import FREE, OPEN, PUBLIC, WALLED, Access, Ask
from trainer.web.present import present, present_here
from trainer.web.refusals import suspect
from trainer.web.wiring import wiring

if TYPE_CHECKING:
    from trainer.services.people.records import Standing

TABLE = "trainer.access"
_INSIDE = "trainer.sittings_inside"
_MOST_KNOWN = 8192
Answer = AnyResponse | None


class UnlistedRouteError(RuntimeError):
    """A page was added without saying who may open it."""


def install(app: Flask, packages: Mapping[str, ModuleType]) -> None:
    """Collects the tables of all pages and sets the guard before every request.

    *Raises* UnlistedRouteError.
    """
    app.extensions[TABLE] = access_of(app, packages)
    app.extensions[_INSIDE] = Latest[bool](_MOST_KNOWN)
    app.before_request(_let_in)


def access_of(app: Flask, packages: Mapping[str, ModuleType]) -> dict[str, Access]:
    """What each page asks. *Raises* UnlistedRouteError for a page or a part of an address that is not listed."""
    listed: dict[str, Access] = {}
    for package in packages.values():
        listed |= getattr(package, "ACCESS", {})
    table = {}
    for rule in app.url_map.iter_rules():
        endpoint = rule.endpoint
        access = listed.get(endpoint) or (PUBLIC if endpoint.partition(".")[0] in OPEN else None)
        if access is None:
            remedy = "put it into ACCESS of its package, or its blueprint into OPEN (web/access.py)"
            raise UnlistedRouteError(f"{endpoint} is in no table: {remedy}")
        unknown = set(rule.arguments) - set(WALLED) - FREE
        if access.ask is Ask.MEMBER and unknown:
            raise UnlistedRouteError(f"{endpoint}: web/access.py does not say what {sorted(unknown)} name")
        table[endpoint] = access
    return table


def table_of(app: Flask) -> dict[str, Access]:
    """What each page of an application asks."""
    table = app.extensions[TABLE]
    assert isinstance(table, dict), "install sets it"  # noqa: S101 - tells mypy
    return table


def _let_in() -> Answer:
    endpoint = request.endpoint
    if endpoint is None:
        return None
    # A route that was added after the start is in no table, and fails here.
    access = table_of(current_app)[endpoint]
    if access.ask is Ask.NOTHING:
        return None
    standing = present()
    if standing is None:
        return _to_sign_in()
    return _CHECKS[access.ask](standing, access)


def _half(standing: Standing, _access: Access) -> Answer:  # noqa: ARG001 - all checks take the same
    return None


def _account(standing: Standing, _access: Access) -> Answer:
    return redirect(url_for("people.code"), code=303) if needs_code(standing) else None


def _signed_in(standing: Standing, access: Access) -> Answer:
    missing = _account(standing, access)
    if missing is None and must_set_up(standing):
        return redirect(url_for("people.second_factor"), code=303)
    return missing


def _operator(standing: Standing, access: Access) -> Answer:
    missing = _signed_in(standing, access)
    if missing is None and not standing.person.is_operator:
        abort(403)
    return missing


def _member(standing: Standing, access: Access) -> Answer:
    missing = _signed_in(standing, access)
    if missing is not None:
        return missing
    member = present_here()
    if member is None:
        return redirect(url_for("people.account"), code=303)
    if not member.roles & access.roles:
        abort(403)
    _hold_the_wall(member)
    return None


def _hold_the_wall(member: Here) -> None:
    named = {WALLED[name]: value for name, value in (request.view_args or {}).items() if name in WALLED}
    sitting = named.pop("sitting", None)
    if sitting is not None:
        # Each save asks. A sitting never changes sides, and its use cases ask once more whose it is.
        inside: Latest[bool] = current_app.extensions[_INSIDE]
        inside.of(f"{member.organisation_id} {sitting}", lambda: _is_inside(member, {"sitting": sitting}))
    if named:
        _is_inside(member, named)


def _is_inside(member: Here, named: Mapping[str, str]) -> bool:
    """True, or the page that says that there is no such thing."""
    from trainer.persistence.people.repositories import people_repositories  # noqa: PLC0415 - many tables

    with wiring().storage.scopes(people_repositories).reading() as stored:
        if not all(stored.wall.holds(kind, member.organisation_id, thing) for kind, thing in named.items()):
            suspect()
            abort(404)
    return True


_CHECKS: dict[Ask, Callable[[Standing, Access], Answer]] = {
    Ask.HALF: _half,
    Ask.ACCOUNT: _account,
    Ask.SIGNED_IN: _signed_in,
    Ask.OPERATOR: _operator,
    Ask.MEMBER: _member,
}


def _to_sign_in() -> Answer:
    if request.method not in {"GET", "HEAD"}:
        abort(Response(status=303, headers={"Location": url_for("people.sign_in")}))
    # A path of our own: the part of the address after the host.
    return redirect(url_for("people.sign_in", next=request.full_path.rstrip("?")), code=303)
