"""Fingerprints of questions: the hash of what a seed gives, apart from the version of the rule set.

Run as a program it prints them as JSON. After a change that is meant to alter questions (then
``QUESTIONS_VERSION`` goes up as well), write them anew from the top folder:

    python -m tests.domain.questions.golden > tests/domain/questions/golden_hashes.json
"""

from __future__ import annotations

import json
import sys
from typing import Final

from trainer.domain.questions.making import make_question
from trainer.interop.canonical import content_hash
from trainer.interop.task_json import task_json
from trainer.services.scenarios import scenarios

CASES: Final = (
    (0, "least_type_for_a_load"), (1, "circuits_with_additional_protection"), (7671, "leakage_left_to_use"),
    (2**53 + 1, "order_of_devices_in_series"), (2**63 - 1, "regulation_behind_additional_protection"),
    (5, "device_that_smooth_dc_blinds"), (6, "types_that_must_act"), (7, "electrode_on_three_phases"),
    (8, "rating_of_a_flat_cable"), (9, "codes_of_observations"),
    (10, "devices_beyond_30_percent"), (11, "who_acts_while_dc_flows"), (12, "longest_run_behind_a_second_board"),
    (13, "order_of_safe_isolation"), (14, "break_times_in_order"),
)  # fmt: skip
ANY_FAMILY: Final = (0, 1, 2, 3, 2**63 - 1)
"""Seeds that draw their family too: a family that is added changes which one a seed gives."""


def fingerprint(seed: int, family: str | None) -> str:
    """The hash of one question as JSON, without what changes with the rules alone."""
    document = task_json(make_question(seed, scenarios(), family=family), [], "", with_key=True)
    return content_hash({name: value for name, value in document.items() if name not in ("id", "rule_set_version")})


def fingerprints() -> dict[str, str]:
    """The fingerprint of every case."""
    return {f"seed {seed}, {family}": fingerprint(seed, family) for seed, family in CASES} | {
        f"seed {seed}, any family": fingerprint(seed, None) for seed in ANY_FAMILY
    }


if __name__ == "__main__":
    json.dump(fingerprints(), sys.stdout, indent=1)
    sys.stdout.write("\n")
