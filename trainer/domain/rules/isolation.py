"""Isolation of all supplies, and notices that stand at the installation."""

from __future__ import annotations

from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment, SourceKind
from trainer.domain.findings import Verdict, at_least, holds, undetermined
from trainer.domain.installation import SUPPLY, Installation
from trainer.domain.limits import Limits
from trainer.domain.notices import Notice
from trainer.domain.rules.rcd_need import is_pv
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, EarthingSystem, Outcome


@rule("ISO-01", over=Over.BOARDS, consequence=Consequence.SHOCK, objectives=("LO45",))
def main_switch_isolates(board: Board, house: Installation, _limits: Limits) -> Verdict | None:
    """A board at the origin has one main switch, suitable for isolation, that opens the live conductors.

    Why: work begins with everything dead; a neutral that stays connected can carry the current of
    another source or of a fault.
    Remedy: a main switch for isolation: two poles in single phase, every pole in TT.
    Assumes: with three phases in TN the neutral may stay connected.
    """
    if board.fed_by != SUPPLY:
        return None
    incomers = [device for device in house.devices.values() if device.fed_by == board.id]
    if not incomers:
        return None
    if incomers[1:]:
        return holds(False, case="several_incomers", related=tuple(f"devices.{device.id}" for device in incomers))
    return _isolates(incomers[0], house)


def _isolates(incomer: Device, house: Installation) -> Verdict:
    related = (f"devices.{incomer.id}",)
    if not incomer.isolates:
        return holds(False, case="not_for_isolation", related=related)
    system, phases = house.supply.earthing_system, house.supply.phases
    neutral_stays = phases > 1 and system is not EarthingSystem.TT
    if neutral_stays and system is None and incomer.poles == phases:
        return undetermined("supply.earthing_system")
    needed = phases if neutral_stays else phases + 1
    return at_least(incomer.poles, needed, unit="poles", case="poles", related=related)


@rule("ISO-01A", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO45", "LO18"))
def source_can_be_isolated(item: Equipment, _house: Installation, _limits: Limits) -> Verdict | None:
    """Storage and generating sets can be isolated from the installation, storage also on its d.c. side.

    Why: with the main switch open the installation may still be fed from the other end.
    Remedy: an isolator at the source on the a.c. side, and one at the battery.
    Assumes: PV inverters and vehicles are judged by rules of their own.
    """
    source = item.source
    if source is None or source.kind is SourceKind.VEHICLE or is_pv(item):
        return None
    path = f"equipment.{item.id}.source"
    if source.isolator_ac is None:
        return undetermined(f"{path}.isolator_ac")
    if not source.isolator_ac:
        return holds(False, case="isolator_ac")
    if source.kind is not SourceKind.BATTERY:
        return holds(True, case="isolator_ac")
    if source.isolator_dc is None:
        return undetermined(f"{path}.isolator_dc")
    return holds(source.isolator_dc, case="isolator_dc")


@rule("ISO-02", over=Over.INSTALLATION, consequence=Consequence.SHOCK, objectives=("LO45",))
def isolation_of_all_sources_explained(_subject: Installation, house: Installation, _limits: Limits) -> Verdict | None:
    """Where several sources feed an installation, a notice tells how to isolate all of them.

    Why: PV conductors stay live in light, battery terminals always; whoever opens only the main
    switch has not made it dead.
    Remedy: a notice: isolate and lock off every source, wait the maker's discharge time, prove dead
    at the point of work with a proved tester.
    """
    if not house.sources():
        return None
    return holds(
        Notice.ISOLATION_OF_ALL_SOURCES in house.notices,
        limit=Notice.ISOLATION_OF_ALL_SOURCES.value,
        case="notice",
        otherwise=Outcome.ADVICE,
    )


@rule("LAB-01", over=Over.INSTALLATION, consequence=Consequence.DOCUMENTATION, objectives=("LO41",))
def notices_for_inspection_and_test(_subject: Installation, house: Installation, _limits: Limits) -> Verdict | None:
    """Notices tell when the next inspection is due and that residual current devices want testing.

    Why: a device that is never tested is found stuck on the day it is needed.
    Remedy: the notice of the next inspection and, with residual current devices, that of the test button.
    """
    if Notice.PERIODIC_INSPECTION not in house.notices:
        return holds(False, limit=Notice.PERIODIC_INSPECTION.value, case="periodic_inspection")
    if not any(device.detects_residual_current for device in house.devices.values()):
        return holds(True, limit=Notice.PERIODIC_INSPECTION.value, case="periodic_inspection")
    return holds(Notice.RCD_TEST in house.notices, limit=Notice.RCD_TEST.value, case="rcd_test")


@rule("LAB-02", over=Over.INSTALLATION, consequence=Consequence.DOCUMENTATION, objectives=("LO41",))
def circuit_chart_at_the_board(_subject: Installation, house: Installation, _limits: Limits) -> Verdict | None:
    """A chart at the board identifies every circuit.

    Why: without it somebody isolates the wrong way, and believes it.
    Remedy: a chart of the circuits, kept up to date.
    """
    return holds(Notice.CIRCUIT_CHART in house.notices, limit=Notice.CIRCUIT_CHART.value, case="circuit_chart")


RULES: tuple[Rule, ...] = (
    main_switch_isolates,
    source_can_be_isolated,
    isolation_of_all_sources_explained,
    notices_for_inspection_and_test,
    circuit_chart_at_the_board,
)
