"""What machines ask: alive, ready, counts, lines of the log."""

from __future__ import annotations

import json
import logging
import os

import pytest
from flask import Flask
from flask.testing import FlaskClient
from prometheus_client.parser import text_string_to_metric_families

from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import downgrade
from trainer.web.health import METRICS_TOKEN, REQUEST_ID
from trainer.web.logging_lines import ACCESS_LOGGER, JsonLines
from trainer.web.metrics import BOUNDS_S, Counts


def test_the_program_is_ready_with_its_database(client: FlaskClient) -> None:
    answer = client.get("/readyz")
    assert (answer.status_code, answer.text) == (200, "ready\n")


def test_the_program_is_not_ready_with_the_tables_of_another_version(client: FlaskClient, storage: SqlStorage) -> None:
    downgrade(storage.database, "0005")
    answer = client.get("/readyz")
    assert (answer.status_code, answer.text) == (503, "tables of another version\n")
    assert client.get("/healthz").status_code == 200


@pytest.mark.only("sqlite")
def test_the_program_is_not_ready_without_its_database(client: FlaskClient, storage: SqlStorage) -> None:
    from trainer.persistence.keeping.emptiness import file_of

    storage.database.close()
    file = file_of(storage.database)
    file.unlink()
    file.mkdir()
    answer = client.get("/readyz")
    assert (answer.status_code, answer.text) == (503, "no database\n")


def samples(text: str) -> dict[tuple[str, ...], float]:
    """Read by the library of those who made the format."""
    return {
        (sample.name, *(f"{name}={value}" for name, value in sorted(sample.labels.items()))): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


def test_answers_are_counted_by_route_and_status_in_the_format_of_prometheus(client: FlaskClient) -> None:
    for _ in range(3):
        client.get("/healthz")
    client.get("/no-such-page")
    found = samples(client.get("/metrics").text)
    assert found["trainer_requests_total", "route=/healthz", "status=2xx"] == 3
    assert found["trainer_requests_total", "route=none", "status=4xx"] == 1
    assert found["trainer_request_duration_seconds_count", "route=/healthz"] == 3
    assert found["trainer_request_duration_seconds_bucket", "le=+Inf", "route=/healthz"] == 3


def test_a_histogram_counts_up_to_and_with_each_bound() -> None:
    """prometheus.io, Exposition formats: buckets are cumulative, ``le`` is less or equal."""
    counts = Counts(["/a"])
    for seconds in (BOUNDS_S[0], BOUNDS_S[0] + 1e-9, 100.0):
        counts.add("/a", 200, seconds)
    found = samples(counts.text())
    name = "trainer_request_duration_seconds"
    buckets = [found[f"{name}_bucket", f"le={bound}", "route=/a"] for bound in (BOUNDS_S[0], BOUNDS_S[1], "+Inf")]
    assert buckets == [1, 2, 3]
    assert found[f"{name}_sum", "route=/a"] == pytest.approx(100.01, abs=1e-6)


def test_processes_that_were_forked_count_together_and_what_a_dead_one_counted_stays() -> None:
    counts = Counts(["/a"])
    children = []
    for number in range(4):
        child = os.fork()
        if child == 0:
            counts.take_slot(number)
            for _ in range(1000):
                counts.add("/a", 200, 0.001)
            os._exit(0)
        children.append(child)
    for child in children:
        os.waitpid(child, 0)
    assert samples(counts.text())["trainer_requests_total", "route=/a", "status=2xx"] == 4000


@pytest.mark.parametrize(
    ("address", "headers", "status"),
    [
        ("127.0.0.1", {}, 200),
        ("::1", {}, 200),
        ("192.0.2.7", {}, 404),
        ("127.0.0.1", {"X-Forwarded-For": "127.0.0.1"}, 404),
        ("127.0.0.1", {"Via": "1.1 proxy"}, 404),
    ],
)
def test_counts_are_for_this_machine_itself_and_not_for_whom_a_proxy_lets_through(
    client: FlaskClient, address: str, headers: dict[str, str], status: int
) -> None:
    answer = client.get("/metrics", headers=headers, environ_overrides={"REMOTE_ADDR": address})
    assert answer.status_code == status


@pytest.mark.parametrize(("given", "status"), [("Bearer right-word", 200), ("Bearer wrong", 404), ("", 404)])
def test_with_a_token_only_the_token_counts(app: Flask, given: str, status: int) -> None:
    app.config[METRICS_TOKEN] = "right-word"
    answer = app.test_client().get(
        "/metrics", headers={"Authorization": given}, environ_overrides={"REMOTE_ADDR": "192.0.2.7"}
    )
    assert answer.status_code == status


@pytest.fixture
def lines(caplog: pytest.LogCaptureFixture):
    caplog.set_level(logging.INFO, ACCESS_LOGGER)
    return lambda: [json.loads(JsonLines().format(record)) for record in caplog.records]


def test_a_line_tells_the_route_and_never_an_id_an_address_or_a_query(client: FlaskClient, lines) -> None:
    client.get("/practice/page-of-ann?name=ann@example.org", environ_overrides={"REMOTE_ADDR": "192.0.2.7"})
    (line,) = [each for each in lines() if each["logger"] == ACCESS_LOGGER]
    assert line["status"] == 404
    assert set(line) == {"at", "level", "logger", "process", "request", "method", "route", "status", "ms"}
    assert "ann" not in json.dumps(line)
    assert "192" not in line["route"]


def test_a_failure_is_told_by_its_kind_and_place_without_what_was_entered(app: Flask, lines) -> None:
    @app.get("/fails/<word>")
    def fails(word: str) -> str:
        raise LookupError(f"nobody is called {word}")

    app.config["PROPAGATE_EXCEPTIONS"] = False
    assert app.test_client().get("/fails/ann").status_code == 500
    (line,) = [each for each in lines() if "error" in each]
    assert line["error"] == "LookupError"
    assert any("test_health.py" in place for place in line["place"])
    assert "ann" not in json.dumps(line["message"]) + line["error"]


def test_the_number_of_a_request_is_that_of_the_proxy_where_it_is_a_plain_one(client: FlaskClient) -> None:
    assert client.get("/healthz", headers={REQUEST_ID: "abcdef-123456"}).headers[REQUEST_ID] == "abcdef-123456"
    for odd in ("short", "a b c d e f g h", "x" * 65, '{"a":"bbbbbbb"}'):
        answer = client.get("/healthz", headers={REQUEST_ID: odd})
        assert answer.headers[REQUEST_ID] != odd
