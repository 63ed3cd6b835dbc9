"""Which passwords are good enough."""

from __future__ import annotations

import os
import sys
import threading
from dataclasses import dataclass, field

import pytest

from trainer.services.people.errors import PasswordError
from trainer.services.people.hashing import ITERATIONS, LANES, MEMORY_KIB, Argon2, StandingBack
from trainer.services.people.leaked import number, packed
from trainer.services.people.passwords import SHORTEST, check_password

NAMES = ("jane.smith", "Jane Smith", "Northern College")


@pytest.mark.parametrize(
    "password",
    [
        "kettle lantern fjord mosaic",
        "Kettle-Lantern-Fjord-Mosaic",
        "monkey banana guitar london",  # common words, but four of them apart
        "brassneedle47torch",
        "ohm's law is fun to me",
        "ein Gruß aus Kőszeg",  # any character counts (NIST SP 800-63B)
        "🔌 socket of my aunt 🔌",
        "w8$Qz!xR4mTk",  # twelve signs without words
    ],
)
def test_a_long_password_of_any_signs_is_taken(password: str) -> None:
    check_password(password, names=NAMES)


@pytest.mark.parametrize(
    ("password", "because"),
    [
        ("kettle lamp", "at least 12"),
        ("", "at least 12"),
        ("k" * 129, "longer than 128"),
        ("aaaaaaaaaaaaaaaa", "repeats"),
        ("abcabcabcabcabc", "repeats"),
        ("121212121212", "repeats"),
        ("password1234", "tried first"),
        ("P@ssw0rd2026!", "tried first"),
        ("qwertyuiop123", "tried first"),
        ("zxcvbnmasdfghjkl", "tried first"),
        ("1234567890123", "tried first"),
        ("iloveyou12345", "tried first"),
        ("letmein please", "tried first"),
        ("summer2026summer", "tried first"),
        ("electrician123", "tried first"),
        # Rows of the published list, by their rank: 4905, 14466, 11146, 18933 with signs put behind.
        ("leavemealone", "found in a leak"),
        ("NeedForSpeed", "found in a leak"),
        ("websolutions", "found in a leak"),
        ("counterstrike1!", "found in a leak"),
        ("jane.smith.1999", "name of the account"),
        ("northerncollege7", "name of the account"),
    ],
)
def test_a_password_that_is_guessed_early_is_refused_with_the_reason(password: str, because: str) -> None:
    """NIST SP 800-63B: length, common and expected values, names of the account; no rule on kinds of signs."""
    with pytest.raises(PasswordError, match=because):
        check_password(password, names=NAMES)


def test_the_list_of_leaked_passwords_is_longer_than_asked() -> None:
    """OWASP ASVS 5.0.0, 6.2.4: the top 3,000 at least that our length allows; wc counts 43,940 in the list."""
    assert number() == 43_940


def test_the_list_keeps_no_password_that_could_be_read() -> None:
    """The hash is what sha256sum prints; shorter lines are left out, lines that differ in case only are one."""
    assert packed(["short", "LeaveMeAlone", "leavemealone"], SHORTEST) == bytes.fromhex("36aa15a88e7a")


def test_the_parameters_are_those_of_the_standard() -> None:
    """OWASP ASVS 5.0.0, appendix C, and password storage cheat sheet: Argon2id, t = 3, m = 12288 at least, p = 1."""
    assert (MEMORY_KIB, ITERATIONS, LANES) == (12288, 3, 1)
    assert Argon2().hash("kettle lantern fjord mosaic").startswith("$argon2id$v=19$m=12288,t=3,p=1$")


@pytest.mark.parametrize(
    "stored",
    [
        # Computed by argon2-cffi 25.1.0, which is built on the code of those who invented the function.
        "$argon2id$v=19$m=19456,t=2,p=1$Knx9ZyYAoWpyRtvA63PiLQ$rAyeukhEx4rmvlFMzREcknXo3Xo9uHE0uIpwwMozlbQ",
        "$argon2id$v=19$m=12288,t=3,p=1$2rIqjOvO9PLZWQgz/DUdmA$6XehzwwRUj+wVEhRS4K67Yr60zhxkLylPYgfQ7m19Gc",
    ],
)
def test_a_hash_that_another_program_computed_fits_its_password(stored: str) -> None:
    hasher = Argon2(iterations=1, memory_kib=8)
    assert hasher.verify(stored, "kettle lantern fjord mosaic")
    assert not hasher.verify(stored, "kettle lantern fjord mosaik")
    assert hasher.is_outdated(stored)


def test_a_hash_fits_its_password_only_and_no_two_are_alike() -> None:
    hasher = Argon2(iterations=1, memory_kib=8)
    first, second = hasher.hash("kettle lantern"), hasher.hash("kettle lantern")
    assert first != second
    assert hasher.verify(first, "kettle lantern")
    assert not hasher.verify(first, "kettle lanterN")
    assert not hasher.verify(None, "nobody has this password")
    assert not hasher.verify("no hash at all", "kettle lantern")


def test_the_same_password_typed_on_another_keyboard_fits() -> None:
    """Unicode standard annex 15: composed and decomposed forms are the same text."""
    hasher = Argon2(iterations=1, memory_kib=8)
    assert hasher.verify(hasher.hash("cafe\u0301 at the corner"), "caf\u00e9 at the corner")


def test_other_parameters_make_a_hash_outdated() -> None:
    older, newer = Argon2(iterations=1, memory_kib=8), Argon2(iterations=1, memory_kib=16)
    assert newer.is_outdated(older.hash("kettle lantern"))
    assert not newer.is_outdated(newer.hash("kettle lantern"))


def test_a_hash_that_is_looked_up_is_that_of_the_function() -> None:
    """Computed by argon2-cffi 25.1.0, which is built on the code of those who invented the function."""
    hashed = "3f0ba3de4c07fa4a234dcd4fb28259db082de78f2f8d9f835173d692564251c2"
    assert Argon2().hash_with(b"0123456789abcdef", "34679ACDEFGH") == hashed


@dataclass
class Noting:
    """A hasher that notes with which nice value it is asked."""

    nice: list[int] = field(default_factory=list)

    def hash(self, password: str) -> str:
        self.nice.append(os.getpriority(os.PRIO_PROCESS, threading.get_native_id()))
        return f"hash of {password}"

    def verify(self, stored: str | None, password: str) -> bool:
        return stored == self.hash(password)

    def is_outdated(self, stored: str) -> bool:
        return not stored.startswith("hash of")

    def hash_with(self, salt: bytes, code: str) -> str:
        return self.hash(f"{code} {salt!r}")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere a process has one priority")
def test_whoever_saves_goes_before_whoever_signs_in() -> None:
    """sched(7): the nice value is of one thread; a higher one stands back, 19 at most."""
    noting = Noting()
    hasher = StandingBack(noting)
    before = os.getpriority(os.PRIO_PROCESS, threading.get_native_id())
    assert hasher.verify(hasher.hash("kettle"), "kettle")
    assert not hasher.verify(None, "kettle")
    assert noting.nice == [min(19, before + 10)] * 3
    assert os.getpriority(os.PRIO_PROCESS, threading.get_native_id()) == before
    assert not hasher.is_outdated("hash of kettle")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere a process has one priority")
def test_where_nobody_may_stand_back_everybody_signs_in_with_the_usual_priority(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def nice(_by: int) -> int:
        raise PermissionError

    monkeypatch.setattr(os, "nice", nice)
    hasher = StandingBack(Noting())
    assert hasher.verify(hasher.hash("kettle"), "kettle")
