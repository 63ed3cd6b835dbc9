"""What the parts of addresses mean for somebody who is signed in: real ids, the largest things first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from flask import Flask, url_for
from sqlalchemy import text
from sqlalchemy.orm import Session

from trainer.persistence.database import Database

# The same for everybody; of each kind what is read most.
FREE: Mapping[str, Sequence[Any]] = {
    "variant": (1,),
    "position": (1,),
    "name": ("marks.csv", "marks.xlsx"),
    "objective_id": ("LO02", "LO48"),
    "rule_id": ("RCD-01", "OC-03"),
    "token": ("no-such-link",),
    "filename": ("trainer.css",),
}
# Further addresses of a route: pages in the middle of long lists, searches.
ASKED: Mapping[str, Sequence[Mapping[str, str]]] = {
    "organisation.people": ({"search": "smith"}, {"state": "active"}),
    "plan.history": ({"page": "20"},),
    "programmes.matrix": ({"search": "smith"},),
    "records.index": ({"search": "smith"},),
    "rules.index": ({"q": "earth rod"},),
}
# What a name in an address stands for, by the largest of its kind; :o is the organisation, :m the member.
_STAFF = {
    "group_id": "SELECT group_id FROM group_member WHERE organisation_id = :o AND (:all OR group_id IN"
    " (SELECT group_id FROM group_member WHERE member_id = :m)) GROUP BY group_id ORDER BY count(*) DESC, 1 LIMIT 1",
    "member_id": "SELECT member_id FROM sitting WHERE organisation_id = :o GROUP BY 1 ORDER BY count(*) DESC, 1"
    " LIMIT 1",
    "paper_id": "SELECT * FROM (SELECT paper_id FROM sitting JOIN paper ON paper.id = paper_id WHERE"
    " sitting.organisation_id = :o AND paper.state = 'released' AND (:all OR made_by = :m)"
    " GROUP BY 1 ORDER BY count(*) DESC, 1 LIMIT 1) AS a UNION ALL SELECT * FROM (SELECT id FROM paper WHERE"
    " organisation_id = :o AND state = 'open' AND (:all OR made_by = :m) ORDER BY created_at, id LIMIT 1) AS b",
    "sitting_id": "SELECT sitting.id FROM sitting JOIN paper ON paper.id = paper_id WHERE sitting.organisation_id = :o"
    " AND paper.state = 'released' AND (:all OR made_by = :m) ORDER BY paper.created_at DESC, sitting.id LIMIT 1",
    "programme_id": "SELECT programme_id FROM assignment WHERE organisation_id = :o GROUP BY 1 ORDER BY count(*) DESC,"
    " 1 LIMIT 1",
    "record_id": "SELECT id FROM training_record WHERE organisation_id = :o ORDER BY issued_at DESC, id LIMIT 1",
    "job_id": "SELECT id FROM job WHERE organisation_id = :o AND asked_by = :p ORDER BY created_at DESC LIMIT 1",
}
_OWN = {
    "paper_id": "SELECT paper_id FROM paper_group JOIN group_member ON group_member.group_id = paper_group.group_id"
    " JOIN paper ON paper.id = paper_id WHERE member_id = :m ORDER BY paper.created_at DESC, 1 LIMIT 2",
    "sitting_id": "SELECT id FROM sitting WHERE member_id = :m ORDER BY started_at DESC, id LIMIT 2",
    "record_id": "SELECT id FROM training_record WHERE member_id = :m ORDER BY issued_at DESC, id LIMIT 1",
}
_PRACTICE = (
    "SELECT page_id, attempt.id AS attempt_id, kind FROM attempt JOIN page ON page.id = page_id JOIN task ON"
    " task.content_hash = page.content_hash WHERE attempt.learner_id = :l ORDER BY submitted_at DESC, attempt.id"
    " LIMIT 60"
)
_OWN_ROUTES = ("sittings.", "refreshers.", "records.show", "records.pdf", "plan.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who is signed in, or nobody."""

    role: str
    person_id: str | None = None
    member_id: str | None = None
    organisation_id: str | None = None
    learner_id: str | None = None

    @property
    def sees_all(self) -> bool:
        """True for whoever sees every group and paper of the organisation."""
        return self.role in {"administrator", "training_manager"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """One page of one route."""

    endpoint: str
    path: str


def addresses(app: Flask, database: Database, who: Person) -> list[Address]:
    """Every page that can be opened by reading, with what is there for this person in its parts."""
    with database.reading() as session:
        found = _Found(session, who)
    listed: list[Address] = []
    with app.test_request_context():
        for rule in sorted(app.url_map.iter_rules(), key=lambda each: each.endpoint):
            if "GET" not in (rule.methods or ()) or rule.endpoint == "static":
                continue
            for values in found.values(rule.endpoint, sorted(rule.arguments)):
                listed += [
                    Address(endpoint=rule.endpoint, path=url_for(rule.endpoint, **values, **asked))
                    for asked in ({}, *ASKED.get(rule.endpoint, ()))
                ]
    return listed


class _Found:
    """Ids as they were found for a person."""

    def __init__(self, session: Session, who: Person) -> None:
        values = {
            "o": who.organisation_id, "m": who.member_id, "p": who.person_id, "all": who.sees_all, "l": who.learner_id,
        }  # fmt: skip
        self._staff = {name: _ids(session, query, values) for name, query in _STAFF.items()} if who.member_id else {}
        self._own = {name: _ids(session, query, values) for name, query in _OWN.items()} if who.member_id else {}
        practised = session.execute(text(_PRACTICE), values).mappings().all()
        if not practised:
            anybody = {"l": session.execute(text("SELECT learner_id FROM attempt ORDER BY 1 LIMIT 1")).scalar()}
            practised = session.execute(text(_PRACTICE), anybody).mappings().all()
        # One of each kind of task.
        self._practice = list({row["kind"]: dict(row) for row in practised}.values())
        self._code = _ids(session, "SELECT code FROM training_record ORDER BY issued_at DESC, id LIMIT 1", {})

    def values(self, endpoint: str, names: Sequence[str]) -> Iterator[dict[str, Any]]:
        """Values for the parts of an address; none where there is nothing of the kind."""
        if "page_id" in names:
            yield from ({name: each[name] for name in names} for each in self._practice)
            return
        own = endpoint.startswith(_OWN_ROUTES)
        known = {**FREE, **self._staff, **(self._own if own else {}), "code": self._code}
        choices = [known.get(name, ()) for name in names]
        yield from (dict(zip(names, each, strict=True)) for each in product(*choices))


def _ids(session: Session, query: str, values: Mapping[str, Any]) -> list[Any]:
    named = {name: value for name, value in values.items() if f":{name}" in query}
    return list(session.execute(text(query), named).scalars())
