"""Who is at the other end of a request, looked up once: the session's row decides, not the cookie."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from flask import Flask, abort, current_app, g, session
from flask_login import LoginManager, UserMixin, current_user
from sqlalchemy.exc import DBAPIError

from trainer.config import Settings
from trainer.persistence.failures import is_out_of_room
from trainer.services.people.here import Desk, Here, here_of, must_set_up, needs_code
from trainer.web.known import KNOWN
from trainer.web.wiring import Wiring

# Loaded with the first request that needs them.
if TYPE_CHECKING:
    from trainer.services.people.joining import Joining
    from trainer.services.people.passwords import Hasher
    from trainer.services.people.records import Standing
    from trainer.services.people.second_factor import SecondFactors

D = TypeVar("D", bound=Desk)

# Under this key the cookie holds the id of somebody who practises without an account.
LEARNER = "learner"
TOKEN = "signed_in"  # noqa: S105 - the name under which the cookie holds it
_DESKS = "trainer.desks"


class User(UserMixin):  # type: ignore[misc]  # the library carries no types
    """Who a session belongs to, as the library for it asks."""

    def __init__(self, standing: Standing) -> None:
        self.standing = standing

    def get_id(self) -> str:
        """The id of the account."""
        return self.standing.person.id


class People(LoginManager):  # type: ignore[misc]  # see above
    """Who is there, told by our row alone: of the other ways of the library none is looked at for each request."""

    def _load_user(self) -> None:
        self._update_request_context_with_user(_looked_up())


class Desks:
    """The use cases of people over one application; made when the first is needed."""

    def __init__(self, wired: Wiring, settings: Settings) -> None:
        self._wired = wired
        self._settings = settings
        self._made: dict[type[Desk], Desk] = {}

    @cached_property
    def hasher(self) -> Hasher:
        """Argon2id; loaded with the first password."""
        from trainer.services.people.hashing import (  # noqa: PLC0415 - its library takes a while to load
            Argon2,
            StandingBack,
        )

        return StandingBack(Argon2())

    def make(self, kind: type[D]) -> D:
        """Use cases of one kind."""
        from trainer.persistence.people.repositories import people_repositories  # noqa: PLC0415 - many tables
        from trainer.persistence.people.standings import SqlStandings  # noqa: PLC0415 - the same

        known = self._made.get(kind)
        if not isinstance(known, kind):
            known = self._made[kind] = kind(
                storage=self._wired.storage.scopes(people_repositories),
                standings=SqlStandings(self._wired.storage.database),
                now=self._wired.now,
                new_id=self._wired.new_id,
                hasher=self.hasher,
                secret_key=self._settings.secret_key,
            )
        return known


def install(app: Flask, wired: Wiring, settings: Settings) -> None:
    """Makes the use cases known to the application, and the person to every template."""
    app.extensions[_DESKS] = Desks(wired, settings)
    manager = People()
    # The session is ours: a row that can be revoked. The library only carries who it is.
    manager.session_protection = None
    manager.init_app(app, add_context_processor=False)
    app.jinja_env.globals.update(present=present_owner, present_here=present_here)


def desk(kind: type[D]) -> D:
    """The use cases of one kind, over this application's storage."""
    desks = current_app.extensions[_DESKS]
    if not isinstance(desks, Desks):
        raise TypeError(f"the application was put together without its use cases: {desks!r}")
    return desks.make(kind)


def joining() -> Joining:
    """Signing in, links, accounts, codes of groups."""
    from trainer.services.people.joining import Joining  # noqa: PLC0415 - see above

    return desk(Joining)


def second_factors() -> SecondFactors:
    """Codes by time."""
    from trainer.services.people.second_factor import SecondFactors  # noqa: PLC0415 - see above

    return desk(SecondFactors)


def present() -> Standing | None:
    """Who is signed in, the second factor perhaps still to come; None for a visitor."""
    user = current_user._get_current_object()  # noqa: SLF001 - the documented way to the object behind the proxy
    return user.standing if isinstance(user, User) else None


def present_owner() -> Standing | None:
    """Who is signed in with all factors that the account has; None for anybody else."""
    standing = present()
    return None if standing is None or needs_code(standing) else standing


def present_here() -> Here | None:
    """The member who works in an organisation now, all factors given; None for anybody else."""
    standing = present_owner()
    if standing is None or must_set_up(standing):
        return None
    return here_of(standing)


def person() -> Standing:
    """Who is signed in. The guard has let nobody else to a page that asks."""
    standing = present()
    if standing is None:
        abort(403)
    return standing


def here() -> Here:
    """The member who works in an organisation now. The guard has let nobody else to a page that asks."""
    found = present_here()
    if found is None:
        abort(403)
    return found


def remember(token: str) -> None:
    """Lets the cookie hold a token; whatever it held before is gone, but for what belongs to the browser."""
    _keep_of_the_browser()
    session[TOKEN] = token
    session.permanent = True
    g.pop("csrf_token", None)


def forget() -> None:
    """Takes the token out of the cookie."""
    _keep_of_the_browser()


def _keep_of_the_browser() -> None:
    """Practice without an account, and under which names somebody came in here before."""
    kept = {name: session[name] for name in (LEARNER, KNOWN) if name in session}
    session.clear()
    session.update(kept)
    if kept:
        session.permanent = True


def _looked_up() -> User | None:
    token = session.get(TOKEN)
    if not isinstance(token, str):
        return None
    standing = joining().standing(token)
    if standing is None:
        return None
    try:
        joining().seen(standing)
    except DBAPIError as error:
        # Reading goes on where nothing can be written; a page that writes says so itself.
        if not is_out_of_room(error):
            raise
    return User(standing)
