"""The waveform page: a residual current, the bands of the devices, and the core that goes blind."""

from __future__ import annotations

from collections.abc import Mapping

from flask import Blueprint, render_template, request
from flask_babel import gettext

from trainer.domain.errors import OutOfRangeError, Problem, TrainerError
from trainer.domain.limits import limits_for
from trainer.domain.physics.core import CAPTION, core_curve, core_of
from trainer.domain.physics.front_ends import FRONT_ENDS
from trainer.domain.physics.front_ends.parameters import Parameter
from trainer.domain.physics.responses import residual_current_of
from trainer.domain.vocabulary import DEFAULT_EDITION, FrontEnd, RcdType, ResidualDelay
from trainer.explain.responses import reason_words, verdict_word
from trainer.services.waveforms import Device, Watched, entry_of, watch
from trainer.web.waveform.bands import BandView, bands_of
from trainer.web.waveform.plots import core_plot, current_plot

blueprint = Blueprint("waveform", __name__)

_DEVICE = {"rating": 30.0, "standing_dc": 0.0}
_OWN = ("front_end", "fault", "delay", *_DEVICE)
_FIRST = FrontEnd.BRIDGE_POWER_FACTOR_STAGE
_CURVE_DC_MA = tuple(float(dc) for dc in range(0, 61, 2))


@blueprint.get("/waveform")
def show() -> tuple[str, int]:
    """The page for what the address names; a value that cannot be is told beside the form, which stays."""
    entry = entry_of(request.args.get("front_end", _FIRST))
    problems: tuple[Problem, ...] = ()
    try:
        watched = watch(entry.front_end, _fault(entry.fault_points), _quantities(entry.parameters), _device())
    except TrainerError as error:
        problems = error.problems
        watched = watch(entry.front_end)
    types = [kind for kind in RcdType if kind is not RcdType.B]
    cores = {kind.value: core_curve(core_of(kind, limits_for(DEFAULT_EDITION)), _CURVE_DC_MA) for kind in types}
    page = render_template(
        "waveform/page.html",
        watched=watched,
        entry=entry,
        front_ends=tuple(FRONT_ENDS.values()),
        problems=problems,
        asked=request.args,
        plot=current_plot(watched),
        bands=_bands(watched),
        core=core_plot(cores),
        cores=cores,
        core_caption=gettext(CAPTION),
        verdict_word=lambda verdict: verdict_word(verdict, gettext),
        reason_words=lambda reason: reason_words(reason, gettext),
    )
    return page, 400 if problems else 200


def _bands(watched: Watched) -> Mapping[str, BandView]:
    rated_ma = watched.device.rated_residual_operating_current_ma
    return bands_of(watched, residual_current_of(watched.waveform, rated_ma), limits_for(DEFAULT_EDITION))


def _fault(points: tuple[str, ...]) -> str:
    """The fault point asked for; after a change of front end one that it lacks is not kept."""
    asked = request.args.get("fault", "")
    return asked if asked in points or "keep" in request.args else ""


def _quantities(parameters: tuple[Parameter, ...]) -> dict[str, float]:
    """The parameters that the address gives; the others keep their defaults."""
    return {each.name: _number(each.name) for each in parameters if request.args.get(each.name, "") != ""}


def _number(name: str) -> float:
    """The number in a field. *Raises* OutOfRangeError."""
    text = request.args.get(name, "")
    try:
        return float(text)
    except ValueError as error:
        raise OutOfRangeError(Problem(path=name, value=text[:40], problem=gettext("must be a number"))) from error


def _device() -> Device:
    given = {name: _number(name) if request.args.get(name, "") != "" else usual for name, usual in _DEVICE.items()}
    return Device(
        rated_residual_operating_current_ma=given["rating"],
        standing_dc_ma=given["standing_dc"],
        delay=ResidualDelay.S if request.args.get("delay") == ResidualDelay.S else ResidualDelay.GENERAL,
    )
