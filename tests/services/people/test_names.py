"""Names and addresses as people type them."""

from __future__ import annotations

import pytest

from trainer.services.people.errors import AccountError
from trainer.services.people.names import checked_email, checked_name, checked_sign_in_name
from trainer.services.people.secrets import ALPHABET, as_code, in_groups, new_join_code


@pytest.mark.parametrize(
    "text", ["jo@example.org", " Jo@Example.ORG ", "a.b+c@sub.example.co.uk", "o'neil@example.org", "x_y@a-b.example"]
)
def test_an_address_is_taken_and_folded(text: str) -> None:
    assert checked_email(text) == text.strip().lower()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "jo",
        "jo@example",
        "@example.org",
        "jo@@example.org",
        "jo@example..org",
        ".jo@example.org",
        "jo@-example.org",
        "jo@exa mple.org",
        "jo@example.org\nBcc: x@example.org",
        "jo@example.org,other@example.org",
        "a" * 250 + "@example.org",
    ],
)
def test_what_is_no_address_is_refused(text: str) -> None:
    with pytest.raises(AccountError, match="not a mail address"):
        checked_email(text)


@pytest.mark.parametrize("text", ["\x00", "a\x00b", "a\u202eb", "a\u200bb", "\ufeff", ""])
def test_a_name_with_signs_that_cannot_be_seen_is_refused(text: str) -> None:
    with pytest.raises(AccountError):
        checked_name(text, "name")


def test_a_name_keeps_its_letters_and_loses_its_spare_space() -> None:
    assert checked_name("  Siân   O’Neill-Ağaoğlu ", "name") == "Siân O’Neill-Ağaoğlu"


@pytest.mark.parametrize("text", ["ab", "-abc", "abc-", "a b c", "jo@example.org", "ábc", "a" * 41])
def test_a_chosen_name_to_sign_in_is_plain(text: str) -> None:
    with pytest.raises(AccountError):
        checked_sign_in_name(text)


def test_a_code_is_the_same_however_it_is_typed() -> None:
    code = new_join_code()
    assert set(code) <= set(ALPHABET)
    assert as_code(f" {in_groups(code).lower()} ") == code


def test_no_sign_of_a_code_looks_like_another() -> None:
    assert not set("O0I1L5S2Z8BUV") & set(ALPHABET)
