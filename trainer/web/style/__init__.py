"""The design written down: every component of the pages in every state, with the names of its classes."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, render_template
from flask_babel import LazyString, lazy_gettext

from trainer.domain.physics.bands import Band
from trainer.domain.physics.front_ends import FaultPoint, waveform
from trainer.domain.vocabulary import FrontEnd, Outcome
from trainer.web.practice.wired import translated_engine
from trainer.web.style.sample import sample_diagrams
from trainer.web.waveform.bands import band_view
from trainer.web.waveform.plots import waveform_plot

blueprint = Blueprint("style", __name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """A custom property, a size or a sign, and what it is for."""

    name: str
    use: LazyString


COLOURS = (
    Named(name="ink", use=lazy_gettext("text and lines")),
    Named(name="ink-soft", use=lazy_gettext("what is said beside it")),
    Named(name="paper", use=lazy_gettext("the sheet")),
    Named(name="paper-raised", use=lazy_gettext("what lies on the sheet")),
    Named(name="paper-sunk", use=lazy_gettext("the table under the sheet")),
    Named(name="line", use=lazy_gettext("thin rules")),
    Named(name="line-strong", use=lazy_gettext("firm rules and edges of fields")),
    Named(name="accent", use=lazy_gettext("what can be pressed, and curves")),
    Named(name="accent-wash", use=lazy_gettext("what is chosen")),
    Named(name="pass", use=lazy_gettext("complies")),
    Named(name="fail", use=lazy_gettext("does not comply")),
    Named(name="advice", use=lazy_gettext("advice")),
    Named(name="undetermined", use=lazy_gettext("cannot be determined")),
    Named(name="lit", use=lazy_gettext("the way of a fault current")),
)

SIZES = ("s", "m", "l", "xl", "xxl")
SPACES = ("xs", "s", "m", "l", "xl")

SIGNS = (
    Named(name="contact_breaker", use=lazy_gettext("contact of a circuit-breaker")),
    Named(name="contact_switch", use=lazy_gettext("contact of a switch-disconnector")),
    Named(name="contact_open", use=lazy_gettext("contact of a device still to be chosen")),
    Named(name="fuse", use=lazy_gettext("fuse")),
    Named(name="core", use=lazy_gettext("residual current core")),
    Named(name="release", use=lazy_gettext("overcurrent release")),
    Named(name="delay", use=lazy_gettext("time-delayed (S)")),
    Named(name="one_way", use=lazy_gettext("fed from one side only")),
    Named(name="both_ways", use=lazy_gettext("fed from either side")),
    Named(name="type_ac", use=lazy_gettext("type AC")),
    Named(name="type_a", use=lazy_gettext("type A")),
    Named(name="type_f", use=lazy_gettext("type F")),
    Named(name="type_b", use=lazy_gettext("type B")),
    Named(name="type_open", use=lazy_gettext("type still to be chosen")),
    Named(name="supply", use=lazy_gettext("supply")),
    Named(name="electrode", use=lazy_gettext("earth electrode")),
    Named(name="surge", use=lazy_gettext("surge protection")),
    Named(name="charger", use=lazy_gettext("charging point (our own)")),
    Named(name="heat_pump", use=lazy_gettext("heat pump")),
    Named(name="pv", use=lazy_gettext("PV inverter")),
    Named(name="battery", use=lazy_gettext("battery")),
    Named(name="hybrid", use=lazy_gettext("hybrid inverter")),
    Named(name="luminaires", use=lazy_gettext("luminaires")),
    Named(name="sockets", use=lazy_gettext("socket-outlets")),
    Named(name="motor", use=lazy_gettext("motor")),
    Named(name="heating", use=lazy_gettext("heating")),
    Named(name="load", use=lazy_gettext("other load")),
    Named(name="fault", use=lazy_gettext("place of a fault")),
    Named(name="verdict_must_trip", use=lazy_gettext("must act")),
    Named(name="verdict_may_trip", use=lazy_gettext("may act")),
    Named(name="verdict_not_required_to_trip", use=lazy_gettext("is not required to act")),
    Named(name="verdict_must_not_trip", use=lazy_gettext("must not act")),
    Named(name="goes_dark", use=lazy_gettext("goes dark")),
    Named(name="may_go_dark", use=lazy_gettext("may go dark")),
)

_BANDS = ((10.0, True), (22.0, True), (45.0, True), (400.0, True), (40.0, False))


@blueprint.get("/style")
def show() -> str:
    """The living page of the design."""
    engine = translated_engine()
    shape = waveform(FrontEnd.BRIDGE_POWER_FACTOR_STAGE, FaultPoint.DC_POSITIVE)
    return render_template(
        "style/page.html",
        colours=COLOURS,
        sizes=SIZES,
        spaces=SPACES,
        signs=SIGNS,
        outcomes=tuple(Outcome),
        bands=[band_view(Band(15.0, 30.0), value, is_promised=promised) for value, promised in _BANDS],
        plot=waveform_plot(shape.scaled(30.0 / shape.rms_ma), 6.0),
        diagrams=sample_diagrams(engine),
    )
