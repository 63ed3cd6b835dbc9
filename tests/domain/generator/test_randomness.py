"""Draws: the sequence of the language's own generator, streams apart, fair choices.

*Source*: the documentation of ``random`` keeps the sequence of ``random()`` for a seed across
versions; critical values of chi-squared from any table (0.001, upper tail).
"""

from __future__ import annotations

import hashlib
import math
import random
from collections import Counter

from trainer.domain.generator.randomness import Draws

SIDES = 6
CHI_SQUARED_5_AT_0_001 = 20.515
CHI_SQUARED_2_AT_0_001 = 13.816


def draws(seed: int = 1, section: str = "house") -> Draws:
    return Draws(seed, section, "1")


def test_a_stream_is_the_languages_generator_on_a_seed_made_of_seed_section_and_version():
    digest = hashlib.sha256(b"42|supply|7").digest()
    expected = random.Random(int.from_bytes(digest[:8], "big"))
    stream = Draws(42, "supply", "7")
    assert [stream.fraction() for _ in range(5)] == [expected.random() for _ in range(5)]


def test_streams_of_two_sections_of_one_seed_are_different():
    assert draws(section="supply").fraction() != draws(section="board").fraction()


def test_whole_numbers_reach_both_ends_and_nothing_beyond():
    stream = draws()
    assert {stream.integer(1, SIDES) for _ in range(500)} == set(range(1, SIDES + 1))


def test_whole_numbers_are_equally_likely():
    stream, throws = draws(), 6000
    seen = Counter(stream.integer(1, SIDES) for _ in range(throws))
    expected = throws / SIDES
    assert math.fsum((seen[side] - expected) ** 2 / expected for side in range(1, SIDES + 1)) < CHI_SQUARED_5_AT_0_001


def test_weights_are_proportions():
    stream, throws, weights = draws(), 6000, {"rare": 1.0, "usual": 3.0, "common": 6.0}
    seen = Counter(stream.weighted(list(weights), list(weights.values())) for _ in range(throws))
    expected = {name: throws * weight / 10 for name, weight in weights.items()}
    assert math.fsum((seen[n] - e) ** 2 / e for n, e in expected.items()) < CHI_SQUARED_2_AT_0_001


def test_a_shuffle_keeps_every_item_once():
    assert sorted(draws().shuffled(range(20))) == list(range(20))


def test_a_shuffle_puts_each_item_in_each_place_alike():
    stream, times = draws(), 6000
    first = Counter(stream.shuffled(["a", "b", "c"])[0] for _ in range(times))
    expected = times / 3
    assert math.fsum((first[each] - expected) ** 2 / expected for each in "abc") < CHI_SQUARED_2_AT_0_001


def test_steps_print_as_they_were_written():
    stream = draws()
    assert {repr(stream.stepped(0.1, 0.4, 0.1)) for _ in range(200)} == {"0.1", "0.2", "0.3", "0.4"}
