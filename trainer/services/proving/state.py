"""What a long proof has done so far, in a file, so that it can go on after a stop."""

from __future__ import annotations

import base64
import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from trainer.domain.errors import Problem, TrainerError
from trainer.services.proving.seeds import Failure, Proof

FORMAT = "protection-trainer/proof"


class ProofStateError(TrainerError):
    """A file that is no record of a proof, or of another one."""


class ProofState:
    """The finished pieces of one proof, a line each; the first line says of which."""

    def __init__(self, path: Path, about: dict[str, object]) -> None:
        self.path = path
        self.about = {"format": FORMAT, **about}

    def start(self) -> dict[int, Proof]:
        """The pieces that are done already, by their first seed. *Raises* ProofStateError."""
        if not self.path.exists():
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self.path.write_text(json.dumps(self.about, sort_keys=True) + "\n", "utf-8")
            return {}
        first, *rest = self.path.read_text("utf-8").splitlines() or [""]
        if first != json.dumps(self.about, sort_keys=True):
            raise ProofStateError(
                Problem(
                    path=str(self.path),
                    value=first[:120],
                    problem="is the state of another proof: other seeds, kinds, levels, or another version of the "
                    "generator or the rules; name another file with --state, or delete this one",
                )
            )
        return dict(_pieces(rest))

    def add(self, first_seed: int, proof: Proof) -> None:
        """Keep one finished piece."""
        line = {
            "first": first_seed,
            "scenarios": proof.scenarios,
            "failures": [asdict(each) for each in proof.failures],
            "prints": {name: base64.b64encode(bytes(packed)).decode() for name, packed in proof.prints.items()},
        }
        with self.path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(line, sort_keys=True) + "\n")


def _pieces(lines: list[str]) -> Iterator[tuple[int, Proof]]:
    """Each whole line; a last one that was cut off by the stop is done again."""
    for line in lines:
        try:
            raw = json.loads(line)
        except json.JSONDecodeError:
            continue
        yield (
            raw["first"],
            Proof(
                scenarios=raw["scenarios"],
                failures=[Failure(**each) for each in raw["failures"]],
                prints={name: bytearray(base64.b64decode(text)) for name, text in raw["prints"].items()},
            ),
        )
