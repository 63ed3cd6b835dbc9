"""A house from a plan: supply, equipment, circuits, boards, cables, earths and papers, in that order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from trainer.domain.equipment import Battery, Equipment
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.draft import Draft, Paper
from trainer.domain.generator.earths import settle_earths
from trainer.domain.generator.incoming import draw_earthing, draw_supply
from trainer.domain.generator.items import draw_circuit, draw_equipment
from trainer.domain.generator.layout import lay_out
from trainer.domain.generator.naming import plural
from trainer.domain.generator.noticing import notice
from trainer.domain.generator.paperwork import settle_demand, settle_paper
from trainer.domain.generator.plan import WHOLE_HOUSE, Plan
from trainer.domain.generator.planting import plant
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.sizing import settle
from trainer.domain.limits import Limits
from trainer.domain.vocabulary import Location, Premises

DrawsFor = Callable[[str], Draws]
"""The stream of draws for a section of the scenario."""


def build_house(plan: Plan, data: ScenarioData, draws_for: DrawsFor, limits: Limits) -> Draft:
    """The house as it ought to be. *Raises* NoCableError where a draw leaves no good on sale that serves."""
    supply_draws = draws_for("supply")
    draft = Draft(
        data=data,
        plan=plan,
        title="",
        supply=draw_supply(plan.supply, supply_draws),
        earthing=draw_earthing(plan.supply, supply_draws),
    )
    _name(draft, draws_for("names"))
    _circuits(draft, draws_for("circuits"))
    lay_out(draft, draws_for("board"))
    plant(draft)
    settle_earths(draft, draws_for("earths"))
    settle_demand(draft, limits)
    settle(draft, limits)
    settle_paper(draft, draws_for("paper"), limits)
    _make_room(draft, draws_for("ways"))
    notice(draft, draws_for("found"), limits)
    return draft


def _name(draft: Draft, draws: Draws) -> None:
    """The address in the title block, and a maker and a model for every item with a sheet."""
    names = draft.data.names
    year = int(draft.plan.archetype.year_built.draw(draws))
    draft.facts["year_built"] = year
    words = {
        "number": str(draws.integer(2, 96)),
        "flat": str(draws.integer(1, 24)),
        "street": draws.choice([each for each in names.streets if each.endswith(draft.plan.archetype.street_endings)]),
    }
    draft.title = draws.choice(draft.plan.archetype.titles).format_map(words)
    makers = draws.shuffled(names.makers)
    styles = draws.shuffled(draft.data.sheets.styles)
    sheeted = [each for each in (*draft.plan.existing, *draft.plan.wanted) if each.family.data_sheet]
    for place, chosen in enumerate(sheeted):
        maker = makers[place % len(makers)]
        letters = "".join(draws.choice("ABCDEFGHKLMNPRSTVWX") for _ in range(2))
        draft.papers[chosen.work.role] = Paper(
            maker=maker, model=f"{letters} {draws.integer(10, 99) * 10}", style=styles[place % len(styles)].id
        )


def _circuits(draft: Draft, draws: Draws) -> None:
    for chosen in (*draft.plan.existing, *draft.plan.wanted):
        role = chosen.work.role
        item = _with_battery(draw_equipment(chosen, draws))
        wiring = draft.data.wirings[chosen.work.wiring.draw(draws)]
        draft.origin[role] = chosen
        draft.wiring[role] = wiring.id
        draft.equipment[role] = item
        draft.circuits[role] = draw_circuit(chosen, wiring, "", item, draws)


def _with_battery(item: Equipment) -> Equipment:
    """Storage with its battery in the room of the inverter, alarm and notice in place."""
    if item.source is None or item.source.charging_current_a is None:
        return item
    place = Location.INDOORS if item.location is Location.OUTDOORS else item.location
    battery = Battery(location=place, alarm_linked=True, fire_service_notice=True)
    return replace(item, battery=battery)


def _make_room(draft: Draft, draws: Draws) -> None:
    """Boards in the sizes that are sold, with one to five modules to spare."""
    for board in list(draft.boards.values()):
        taken = sum(device.modules or 0 for device in draft.devices.values() if device.board == board.id)
        spare = draws.integer(3, 7)
        ways = 2 * ((taken + spare + 1) // 2)
        draft.boards[board.id] = replace(board, ways=ways)


def story(draft: Draft, draws: Draws) -> str:
    """What the customer says, with an invented name."""
    plan, data = draft.plan, draft.data
    premises = "dwelling" if plan.archetype.premises is Premises.DWELLING else "commercial"
    role = plan.subject.work.role
    head, _, tail = role.rpartition("_")
    family = head if tail.isdigit() else role
    common = data.stories[premises].get(family, ())
    stories = plan.archetype.stories
    whole = stories.get("site", stories.get("whole", ())) if plan.level > WHOLE_HOUSE else stories.get("whole", ())
    own = whole if plan.level >= WHOLE_HOUSE else stories.get(role, stories.get(family, ()))
    text = draws.choice(own or common)
    owner = draws.choice(data.names.families)
    words = {
        "owner": owner,
        "owners": plural(owner),
        "title_name": draws.choice(data.stories["titles"]["people"]),
    }
    return text.format_map(words)
