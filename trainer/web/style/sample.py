"""One small invented house, drawn in every state that a drawing can have."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from flask_babel import gettext
from markupsafe import Markup

from trainer.domain.faults.walk import FaultWalk
from trainer.domain.faults.walks import fault_walks
from trainer.domain.installation import Installation
from trainer.domain.physics.responses import TripVerdict
from trainer.domain.vocabulary import Outcome
from trainer.explain.diagram.fault_path import fault_path
from trainer.explain.diagram.nodes import Mark
from trainer.explain.diagram.outline import Request
from trainer.explain.diagram.render import Diagram, single_line
from trainer.explain.engine import Engine
from trainer.explain.walks import unanswered
from trainer.interop.installations import read_installation
from trainer.resources import folder

_EXAMPLE = "type-a-above-type-b.toml"


@cache
def _house() -> Installation:
    return read_installation((folder("scenarios") / "examples" / _EXAMPLE).read_bytes()).installation


def _ends_and_tells(walk: FaultWalk) -> bool:
    """True for a fault that one device must clear while another may act as well."""
    return walk.is_cleared and any(step.verdict is TripVerdict.MAY for step in walk.steps)


def sample_diagrams(engine: Engine) -> dict[str, Diagram]:
    """The drawing with open decisions, with findings, and with a fault."""
    house = _house()
    devices = [f"devices.{key}" for key in house.devices]
    last = devices[-1]
    opened = Request(
        undecided=frozenset((*(f"{path}.rcd_type" for path in devices), f"{last}.fed_by")),
        links=dict.fromkeys(devices, "#diagrams"),
        translate=engine.gettext,
    )
    words = (gettext("complies"), gettext("does not comply"), gettext("advice"), gettext("undetermined"))
    marks = {
        path: Mark(outcome=outcome, word=word)
        for path, outcome, word in zip(
            (*devices, *(f"circuits.{key}" for key in house.circuits)), (*Outcome,) * 9, words * 9, strict=False
        )
    }
    walks = fault_walks(house)
    shown = fault_path((unanswered(walks) or walks)[0], house, engine.gettext)
    cleared = fault_path(next(filter(_ends_and_tells, walks), walks[0]), house, engine.gettext)
    requests = {
        "open": opened,
        "marked": Request(marks=marks, translate=engine.gettext),
        "cleared": Request(readings=cleared.readings, tones=cleared.tones, translate=engine.gettext),
        "fault": Request(readings=shown.readings, tones=shown.tones, translate=engine.gettext),
    }
    drawn = {name: single_line(house, each, engine=engine, prefix=f"sample-{name}") for name, each in requests.items()}
    # What the script marks while its options are open, frozen here.
    drawn["open"] = replace(drawn["open"], svg=drawn["open"].svg.replace("<a ", Markup('<a class="is-open" '), 1))
    return drawn
