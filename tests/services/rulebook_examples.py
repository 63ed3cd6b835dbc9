"""Every worked example of the rule book, worked once."""

from __future__ import annotations

from functools import cache

from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.vocabulary import DEFAULT_EDITION
from trainer.interop.installations import read_installation
from trainer.resources import folder
from trainer.services.rulebook.examples import WorkedExample, worked_example
from trainer.services.rulebook.pages import page_texts

IDS = [rule.id for rule in ALL_RULES]
RULES = {rule.id: rule for rule in ALL_RULES}


@cache
def houses() -> dict[str, Installation]:
    files = sorted((folder("scenarios") / "examples").glob("*.toml"))
    return {file.stem: read_installation(file.read_bytes()).installation for file in files}


@cache
def example(rule_id: str) -> WorkedExample:
    return worked_example(RULES[rule_id], page_texts()[rule_id].example, houses(), DEFAULT_EDITION)
