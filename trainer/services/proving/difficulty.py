"""How alike in difficulty the tasks of an archetype and level are."""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from trainer.domain.generator.features import NAMES, features_of, values
from trainer.domain.generator.request import TaskRequest
from trainer.services.scenarios import make_task

Family = tuple[str, int]
"""An archetype and a level."""
Sample = dict[Family, dict[str, list[float]]]

_PERCENT = 100.0
WITHIN_PERCENT = 15.0
"""Within how much of the middle the words of a family have to lie, from the shortest to the longest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """The least, middle and largest value of a feature, where nine of ten lie, and where two of three are below."""

    least: float
    fifth: float
    median: float
    sixty_fifth: float
    ninety_fifth: float
    largest: float

    @property
    def width_percent(self) -> float:
        """From least to largest, in % of the middle."""
        return round((self.largest - self.least) / self.median * _PERCENT, 1) if self.median else 0.0


def sampled(seeds: Iterable[int], families: Iterable[Family]) -> Sample:
    """The features of the tasks of each seed, in every family."""
    known = tuple(families)
    sample: Sample = {family: {name: [] for name in NAMES} for family in known}
    for seed in seeds:
        for archetype, level in known:
            task = make_task(TaskRequest(seed=seed, level=level, archetype=archetype))
            for name, value in values(features_of(task)):
                sample[archetype, level][name].append(value)
    return sample


def merge(into: Sample, other: Mapping[Family, Mapping[str, list[float]]]) -> None:
    """Add one sample to another."""
    for family, by_name in other.items():
        own = into.setdefault(family, {name: [] for name in NAMES})
        for name, found in by_name.items():
            own[name].extend(found)


def spread(found: list[float]) -> Spread:
    """The spread of some values."""
    ordered = sorted(found)
    last = len(ordered) - 1
    return Spread(
        least=ordered[0],
        fifth=ordered[round(0.05 * last)],
        median=statistics.median(ordered),
        sixty_fifth=ordered[round(0.65 * last)],
        ninety_fifth=ordered[round(0.95 * last)],
        largest=ordered[-1],
    )


def spreads(sample: Sample) -> Iterator[tuple[Family, dict[str, Spread]]]:
    """The spread of every feature in every family, in order."""
    for family in sorted(sample):
        yield family, {name: spread(found) for name, found in sample[family].items() if found}


def words_to_aim_at(family_spreads: Mapping[str, Spread]) -> int:
    """What an archetype's ``words`` says of a level, to the next ten: papers are rather lengthened than cut."""
    return 10 * round(family_spreads["words"].sixty_fifth / 10)


def too_wide(family_spreads: Mapping[str, Spread]) -> bool:
    """True where the words to read differ by more than they may."""
    return family_spreads["words"].width_percent > WITHIN_PERCENT
