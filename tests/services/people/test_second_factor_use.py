"""Setting a second factor up, signing in with it, and taking it away: what is stored and what is refused.

The codes are computed here from the secret as RFC 4226 (5.3) and RFC 6238 (4.2) print it, not by the library.
"""

from __future__ import annotations

import base64
import hmac
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from tests.services.people.test_sessions import AS_STAFF, standing
from tests.services.sittings.world import here
from tests.web.conftest import NOON
from tests.web.people.conftest import CHEAP, PASSWORD, member, person
from trainer.services.operation.audit import AuditEvent
from trainer.services.people.errors import AccountError
from trainer.services.people.records import Member, Person, SecondFactor
from trainer.services.people.second_factor import SecondFactors
from trainer.services.people.secrets import as_code, hash_of
from trainer.services.people.words import Role

ANN = person("ann")
STANDING = standing(AS_STAFF, Role.LECTURER)
ADMINISTRATOR = replace(here("boss"), roles=frozenset({Role.ADMINISTRATOR}))


@dataclass
class Shelf:
    """Everything that the use cases ask of storage."""

    factor: SecondFactor | None = None
    papers: set[str] = field(default_factory=set)
    tokens: list[tuple[str, datetime | None]] = field(default_factory=list)
    ended: list[str] = field(default_factory=list)
    events: list[AuditEvent] = field(default_factory=list)
    accounts: dict[str, Person] = field(default_factory=lambda: {"ann": ANN})
    belongs: list[Member] = field(default_factory=lambda: [member("m", "college", Role.LEARNER, person_id="ann")])

    @contextmanager
    def writing(self) -> Iterator[Shelf]:
        yield self

    reading = writing

    def __getattr__(self, name: str) -> Any:
        """Each part of the storage is this one, but for those that are asked for alike."""
        parts = {
            "second_factors": self,
            "sessions": self,
            "audit": self,
            "members": _Members(self),
            "people": _People(self),
        }
        return parts[name]

    def hold(self) -> None:
        """Nobody else writes."""

    def append(self, event: AuditEvent) -> None:
        self.events.append(event)

    def get(self, person_id: str) -> SecondFactor | None:
        return self.factor if self.factor and self.factor.person_id == person_id else None

    def put(self, factor: SecondFactor) -> None:
        self.factor = factor

    def confirm(self, _person_id: str, at: datetime) -> None:
        assert self.factor
        self.factor = replace(self.factor, confirmed_at=at)

    def use_step(self, _person_id: str, step: int) -> bool:
        assert self.factor
        is_new = step > self.factor.last_step
        self.factor = replace(self.factor, last_step=max(step, self.factor.last_step))
        return is_new

    def remove(self, _person_id: str) -> None:
        self.factor, self.papers = None, set()

    def set_recovery_codes(self, _person_id: str, hashes: list[str]) -> None:
        self.papers = set(hashes)

    def use_recovery_code(self, _person_id: str, code_hash: str, _at: datetime) -> bool:
        known = code_hash in self.papers
        self.papers.discard(code_hash)
        return known

    def recovery_codes_left(self, _person_id: str) -> int:
        return len(self.papers)

    def rotate(self, _session_id: str, token_hash: str, *, second_factor_at: datetime | None) -> None:
        self.tokens.append((token_hash, second_factor_at))

    def revoke_all(self, person_id: str, _at: datetime) -> None:
        self.ended.append(person_id)


@dataclass
class _Members:
    shelf: Shelf

    def get(self, organisation_id: str, member_id: str) -> Member | None:
        known = (each for each in self.shelf.belongs if (each.organisation_id, each.id) == (organisation_id, member_id))
        return next(known, None)

    def of_person(self, person_id: str) -> list[Member]:
        return [each for each in self.shelf.belongs if each.person_id == person_id]


@dataclass
class _People:
    shelf: Shelf

    def get(self, person_id: str) -> Person | None:
        return self.shelf.accounts.get(person_id)

    def by_sign_in_name(self, name: str) -> Person | None:
        return self.shelf.accounts.get(name)


def desk(shelf: Shelf, at: datetime = NOON) -> SecondFactors:
    return SecondFactors(
        storage=shelf,  # type: ignore[arg-type]
        standings=shelf,  # type: ignore[arg-type]
        now=lambda: at,
        new_id=lambda: "new",
        hasher=CHEAP,
        secret_key="key",
    )


def code_at(secret: str, at: datetime) -> str:
    """RFC 4226, 5.3, over the steps of thirty seconds of RFC 6238, 4.2."""
    counter = (int(at.timestamp()) // 30).to_bytes(8, "big")
    digest = hmac.new(base64.b32decode(secret), counter, "sha1").digest()
    start = digest[-1] & 0xF
    return str((int.from_bytes(digest[start : start + 4], "big") & 0x7FFFFFFF) % 10**6).zfill(6)


OLD_CODE = "34679ACDEFGH"


def kept(code: str) -> str:
    """What is kept of a code: its slow hash under 16 bytes that HMAC-SHA256 (RFC 2104) makes from the site's key."""
    salt = hmac.new(b"key", b"paper codes\x1fann", "sha256").digest()[:16]
    return CHEAP.hash_with(salt, code.replace("-", ""))


def set_up(shelf: Shelf, at: datetime = NOON) -> tuple[str, tuple[str, ...]]:
    """The secret and the codes for paper of a factor that was set up."""
    use = desk(shelf, at)
    secret = use.secret_of(use.begin(ANN))
    _, codes = use.confirm(STANDING, code_at(secret, at), PASSWORD)
    return secret, codes


def test_the_secret_has_the_160_bits_of_the_standard_and_differs_by_person_and_time() -> None:
    # RFC 4226, section 4: 160 bits are recommended; base32 holds five bits in a sign.
    use = desk(Shelf())
    factor = use.begin(ANN)
    assert len(use.secret_of(factor)) * 5 == 160
    assert use.secret_of(factor) == use.secret_of(factor)
    others = (replace(factor, person_id="ben"), replace(factor, salt="other"))
    assert len({use.secret_of(each) for each in (factor, *others)}) == 3


def test_until_it_is_confirmed_the_same_factor_is_set_up_and_then_no_other() -> None:
    shelf = Shelf()
    first = desk(shelf).begin(ANN)
    assert desk(shelf, NOON + timedelta(hours=1)).begin(ANN) == first
    assert not desk(shelf).is_set_up(shelf.belongs[0])
    set_up(shelf)
    assert desk(shelf).is_set_up(shelf.belongs[0])
    with pytest.raises(AccountError, match="set up already"):
        desk(shelf).begin(ANN)


def test_setting_it_up_takes_a_right_code_renews_the_token_and_gives_ten_codes_for_paper() -> None:
    shelf = Shelf()
    use = desk(shelf)
    secret = use.secret_of(use.begin(ANN))
    for wrong in (code_at(secret, NOON + timedelta(minutes=5)), ""):
        with pytest.raises(AccountError, match="code of this moment"):
            use.confirm(STANDING, wrong, PASSWORD)
    assert (shelf.factor.confirmed_at, shelf.tokens, shelf.papers) == (None, [], set())
    token, codes = use.confirm(STANDING, code_at(secret, NOON), PASSWORD)
    assert shelf.tokens == [(hash_of(token), NOON)]
    assert len(set(codes)) == 10
    # Three groups of four signs; only their slow hashes are kept.
    assert {len(code) for code in codes} == {14}
    assert shelf.papers == {kept(code) for code in codes}
    assert [each.action for each in shelf.events] == ["person.second_factor_set_up"]


def test_a_code_lets_in_once_and_an_earlier_one_no_more() -> None:
    shelf = Shelf()
    secret, _ = set_up(shelf)
    later = NOON + timedelta(minutes=1)
    # The one that set it up, the one before it, and a wrong one.
    for old in (code_at(secret, NOON), code_at(secret, NOON - timedelta(seconds=30)), "000000"):
        assert desk(shelf).pass_with(STANDING, old) is None
    token = desk(shelf, later).pass_with(STANDING, code_at(secret, later))
    assert token is not None
    assert shelf.tokens[-1] == (hash_of(token), later)
    assert desk(shelf, later).pass_with(STANDING, code_at(secret, later)) is None
    assert [each.action for each in shelf.events][1:] == ["person.gave_a_code"]


def test_a_code_from_paper_lets_in_once_as_it_is_typed_and_says_how_many_are_left() -> None:
    shelf = Shelf()
    _, codes = set_up(shelf)
    typed = f" {codes[0].lower().replace('-', ' ')} "
    assert as_code(typed) == codes[0].replace("-", "")
    token = desk(shelf).pass_with(STANDING, typed)
    assert shelf.tokens[-1] == (hash_of(str(token)), NOON)
    assert desk(shelf).pass_with(STANDING, codes[0]) is None
    assert desk(shelf).codes_left(ANN) == 9
    assert (shelf.events[-1].action, shelf.events[-1].facts) == ("person.used_a_paper_code", {"left": 9})


def test_a_code_that_an_earlier_version_put_on_paper_still_lets_in_once() -> None:
    # Those were kept by SHA-256 without a salt.
    shelf = Shelf()
    set_up(shelf)
    shelf.papers = {hash_of(OLD_CODE)}
    assert desk(shelf).pass_with(STANDING, "3467-9acd-efgh")
    assert desk(shelf).pass_with(STANDING, OLD_CODE) is None


def test_a_factor_that_was_never_confirmed_lets_nobody_in() -> None:
    shelf = Shelf()
    use = desk(shelf)
    secret = use.secret_of(use.begin(ANN))
    shelf.papers = {kept(OLD_CODE), hash_of(OLD_CODE)}
    assert use.pass_with(STANDING, code_at(secret, NOON)) is None
    assert use.pass_with(STANDING, OLD_CODE) is None
    assert desk(Shelf()).pass_with(STANDING, code_at(secret, NOON)) is None


def test_taking_it_away_and_new_codes_for_paper_take_the_password() -> None:
    shelf = Shelf()
    _, codes = set_up(shelf)
    before = shelf.papers
    for work in (desk(shelf).remove, desk(shelf).new_codes):
        with pytest.raises(AccountError, match="password of this account"):
            work(STANDING, "not the password")
    assert shelf.papers == before
    signed = replace(STANDING, session=replace(STANDING.session, second_factor_at=NOON - timedelta(minutes=1)))
    token, new = desk(shelf).new_codes(signed, PASSWORD)
    # The session keeps the moment at which its code was given.
    assert shelf.tokens[-1] == (hash_of(token), NOON - timedelta(minutes=1))
    assert len(set(new) | set(codes)) == 20
    assert shelf.papers == {kept(code) for code in new}
    assert desk(shelf).remove(STANDING, PASSWORD)
    assert (shelf.factor, shelf.papers, shelf.tokens[-1][1]) == (None, set(), None)
    assert [each.action for each in shelf.events][1:] == ["person.made_paper_codes", "person.second_factor_removed"]


def test_an_administrator_takes_it_away_from_a_member_of_this_organisation_alone_and_ends_the_sessions() -> None:
    shelf = Shelf()
    set_up(shelf)
    assert desk(shelf).take_away(ADMINISTRATOR, "m").id == "m"
    assert (shelf.factor, shelf.ended) == (None, ["ann"])
    assert shelf.events[-1].organisation_id == "college"
    with pytest.raises(AccountError, match="no second factor"):
        desk(shelf).take_away(ADMINISTRATOR, "m")


@pytest.mark.parametrize("role", [Role.LEARNER, Role.LECTURER, Role.TRAINING_MANAGER])
def test_nobody_but_an_administrator_takes_it_away_from_another(role: Role) -> None:
    shelf = Shelf()
    set_up(shelf)
    with pytest.raises(AccountError, match="no account here"):
        desk(shelf).take_away(replace(ADMINISTRATOR, roles=frozenset({role})), "m")
    assert shelf.factor is not None


def test_it_is_not_taken_away_here_where_the_account_has_other_duties_or_there_is_none() -> None:
    for change in (
        {"accounts": {"ann": replace(ANN, is_operator=True)}},
        {
            "belongs": [
                member("m", "college", Role.LEARNER, person_id="ann"),
                member("n", "firm", Role.LEARNER, person_id="ann"),
            ]
        },
    ):
        shelf = Shelf(**change)
        set_up(shelf)
        with pytest.raises(AccountError, match="other duties"):
            desk(shelf).take_away(ADMINISTRATOR, "m")
        assert (shelf.factor is not None, shelf.ended) == (True, [])
    for nobody in (Shelf(belongs=[]), Shelf(belongs=[member("m", "college", Role.LEARNER)]), Shelf(accounts={})):
        with pytest.raises(AccountError, match="no account here"):
            desk(nobody).take_away(ADMINISTRATOR, "m")
        assert not desk(nobody).is_set_up(member("m", "college", Role.LEARNER))


def test_where_the_program_runs_it_is_taken_away_by_name() -> None:
    shelf = Shelf(accounts={"ann": replace(ANN, is_operator=True)})
    set_up(shelf)
    assert desk(shelf).take_away_of(" Ann ").id == "ann"
    assert (shelf.factor, shelf.ended) == (None, ["ann"])
    with pytest.raises(AccountError, match="is no account"):
        desk(shelf).take_away_of("nobody")
    with pytest.raises(AccountError, match="no second factor"):
        desk(shelf).take_away_of("ann")


def test_the_address_for_a_device_names_the_issuer_the_account_and_the_secret() -> None:
    # The form in use for such addresses: otpauth://totp/ISSUER:ACCOUNT?secret=...&issuer=...
    use = desk(Shelf())
    factor = use.begin(ANN)
    address = use.address_of(ANN, factor, "The site")
    assert address.startswith("otpauth://totp/The%20site:ann?")
    assert f"secret={use.secret_of(factor)}" in address
