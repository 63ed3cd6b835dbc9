"""Pages and files travel as gzip where the browser accepts it (RFC 9110, 12.5.3)."""

from __future__ import annotations

import gzip

import pytest
from flask.testing import FlaskClient

ACCEPTS = {"Accept-Encoding": "gzip"}


@pytest.mark.parametrize("address", ["/", "/static/trainer.css", "/no-such-page"])
def test_the_same_page_travels_smaller(client: FlaskClient, address: str) -> None:
    plain = client.get(address, buffered=True)
    packed = client.get(address, headers=ACCEPTS, buffered=True)
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert int(packed.headers["Content-Length"]) == len(packed.data) < len(plain.data)
    if address.endswith("css"):
        assert gzip.decompress(packed.data) == plain.data
    assert "Accept-Encoding" in plain.headers["Vary"]
    assert "Accept-Encoding" in packed.headers["Vary"]


def test_what_the_browser_does_not_accept_is_not_sent(client: FlaskClient) -> None:
    for accepted in ("", "br", "gzip;q=0"):
        assert "Content-Encoding" not in client.get("/", headers={"Accept-Encoding": accepted}).headers


def test_a_short_answer_stays_as_it_is(client: FlaskClient) -> None:
    assert "Content-Encoding" not in client.get("/healthz", headers=ACCEPTS).headers


def test_a_kept_copy_is_confirmed_without_its_content(client: FlaskClient) -> None:
    first = client.get("/static/trainer.css", headers=ACCEPTS, buffered=True)
    again = client.get(
        "/static/trainer.css", headers={**ACCEPTS, "If-None-Match": first.headers["ETag"]}, buffered=True
    )
    assert again.status_code == 304
    assert again.data == b""


def test_the_length_of_a_page_says_little_about_what_is_in_it(client: FlaskClient) -> None:
    """RFC 1952, 2.3.1: the file name in the header; here of random length."""
    lengths = {len(client.get("/about", headers=ACCEPTS).data) for _ in range(12)}
    assert len(lengths) > 3
