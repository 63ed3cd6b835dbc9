"""Fingerprints of scenarios: the hash of what a seed gives, apart from the version of the rule set.

Run as a program it prints them as JSON. After a change that is meant to alter scenarios (then the
generator's version goes up as well), write them anew from the top folder:

    python -m tests.domain.generator.golden > tests/domain/generator/golden_hashes.json
"""

from __future__ import annotations

import json
import sys
from typing import Final

from trainer.domain.generator.generate import generate
from trainer.domain.generator.request import TaskRequest
from trainer.interop.canonical import content_hash
from trainer.interop.task_json import task_json
from trainer.services.scenarios import scenarios

CASES: Final = (
    (0, 1), (1, 1), (7671, 1), (2, 2), (3, 2), (2**63 - 1, 2), (4, 3), (5, 3), (123456789, 3), (6, 4), (7, 4),
    (2**53 + 1, 4), (8, 4), (9, 4),
)  # fmt: skip


def fingerprint(seed: int, level: int) -> str:
    """The hash of one scenario as JSON, without what changes with the rules alone."""
    task = generate(TaskRequest(seed=seed, level=level), scenarios())
    document = task_json(task, [0] * len(task.decisions), "", with_key=True)
    # The margin follows from the rules on the same house, and would change with them alone.
    document["key"].pop("margin", None)
    return content_hash({name: value for name, value in document.items() if name not in ("id", "rule_set_version")})


def fingerprints() -> dict[str, str]:
    """The fingerprint of every case."""
    return {f"seed {seed}, level {level}": fingerprint(seed, level) for seed, level in CASES}


if __name__ == "__main__":
    json.dump(fingerprints(), sys.stdout, indent=1)
    sys.stdout.write("\n")
