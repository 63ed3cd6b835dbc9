"""What cannot be made is refused at the door, with what would be possible."""

from __future__ import annotations

import pytest

from trainer.domain.errors import OutOfRangeError, UnknownNameError
from trainer.domain.generator.generate import generate
from trainer.domain.generator.request import TaskRequest, kind_named
from trainer.services.scenarios import scenarios


def refused(kind: type[Exception], request: TaskRequest) -> str:
    with pytest.raises(kind) as caught:
        generate(request, scenarios())
    return str(caught.value)


@pytest.mark.parametrize("seed", [-1, 2**63])
def test_a_seed_out_of_range_is_refused_with_the_range(seed):
    assert str(2**63 - 1) in refused(OutOfRangeError, TaskRequest(seed=seed))


def test_the_largest_seed_is_made():
    assert generate(TaskRequest(seed=2**63 - 1), scenarios()).seed == 2**63 - 1


def test_an_unknown_level_is_refused_with_the_levels_that_exist():
    assert "1, 2, 3, 4" in refused(UnknownNameError, TaskRequest(seed=1, level=9))


def test_an_unknown_archetype_is_refused_with_the_nearest():
    assert "nearest: terrace" in refused(UnknownNameError, TaskRequest(seed=1, archetype="terace"))


def test_an_archetype_without_the_level_is_refused_with_its_levels_and_with_others():
    message = refused(UnknownNameError, TaskRequest(seed=1, level=4, archetype="flat"))
    assert "1, 2, 3" in message
    assert "terrace" in message


def test_a_kind_that_is_not_made_is_refused_with_the_nearest():
    with pytest.raises(UnknownNameError, match="nearest: choose"):
        kind_named("chose")
