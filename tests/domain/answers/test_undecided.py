"""What an open house remembers of who feeds whom, while a circuit moves from one device to another."""

from __future__ import annotations

from tests.domain.houses import circuit, house, rccb
from trainer.domain.answers.decisions import Decision, Edit, Option
from trainer.domain.answers.undecided import OpenHouse


def decision(path: str, *values: object) -> Decision:
    options = tuple(Option(id=str(each), label=str(each), edits=(Edit(path=path, value=each),)) for each in values)
    return Decision(id=path, subject=path.rpartition(".")[0], question="?", options=options)


MOVED = decision("circuits.sockets.fed_by", "left", "right")
RATED = decision("devices.left.rated_current_a", 40.0, 63.0)


def opened() -> OpenHouse:
    return OpenHouse(
        house(rccb("left"), rccb("right"), circuit("sockets", "left"), circuit("lights", "left")),
        (MOVED, RATED),
    )


def fed(held: OpenHouse) -> dict[str, list[str]]:
    """The circuits below each of the two devices."""
    installation = held.installation
    return {
        name: [each.id for each in installation.circuits_below(installation.devices[name])]
        for name in ("left", "right")
    }


def test_a_circuit_that_moves_is_found_below_the_device_that_now_feeds_it() -> None:
    held = opened()
    for _ in range(2):
        assert fed(held) == {"left": ["sockets", "lights"], "right": []}
        assert held.read == [0]
        held.change(1)
        assert fed(held) == {"left": ["lights"], "right": ["sockets"]}
        held.release()
        assert held.read == []


def test_a_place_is_noted_as_read_each_time_although_the_tree_was_looked_at_before() -> None:
    held = opened()
    fed(held)
    held.release_all()
    assert held.installation.devices_above(held.installation.circuits["lights"])[0].id == "left"
    assert held.read == []
    assert held.installation.devices_above(held.installation.circuits["sockets"])[0].id == "left"
    assert held.read == [0]


def test_what_is_no_place_leaves_the_tree_as_it_is() -> None:
    held = opened()
    lights = held.installation.circuits["lights"]
    above = held.installation.devices_above(lights)
    assert above[0].rated_current_a == 40.0
    held.change(1)
    assert held.installation.devices_above(lights) is above
    assert above[0].rated_current_a == 63.0
