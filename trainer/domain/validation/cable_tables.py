"""Which methods and sizes the rating tables of Appendix 4 cover, by cable."""

from __future__ import annotations

from functools import cache

from trainer.domain.cables import CableType
from trainer.domain.limits.loading import read_table


@cache
def covered(cable: CableType) -> frozenset[tuple[str, float, int]]:
    """The combinations of method, size in mm2 and loaded conductors that the cable's table rates."""
    table = read_table(f"rating_{cable.value.lower()}.csv")
    return frozenset((method, float(size), int(loaded)) for method, size, loaded in table.rows)


def methods(cable: CableType) -> tuple[str, ...]:
    """The reference methods of the cable's table."""
    return tuple(sorted({method for method, _, _ in covered(cable)}))


def sizes_mm2(cable: CableType, method: str | None = None) -> tuple[float, ...]:
    """The sizes of the cable's table in ascending order, for one method or for any."""
    return tuple(sorted({size for each, size, _ in covered(cable) if method in (None, each)}))


def loaded_conductors(cable: CableType) -> frozenset[int]:
    """How many loaded conductors the cable's table knows: two, or two and three."""
    return frozenset(loaded for _, _, loaded in covered(cable))
