"""From a seed to a board to inspect.

The house is one that the generator built and proved, with choices in it that somebody made: some of
them wrong. Beside those stand observations that no rule judges.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from trainer.domain.answers.decisions import Decision
from trainer.domain.asks.forms import Ask, AskForm, AskKey, Choice, Wrong
from trainer.domain.errors import Problem
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.generate import GENERATOR_VERSION, make
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.request import GeneratorError, TaskRequest
from trainer.domain.inspections.codes import Code, at_stake, most_pressing
from trainer.domain.inspections.places import Place, place_of, places_for
from trainer.domain.inspections.planting import AsFound, Found, plant
from trainer.domain.inspections.words import InspectionWords, Observation
from trainer.domain.installation import Installation
from trainer.domain.tasks import Key, Sheet, SheetKind, SheetRow, Task, TaskKind
from trainer.domain.vocabulary import DEFAULT_EDITION, Consequence, Edition

_TRIES = 400
"""In a few houses hardly any fault has one least change: of 40 draws none held once in 23,000 inspections."""
_SEEN = {1: (2, 3), 2: (2, 3), 3: (2, 4), 4: (3, 4), 5: (3, 5)}
"""How many observations a sheet lists, by level."""
_YEARS = (2, 6)
_SHARE_OF_DANGER = 0.25
"""How often something is seen that is dangerous now."""
_SHARE_KNOWN, _SHARE_NEAT = 0.5, 0.3
"""Of houses without a danger: how many leave nothing to be looked into, and how many of those nothing at all."""
FIRST = "first"
_SOUND_AT_LEAST = 4
"""How many places that are in order a sheet lists at least."""
Asked = tuple[Ask, AskKey]


def make_inspection(
    request: TaskRequest, data: ScenarioData, words: InspectionWords, edition: Edition = DEFAULT_EDITION
) -> Task:
    """A board to inspect: the same bytes for the same seed. *Raises* as ``generate`` does."""
    made = make(replace(request, kind=TaskKind.CHOOSE), data, edition)
    for number in range(_TRIES):
        draws = Draws(request.seed, f"{request.level}/inspection#{number}", GENERATOR_VERSION)
        as_found = plant(made.task, made.trial, draws)
        if as_found is not None:
            return _task(made.task, as_found, words, draws)
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
    codes = [(each.code, each.tolerated) for each in as_found.found]
    codes += [(seen.code, seen.also) for _, seen in observed]
    first, first_key = _first(_most_pressing_by_either(codes), words)
    asks = [*draws.shuffled(_listed(asked, draws)), (first, first_key)]
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


def _listed(asked: list[Asked], draws: Draws) -> list[Asked]:
    """All that must be recorded, and about as much that is in order: who records nothing earns little."""
    faults = [each for each in asked if Code.NOTHING not in each[1].answers]
    sound = [each for each in asked if Code.NOTHING in each[1].answers]
    return [*faults, *draws.shuffled(sound)[: max(_SOUND_AT_LEAST, len(faults))]]


def _most_pressing_by_either(codes: Sequence[tuple[Code, tuple[Code, ...]]]) -> tuple[Code, ...]:
    """The most pressing code, and the one that is left where the milder of two accepted codes is given everywhere."""
    recorded = [(code, also) for code, also in codes if code is not Code.NOTHING]
    mildest = (min((code, *also), key=lambda each: each.rank) for code, also in recorded)
    return tuple(dict.fromkeys((most_pressing(code for code, _ in recorded), most_pressing(mildest))))


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
        answers=tuple(each.value for each in (seen.code, *seen.also)),
        why=f"{seen.why} {words.reasons[seen.code]}" if seen.code is not Code.NOTHING else seen.why,
        consequence=seen.consequence if seen.code in _DANGEROUS else at_stake(seen.code, ()),
        wrongs=tuple(_wrongs(seen.code, seen.also, words, "")),
        leaves_hazard=seen.code in _DANGEROUS,
    )
    return ask, key


def _wrongs(code: Code, tolerated: tuple[Code, ...], words: InspectionWords, belief: str) -> Iterator[Wrong]:
    """What is said of each code that is not accepted; passing over a fault shows the belief behind it."""
    for given in Code:
        if given in (code, *tolerated):
            continue
        sort = _sort(code, given)
        said = words.wrongs[sort].format(given=given.value, code=code.value)
        believed = belief if sort == "passed_over" else _BELIEFS.get((sort, code), "")
        yield Wrong(answer=given.value, misconception=believed, why=said)


_BELIEFS: Mapping[tuple[str, Code], str] = {
    ("too_high", Code.C3): "M101",
    ("too_high", Code.C2): "M103",
    ("not_known", Code.FI): "M102",
    ("needless", Code.C1): "M102",
    ("needless", Code.C2): "M102",
    ("needless", Code.C3): "M102",
}
"""Which belief is behind a wrong code, by the way in which it is wrong and the right code."""


def _sort(code: Code, given: Code) -> str:
    """In which way a code is wrong."""
    if code is Code.NOTHING:
        return "not_there"
    if given is Code.NOTHING:
        return "passed_over"
    if Code.FI in (code, given):
        return "not_known" if code is Code.FI else "needless"
    return "too_low" if given.rank < code.rank else "too_high"


def _first(codes: Sequence[Code], words: InspectionWords) -> tuple[Ask, AskKey]:
    """What to do before leaving, by the most pressing code, the first given; that of another is accepted."""
    code = codes[0]
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
        answers=tuple(_ACTION[each] for each in codes),
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
    codes = _not_to_be_seen(as_found, draws)
    # A danger comes first where there is to be one: among so many harmless things it would hardly ever be drawn.
    for seen in sorted(draws.shuffled(words.observations), key=lambda each: each.code is not Code.C1):
        free = [place for place in places.get(seen.place, ()) if place.path not in taken]
        if free and len(chosen) < wanted and seen.code not in codes:
            if seen.code is not Code.NOTHING:
                codes.add(seen.code)
            place = draws.choice(free)
            taken.add(place.path)
            chosen.append((place, seen))
    return chosen


def _not_to_be_seen(as_found: AsFound, draws: Draws) -> set[Code]:
    """The codes that no observation of a house earns, so that each code is at times its most pressing."""
    codes = {each.code for each in as_found.found}
    if draws.chance(_SHARE_OF_DANGER):
        return set()
    if not as_found.mild and (Code.C2 in codes or draws.chance(0.5)):
        return {Code.C1}
    hidden = {Code.C1, Code.C2}
    if draws.chance(_SHARE_KNOWN):
        hidden.add(Code.FI)
        if draws.chance(_SHARE_NEAT):
            hidden.add(Code.C3)
    return hidden
