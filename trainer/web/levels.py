"""The levels, in the words of the page."""

from __future__ import annotations

from dataclasses import dataclass

from flask_babel import LazyString, lazy_gettext


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """How much of a house a task covers."""

    number: int
    title: LazyString
    description: LazyString


LEVELS = (
    Level(
        number=1,
        title=lazy_gettext("One circuit, one decision"),
        description=lazy_gettext("A first task: a minute or two."),
    ),
    Level(
        number=2,
        title=lazy_gettext("One circuit, all of its decisions"),
        description=lazy_gettext("Device, type, rating, cable and earthing together."),
    ),
    Level(
        number=3,
        title=lazy_gettext("A board with shared devices"),
        description=lazy_gettext("Currents add: what one way passes, another device must tolerate."),
    ),
    Level(
        number=4,
        title=lazy_gettext("A whole house with its sources"),
        description=lazy_gettext("Charger, heat pump, solar panels, battery, earthing and islands."),
    ),
    Level(
        number=5,
        title=lazy_gettext("A small business, and what was there before"),
        description=lazy_gettext("Three phases, several chargers, and faults in the old board for you to notice."),
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """What a learner does with a task."""

    name: str
    title: LazyString
    description: LazyString


KINDS = (
    Kind(
        name="choose",
        title=lazy_gettext("Choose the protection"),
        description=lazy_gettext("An invented house with its papers. Any answer that complies earns the marks."),
    ),
    Kind(
        name="inspect",
        title=lazy_gettext("Inspect what stands there"),
        description=lazy_gettext("Find the faults, give each its observation code, say what you do first."),
    ),
    Kind(
        name="measure",
        title=lazy_gettext("Judge test readings"),
        description=lazy_gettext("A sheet of readings: accept, look further, or refuse."),
    ),
    Kind(
        name="question",
        title=lazy_gettext("A short question"),
        description=lazy_gettext("One thing at a time: a choice, a number, an order, a place in a drawing."),
    ),
)
