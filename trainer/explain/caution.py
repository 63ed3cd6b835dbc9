"""The caution that stands wherever a verdict stands."""

from __future__ import annotations

from collections.abc import Callable

Translate = Callable[[str], str]


def caution_paragraphs(_: Translate = str) -> tuple[str, str]:
    """What the program is not and who decides; then how to work safely. ``_`` translates."""
    return (
        _(
            "This is a training aid with invented installations. It is not a design, inspection or certification "
            "tool, and its records are not a qualification, a competence card or a certificate of an installation. "
            "The current edition, the maker's instructions, the network operator and local codes decide."
        ),
        _(
            "Work only by skilled persons, licensed where the place requires it; some work is notifiable under "
            "building regulations. Isolate and lock off every source: supply, PV, battery, vehicle; wait the maker's "
            "discharge time; prove dead at the point of work with a proved tester. PV conductors stay live in light, "
            "battery terminals always."
        ),
    )


CAUTION = " ".join(caution_paragraphs())
