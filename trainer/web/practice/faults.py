"""A simulated fault in the installation as it was chosen: its way through the drawing, its waveform, who acts."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flask import Blueprint, abort, render_template, request
from flask_babel import gettext

from trainer.domain.answers.decisions import apply
from trainer.domain.faults.walk import FaultWalk, Mode, Note, WalkKind
from trainer.domain.faults.walks import fault_walks
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits, limits_for
from trainer.domain.physics.bands import rating_of
from trainer.domain.physics.front_ends import waveform
from trainer.domain.physics.responses import Function, Response, TripVerdict
from trainer.domain.vocabulary import Edition
from trainer.explain.diagram.fault_path import fault_path, step_words
from trainer.explain.diagram.outline import Request
from trainer.explain.diagram.render import single_line
from trainer.explain.names import capitalised, name_of
from trainer.explain.responses import reason_words
from trainer.explain.walks import told_walk, unanswered, walk_key
from trainer.web.practice.wired import practice, translated_engine
from trainer.web.waveform.bands import BandView, detector_band, residual_band
from trainer.web.waveform.plots import Plot, waveform_plot

blueprint = Blueprint("faults", __name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownStep:
    """One device on the way of the current, in words, with its band where it has one."""

    name: str
    words: str
    reason: str
    band: BandView | None


@blueprint.get("/s/<page_id>/result/<attempt_id>/fault")
def show(page_id: str, attempt_id: str) -> str:
    """One fault of the installation as it was chosen in an attempt."""
    opened, attempt = practice().open(page_id), practice().attempt(page_id, attempt_id)
    if opened is None or attempt is None or not opened.task.decisions:
        abort(404)
    house = apply(opened.task.house, opened.task.decisions, json.loads(attempt.answers_json))
    edition = Edition(attempt.edition)
    walks = fault_walks(house, edition)
    if not walks:
        abort(404)
    walk = _chosen(walks)
    engine = translated_engine()
    shown = fault_path(walk, house, engine.gettext)
    return render_template(
        "practice/fault.html",
        task=opened.task,
        page_id=page_id,
        attempt_id=attempt_id,
        places=_places(walks, house),
        here=_place(walk),
        walks=[(walk_key(each), _label(each, house)) for each in walks if _place(each) == _place(walk)],
        key=walk_key(walk),
        told=told_walk(walk, house, engine.gettext),
        walk=walk,
        steps=[_step(each, walk, house, limits_for(edition)) for each in walk.steps],
        names=lambda keys: [name_of(house, f"circuits.{key}", engine.gettext) for key in keys],
        plot=_plot(walk),
        diagram=single_line(
            house,
            Request(readings=shown.readings, tones=shown.tones, translate=engine.gettext),
            engine=engine,
        ),
    )


def _chosen(walks: Sequence[FaultWalk]) -> FaultWalk:
    """The fault that the address names; else the first of the place named, else the one that tells most."""
    key, place = request.args.get("walk"), request.args.get("at")
    known = {walk_key(each): each for each in walks}
    if key in known and place in (None, _place(known[key])):
        return known[key]
    open_ones = unanswered(walks)
    if place is None and key is not None:
        abort(404)
    here = [each for each in (*open_ones, *walks) if place is None or _place(each) == place]
    return here[0] if here else abort(404)


def telling_walks(house: Installation, edition: Edition) -> Mapping[str, str]:
    """For each place the address of the gravest fault that shows what is wrong there: no device need clear it."""
    found: dict[str, str] = {}
    for walk in unanswered(fault_walks(house, edition)):
        blind = [f"devices.{step.device}" for step in walk.steps if step.verdict is TripVerdict.NOT_REQUIRED]
        for path in (*blind, _place(walk), f"circuits.{walk.place.circuit}"):
            found.setdefault(path, walk_key(walk))
    return found


def _place(walk: FaultWalk) -> str:
    place = walk.place
    return f"equipment.{place.equipment}" if place.equipment else f"circuits.{place.circuit}"


def _places(walks: Sequence[FaultWalk], house: Installation) -> list[tuple[str, str]]:
    """Every place where a fault is simulated, once, as people call it."""
    paths = dict.fromkeys(map(_place, walks))
    return [(path, capitalised(name_of(house, path, gettext))) for path in paths]


def _label(walk: FaultWalk, house: Installation) -> str:
    """One fault among those at the same place."""
    kind = {
        WalkKind.BOLTED: gettext("bolted fault"),
        WalkKind.RESISTIVE: gettext("leak"),
        WalkKind.CONTACT: gettext("contact"),
    }[walk.kind]
    fed = {
        Mode.MAINS: "",
        Mode.ISLAND: gettext("island fed by %(source)s", source=_source(walk, house)),
        Mode.OPEN_PEN: gettext("PEN conductor open"),
    }[walk.mode]
    flowing = [name_of(house, _flow_path(key, house), gettext) for key in walk.flowing_from]
    point = told_walk(walk, house, gettext).where.rpartition(": ")[2]
    also = gettext("while d.c. flows from %(places)s", places=", ".join(flowing)) if flowing else ""
    return ", ".join(part for part in (kind, point, fed, also) if part)


def _source(walk: FaultWalk, house: Installation) -> str:
    return name_of(house, f"equipment.{walk.source}", gettext)


def _flow_path(key: str, house: Installation) -> str:
    return f"{'equipment' if key in house.equipment else 'circuits'}.{key}"


def _step(step: Response, walk: FaultWalk, house: Installation, limits: Limits) -> ShownStep:
    path = step.device if "." in step.device else f"devices.{step.device}"
    name = gettext("cut-out fuse") if path == "supply.fuse" else name_of(house, path, gettext)
    if path.count(".") > 1:
        name = gettext("inside %(equipment)s", equipment=name)
    return ShownStep(
        name=capitalised(name),
        words=step_words(step, gettext),
        reason=reason_words(step.reason, gettext),
        band=_band(step, walk, house, limits),
    )


def _band(step: Response, walk: FaultWalk, house: Installation, limits: Limits) -> BandView | None:
    if step.function is Function.DIRECT_CURRENT:
        return detector_band(walk.current, step, limits)
    device = house.devices.get(step.device)
    rating = rating_of(device) if device and step.function is Function.RESIDUAL else None
    return residual_band(rating, walk.current, step, limits) if rating else None


def _plot(walk: FaultWalk) -> Plot | None:
    """The waveform of the fault current, or None where none flows."""
    front_end = walk.place.front_end
    if front_end is None or Note.NO_RESIDUAL_CURRENT in walk.notes or not walk.current.rms_ma:
        return None
    shape = waveform(front_end, walk.place.point)
    return waveform_plot(shape.scaled(walk.current.rms_ma / shape.rms_ma)) if shape.rms_ma else None
