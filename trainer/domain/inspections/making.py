"""From a seed to a board to inspect.

The house is one that the generator built and proved, with choices in it that somebody made: some of
them wrong. Beside those stand observations that no rule judges.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from trainer.domain.answers.decisions import Decision
from trainer.domain.answers.solver import solve
from trainer.domain.asks.forms import Ask, AskForm, AskKey, Choice, Wrong
from trainer.domain.errors import Problem
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.generate import GENERATOR_VERSION, generate
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.request import GeneratorError, TaskRequest
from trainer.domain.inspections.codes import Code, at_stake, most_pressing
from trainer.domain.inspections.places import Place, place_of, places_for
from trainer.domain.inspections.planting import AsFound, Found, plant
from trainer.domain.inspections.words import InspectionWords, Observation
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import Key, Sheet, SheetKind, SheetRow, Task, TaskKind
from trainer.domain.vocabulary import DEFAULT_EDITION, Consequence, Edition

_TRIES = 40
_SEEN = {1: (2, 3), 2: (2, 3), 3: (2, 4), 4: (3, 4), 5: (3, 5)}
"""How many observations a sheet lists, by level."""
_YEARS = (1, 6)
_SHARE_OF_DANGER = 0.35
"""How often something is seen that is dangerous now."""
FIRST = "first"


def make_inspection(
    request: TaskRequest, data: ScenarioData, words: InspectionWords, edition: Edition = DEFAULT_EDITION
) -> Task:
    """A board to inspect: the same bytes for the same seed. *Raises* as ``generate`` does."""
    house = generate(replace(request, kind=TaskKind.CHOOSE), data, edition)
    solution = solve(house.house, house.decisions, ALL_RULES, edition)
    for number in range(_TRIES):
        draws = Draws(request.seed, f"{request.level}/inspection#{number}", GENERATOR_VERSION)
        as_found = plant(house, solution, draws)
        if as_found is not None:
            return _task(house, as_found, words, draws)
    raise GeneratorError(
        Problem(
            path="seed", value=str(request.seed), problem=f"no inspection of level {request.level} in {_TRIES} draws"
        )
    )


def _task(base: Task, as_found: AsFound, words: InspectionWords, draws: Draws) -> Task:
    observed = _observed(as_found, base.level, words, draws)
    asked = [
        *(_of_choice(each, as_found.house, words) for each in as_found.found),
        *(_of_observation(place, seen, words) for place, seen in observed),
    ]
    codes = [each.code for each in as_found.found] + [seen.code for _, seen in observed]
    first, first_key = _first(most_pressing(codes), words)
    asks = [*draws.shuffled(asked), (first, first_key)]
    return replace(
        base,
        kind=TaskKind.INSPECT,
        title=words.title.format(title=base.title),
        story=draws.choice(words.stories).format(years=draws.integer(*_YEARS)),
        house=as_found.house,
        pack=(_sheet(asks, words), *base.pack),
        decisions=(),
        asks=tuple(ask for ask, _ in asks),
        key=Key(intended={}, asks={ask.id: key for ask, key in asks}),
    )


def _sheet(asks: list[tuple[Ask, AskKey]], words: InspectionWords) -> Sheet:
    rows = [SheetRow(label=place, value=seen) for place, seen in (_split(ask) for ask, _ in asks if ask.id != FIRST)]
    return Sheet(
        id="found",
        title=words.sheet,
        kind=SheetKind.SURVEY,
        rows=tuple(rows),
        notes=(words.sheet_note,),
        subject="installation",
    )


def _split(ask: Ask) -> tuple[str, str]:
    place, _, seen = ask.question.partition(": ")
    return place, seen


def _of_choice(found: Found, house: Installation, words: InspectionWords) -> tuple[Ask, AskKey]:
    place = place_of(house, found.decision)
    aspect = words.aspects.get(found.decision.id.rpartition(".")[2], words.aspects["other"])
    label = words.illegible if found.option is None else found.decision.option(found.option).label
    where = words.found.format(place=place, aspect=aspect)
    ask = _ask(found.decision.id, f"{where}: {label}", found.decision, words)
    reasons = words.reasons[found.code]
    key = AskKey(
        answers=tuple(each.value for each in (found.code, *found.tolerated)),
        why=reasons,
        consequence=at_stake(found.code, found.findings),
        rules=tuple(dict.fromkeys(each.rule.id for each in found.findings)),
        wrongs=tuple(_wrongs(found.code, found.tolerated, words, found.misconception)),
        leaves_hazard=found.code in _DANGEROUS,
    )
    return ask, key


_DANGEROUS = (Code.C1, Code.C2)


def _ask(name: str, question: str, decision: Decision | None, words: InspectionWords, subject: str = "") -> Ask:
    return Ask(
        id=name,
        question=question,
        form=AskForm.ONE,
        choices=tuple(Choice(id=code.value, label=words.codes[code]) for code in Code),
        subject=decision.subject if decision is not None else subject,
        usual=Code.NOTHING.value,
        objectives=tuple(dict.fromkeys(("LO48", *(decision.objectives if decision is not None else ())))),
    )


def _of_observation(place: Place, seen: Observation, words: InspectionWords) -> tuple[Ask, AskKey]:
    where = words.seen.format(place=place.name)
    ask = _ask(f"seen.{seen.id}", f"{where}: {seen.seen}", None, words, place.path)
    key = AskKey(
        answers=(seen.code.value,),
        why=f"{seen.why} {words.reasons[seen.code]}" if seen.code is not Code.NOTHING else seen.why,
        consequence=seen.consequence if seen.code in _DANGEROUS else Consequence.DOCUMENTATION,
        wrongs=tuple(_wrongs(seen.code, (), words, "")),
        leaves_hazard=seen.code in _DANGEROUS,
    )
    return ask, key


def _wrongs(code: Code, tolerated: tuple[Code, ...], words: InspectionWords, belief: str) -> Iterator[Wrong]:
    """What is said of each code that is not accepted; passing over a fault shows the belief behind it."""
    for given in Code:
        if given in (code, *tolerated):
            continue
        if code is Code.NOTHING:
            sort = "not_there"
        elif given is Code.NOTHING:
            sort = "passed_over"
        else:
            sort = "too_low" if given.rank < code.rank else "too_high"
        said = words.wrongs[sort].format(given=given.value, code=code.value)
        yield Wrong(answer=given.value, misconception=belief if sort == "passed_over" else "", why=said)


def _first(code: Code, words: InspectionWords) -> tuple[Ask, AskKey]:
    """What to do before leaving, by the most pressing code."""
    ask = Ask(
        id=FIRST,
        question=words.first,
        form=AskForm.ONE,
        choices=tuple(Choice(id=_ACTION[each], label=words.actions[each]) for each in _ACTION),
        subject="installation",
        objectives=("LO48",),
    )
    danger = code in _DANGEROUS
    return ask, AskKey(
        answers=(_ACTION[code],),
        why=words.action_reasons[code],
        consequence=Consequence.SHOCK if danger else Consequence.DOCUMENTATION,
        leaves_hazard=code is Code.C1,
    )


_ACTION: Mapping[Code, str] = {
    Code.C1: "make_safe",
    Code.C2: "urgent",
    Code.FI: "investigate",
    Code.C3: "recommend",
    Code.NOTHING: "none",
}


def _observed(as_found: AsFound, level: int, words: InspectionWords, draws: Draws) -> list[tuple[Place, Observation]]:
    """Observations at places that the house has, each place and each code but the harmless once."""
    places = places_for(as_found.house)
    wanted = draws.integer(*_SEEN[level])
    chosen: list[tuple[Place, Observation]] = []
    taken: set[str] = set()
    codes = set() if draws.chance(_SHARE_OF_DANGER) else {Code.C1}
    if as_found.mild:
        codes |= {Code.C1, Code.C2}
    for seen in draws.shuffled(words.observations):
        free = [place for place in places.get(seen.place, ()) if place.path not in taken]
        if free and len(chosen) < wanted and seen.code not in codes:
            if seen.code is not Code.NOTHING:
                codes.add(seen.code)
            place = draws.choice(free)
            taken.add(place.path)
            chosen.append((place, seen))
    return chosen
