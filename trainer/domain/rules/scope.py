"""What the rule book does not judge: said beside every verdict, so that silence is no approval."""

from __future__ import annotations

from typing import Final

NOT_COVERED: Final[tuple[str, ...]] = (
    "special locations other than bathrooms (701), agricultural premises (705) and caravan pitches (708)",
    "medical locations (710)",
    "supplies above 230 V to earth, and IT systems",
    "extra-low voltage circuits (414)",
    "escape, alarm and other safety services (Chapter 56)",
    "functional earthing and electromagnetic compatibility (444)",
    "structural lightning protection (BS EN 62305)",
    "fire detection and alarm systems beyond the alarm beside a battery (BS 5839)",
    "wiring systems in their surroundings: water, heat, animals, penetrations, fire stopping (522, 527)",
    "outbuildings and boards earthed by an electrode of their own beside the earth of the supply",
    "supplementary bonding (415.2)",
    "construction and condition of accessories, enclosures and joints, which only inspection shows",
    "building regulations, planning and the safety of the structure",
)
