"""Limits on how often something may be tried, counted over all machines in the database."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from functools import wraps
from ipaddress import IPv6Address, IPv6Network, ip_address
from typing import TYPE_CHECKING, Any, cast

from flask import Flask, Response, request, session

from trainer.services.people.names import as_typed_to_sign_in
from trainer.web.known import number_of
from trainer.web.present import TOKEN, present, present_owner
from trainer.web.wiring import Wiring

if TYPE_CHECKING:
    from trainer.persistence.operation.rates import RateCounts

# RFC 4291, 2.5.4: who has one of these addresses has all of them.
_SUBSCRIBER_BITS = 64


def network_of(address: str) -> str:
    """The address by which somebody is counted: of IPv6 the network that one subscriber has."""
    try:
        found = ip_address(address)
    except ValueError:
        return address or "nowhere"
    if not isinstance(found, IPv6Address):
        return str(found)
    if found.ipv4_mapped is not None:
        return str(found.ipv4_mapped)
    return str(IPv6Network((int(found), _SUBSCRIBER_BITS), strict=False))


def _address() -> str:
    return network_of(request.remote_addr or "")


def _name_and_address() -> str:
    return f"{as_typed_to_sign_in(request.form.get('name', ''))} from {_address()}"


def _name() -> str:
    # The library leaves out a limit whose key is empty.
    return as_typed_to_sign_in(request.form.get("name", "")) or "no name"


def _name_here() -> str:
    number = number_of(request.form.get("name", ""))
    return f"{_name()} in {number}" if number else ""


def _is_known() -> bool:
    """True in a browser in which somebody came in under this name before."""
    return bool(_name_here())


def _browser() -> str:
    """The session, or of a visitor the token of the forms: whoever drops that is still counted by address."""
    return str(session.get(TOKEN) or session.get("csrf_token") or _address())


def _path() -> str:
    """What the address names, whoever asks."""
    return request.path


def _account() -> str:
    """Whoever gave the password, the code still to come or not: each signing in gives another session."""
    standing = present()
    return f"person {standing.person.id}" if standing else _address()


def _account_or_address() -> str:
    """Whoever has an account is counted alone; all others behind one address together."""
    owner = present_owner()
    return f"person {owner.person.id}" if owner else _address()


def _went_wrong(response: Response) -> bool:
    # A failure of ours is nobody's wrong try, and where the database failed it could not be counted.
    return 400 <= response.status_code < 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """How often, counted by what, unless it is left out; only tries that went wrong where ``wrong_only`` says so."""

    often: str
    by: Callable[[], str]
    wrong_only: bool = True
    methods: tuple[str, ...] = ("POST",)
    left_out: Callable[[], bool] | None = None


# A page is answered to HEAD as well, with the same code.
_LOOKED_AT = ("GET", "HEAD")
# A class behind one address signs in at the same minute, so the address alone is counted generously.
_PASSWORDS = (
    # OWASP, device cookies: who came in here before is counted here, and not with strangers who try the same name.
    Limit(often="5 per 15 minute", by=_name_and_address, left_out=_is_known),
    Limit(often="50 per hour", by=_name, left_out=_is_known),
    Limit(often="5 per 15 minute", by=_name_here, left_out=lambda: not _is_known()),
    Limit(often="300 per 15 minute", by=_address),
)
_CODES = (Limit(often="5 per 15 minute", by=_browser), Limit(often="120 per hour", by=_address))
# NIST SP 800-63B, 5.2.2: a hundred tries at one account. Three of a million codes are good at a time.
_SECOND = (*_CODES, Limit(often="30 per day", by=_account))
# Nobody guesses 256 random bits: these only keep a loop from running, and weak passwords count as wrong.
_LINKS = (Limit(often="30 per 15 minute", by=_browser), Limit(often="600 per hour", by=_address))
_MAILS = (
    Limit(often="3 per hour", by=_name, wrong_only=False),
    Limit(often="60 per hour", by=_address, wrong_only=False),
)
# The address is chosen by whoever enters somebody, and nobody asked whose it is.
_INVITED = (
    Limit(often="6 per hour", by=_path, wrong_only=False),
    Limit(often="600 per hour", by=_account, wrong_only=False),
)
_MADE = (
    Limit(often="600 per hour", by=_address, wrong_only=False),
    # The page tells whether the code in its address is one.
    Limit(often="120 per hour", by=_address, methods=_LOOKED_AT, left_out=lambda: not request.args.get("code")),
)

LIMITS: dict[str, tuple[Limit, ...]] = {
    "people.sign_in": _PASSWORDS,
    "people.code": _SECOND,
    "people.second_factor": _SECOND,
    "people.remove_second_factor": _CODES,
    "people.new_paper_codes": _CODES,
    "people.join": _CODES,
    "people.forgotten": _MAILS,
    "people.new_account": _MADE,
    "people.invitation": _LINKS,
    "people.reset": _LINKS,
    "people.password": _CODES,
    # Nobody guesses a code of 130 bits; the limit keeps tries from being a load.
    "records.check": (Limit(often="30 per 15 minute", by=_address, methods=_LOOKED_AT),),
    "sittings.start": _CODES,
    "organisation.invite": _INVITED,
    "organisation.invite_group": _INVITED,
}


# Each draws a task anew, which is the most costly thing that anybody may ask for; counted together.
MAKES_TASKS = ("practice.begin", "plan.take", "plan.take_next", "rules.practise")
_MAKING = "new tasks"


KEEPS = ("hint", "mark", "unmark", "show")
"""Fields by which the form of a task is kept and not handed in."""

# What judges a house or several: by how many times more often than a new task it may be asked for, and what of it
# asks for nothing of the kind and is never refused.
COSTLY: dict[str, tuple[int, Callable[[], bool]]] = {
    "trying.show": (1, lambda: not request.args and not request.form),
    "practice.hand_in": (4, lambda: any(name in request.form for name in KEEPS)),
}


def install(app: Flask, wired: Wiring, new_tasks_per_minute: int) -> None:
    """Sets the limits on pages that take secrets, codes and addresses, and on making tasks; others have none."""
    from flask_limiter import Limiter  # noqa: PLC0415 - loaded where pages of people are, not before

    from trainer.persistence.operation.rates import RateCounts  # noqa: PLC0415

    # The library also looks before each request for limits that hold everywhere; here each stands at its view.
    before = list(app.before_request_funcs[None])
    limiter = Limiter(
        key_func=_address,
        app=app,
        storage_uri=f"{RateCounts.STORAGE_SCHEME[0]}://",
        storage_options={"database": wired.storage.database, "now": wired.now},  # type: ignore[dict-item]
        strategy="fixed-window",
        # Where the database cannot be asked nobody could sign in anyway.
        swallow_errors=False,
    )
    app.before_request_funcs[None] = before
    for endpoint, limits in LIMITS.items():
        view: Callable[..., Any] = app.view_functions[endpoint]
        for number, limit in enumerate(limits):
            view = limiter.limit(
                limit.often,
                key_func=limit.by,
                methods=list(limit.methods),
                deduct_when=_went_wrong if limit.wrong_only else None,
                scope=_scope(endpoint, number),
                exempt_when=limit.left_out,
                override_defaults=False,
            )(view)
        app.view_functions[endpoint] = _asked_at_once(endpoint, limits, view, cast(RateCounts, limiter.storage))
    if new_tasks_per_minute:
        often = f"{new_tasks_per_minute} per minute"
        _together(
            app, limiter.shared_limit(often, scope=_MAKING, key_func=_account_or_address, override_defaults=False)
        )
        for endpoint, (times, left_out) in COSTLY.items():
            costly: Callable[..., Any] = app.view_functions[endpoint]
            often = f"{times * new_tasks_per_minute} per minute"
            limited = limiter.limit(often, key_func=_account_or_address, exempt_when=left_out, override_defaults=False)
            app.view_functions[endpoint] = limited(costly)


def _asked_at_once(
    endpoint: str, limits: Sequence[Limit], view: Callable[..., Any], counts: RateCounts
) -> Callable[..., Any]:
    """The view, before which the counts of all its limits are asked for by one statement instead of one each."""
    from limits import parse  # noqa: PLC0415 - loaded with the library above

    known = [
        (limit, parse(limit.often), f"{endpoint}:{_scope(endpoint, number)}")
        for number, limit in enumerate(limits)
        # What is counted each time is told by counting it.
        if limit.wrong_only
    ]

    @wraps(view)
    def answered(*args: Any, **values: Any) -> Any:
        asked = [(limit.by(), item, scope) for limit, item, scope in known if request.method in limit.methods]
        keys = [item.key_for(key, scope) for key, item, scope in asked if key]
        with counts.asked_at_once(keys) if len(keys) > 1 else nullcontext():
            return view(*args, **values)

    return answered


def _scope(endpoint: str, number: int) -> str:
    return f"{endpoint} {number}"


def _together(app: Flask, limited: Callable[..., Any]) -> None:
    for endpoint in MAKES_TASKS:
        app.view_functions[endpoint] = limited(app.view_functions[endpoint])
