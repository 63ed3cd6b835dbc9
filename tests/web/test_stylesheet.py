"""The colours of the one stylesheet."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

GROUNDS = ("paper", "paper-raised", "paper-sunk")
INKS = ("ink", "ink-soft", "accent", "pass", "fail", "advice", "undetermined")
PAIRS = [
    *((ink, ground) for ink in INKS for ground in GROUNDS),
    *((state, f"{state}-wash") for state in ("pass", "fail", "advice", "undetermined")),
    ("ink", "accent-wash"),
    ("ink-soft", "accent-wash"),
    ("accent-ink", "accent"),
]


def colours(root: Path, scheme: str) -> dict[str, str]:
    text = (root / "trainer/web/static/trainer.css").read_text(encoding="utf-8")
    light, dark, *_ = re.findall(r":root {(.*?)}", text, re.DOTALL)
    found = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", light))
    if scheme == "dark":
        found |= dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", dark))
    return found


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(first: str, second: str) -> float:
    """Contrast ratio as WCAG 2.2 defines it, 1 to 21."""
    low, high = sorted((luminance(first), luminance(second)))
    return (high + 0.05) / (low + 0.05)


def test_black_on_white_has_the_largest_contrast() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("ink", "ground"), PAIRS)
def test_text_can_be_read_on_its_ground(root: Path, scheme: str, ink: str, ground: str) -> None:
    """WCAG 2.2, 1.4.3 Contrast (Minimum), level AA: 4.5 to 1."""
    colour = colours(root, scheme)
    assert contrast(colour[ink], colour[ground]) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("ground", GROUNDS)
def test_the_edge_of_a_field_can_be_seen(root: Path, scheme: str, ground: str) -> None:
    """WCAG 2.2, 1.4.11 Non-text Contrast, level AA: 3 to 1."""
    colour = colours(root, scheme)
    assert contrast(colour["line-strong"], colour[ground]) >= 3


def test_every_colour_that_is_used_is_one_of_the_named_ones(root: Path) -> None:
    text = (root / "trainer/web/static/trainer.css").read_text(encoding="utf-8")
    rules = re.sub(r":root {.*?}", "", text, flags=re.DOTALL)
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b|rgba?\(|hsla?\(", rules) == []
