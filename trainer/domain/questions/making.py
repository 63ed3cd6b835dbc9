"""From a seed to a proven question."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from trainer.domain.asks.forms import Ask, AskKey, Wrong
from trainer.domain.errors import OutOfRangeError, Problem, UnknownNameError, unknown
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.judging import RULE_BY_ID
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.request import SEED_END, GeneratorError
from trainer.domain.questions.checking import unfair
from trainer.domain.questions.citing import regulations
from trainer.domain.questions.defining import Family
from trainer.domain.questions.desk import Desk, QuestionWordsError, fill, filled
from trainer.domain.questions.drafts import Draft, RedrawError, Slip
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.questions.houses import plain
from trainer.domain.questions.naming import neutral
from trainer.domain.questions.words import COMMON, FamilyWords
from trainer.domain.rules.version import rule_set_version
from trainer.domain.tasks import Key, Task, TaskKind
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition

QUESTIONS_VERSION = "1"
"""Goes up when the questions of a seed change."""
ASK = "question"
"""The id of the one thing that a question asks."""
_TRIES = 240
"""Of a million seeds one found no fair question in 60 draws."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeQuestion:
    """A question with the reasons for which earlier draws of its seed were thrown away.

    ``drafted`` is the ask as its family drafted it, with the family's own ids.
    """

    task: Task
    redraws: tuple[str, ...]
    drafted: Ask


def make_question(
    seed: int,
    data: ScenarioData,
    edition: Edition = DEFAULT_EDITION,
    *,
    family: str | None = None,
    objectives: tuple[str, ...] = (),
    level: int | None = None,
) -> Task:
    """The question of a seed: the same bytes on every machine for the same version and words.

    The seed draws the family among those that fit; the question of a family and seed is the same
    whether the family was named or drawn. *Raises* OutOfRangeError, UnknownNameError, GeneratorError.
    """
    return made_question(seed, data, edition, family=family, objectives=objectives, level=level).task


def made_question(
    seed: int,
    data: ScenarioData,
    edition: Edition = DEFAULT_EDITION,
    *,
    family: str | None = None,
    objectives: tuple[str, ...] = (),
    level: int | None = None,
) -> MadeQuestion:
    """The question of a seed, and what was redrawn on the way. *Raises* as ``make_question`` does."""
    if not 0 <= seed < SEED_END:
        raise OutOfRangeError(Problem(path="seed", value=str(seed), problem=f"must be from 0 to {SEED_END - 1}"))
    chosen = _drawn(seed, fitting(edition, family=family, objectives=objectives, level=level))
    redraws: list[str] = []
    for number in range(_TRIES):
        section = f"question/{chosen.id}" + (f"#{number}" if number else "")
        try:
            task, drafted = _task(seed, chosen, Draws(seed, section, QUESTIONS_VERSION), data, edition)
        except RedrawError as reason:
            redraws.append(str(reason))
        else:
            return MadeQuestion(task=task, redraws=tuple(redraws), drafted=drafted)
    problem = f"no fair question of this family in {_TRIES} draws; the last failed by {redraws[-1]}"
    raise GeneratorError(Problem(path=f"question {chosen.id}, seed", value=str(seed), problem=problem))


def fitting(
    edition: Edition, *, family: str | None = None, objectives: Iterable[str] = (), level: int | None = None
) -> tuple[Family, ...]:
    """The families that hold in an edition and fit what is asked for. *Raises* UnknownNameError where none does."""
    held = [each for each in ALL_FAMILIES if _holds(each, edition)]
    wanted = tuple(objectives)
    if family is not None:
        held = [each for each in held if each.id == family]
        if not held:
            raise UnknownNameError(unknown("family", family, [each.id for each in ALL_FAMILIES], "family of questions"))
    known = sorted({name for each in ALL_FAMILIES for name in each.objectives})
    strange = [unknown("objectives", name, known, "objective") for name in wanted if name not in known]
    if strange:
        raise UnknownNameError(*strange)
    of_subject = [each for each in held if not wanted or set(wanted) & set(each.objectives)]
    found = tuple(each for each in of_subject if level in (None, each.level))
    if not found:
        raise UnknownNameError(_never_meet(held, of_subject, wanted, level))
    return found


def _holds(each: Family, edition: Edition) -> bool:
    return all(edition in RULE_BY_ID[rule].editions for rule in each.rules)


def _never_meet(held: list[Family], of_subject: list[Family], wanted: tuple[str, ...], level: int | None) -> Problem:
    """Why nothing fits: an objective that the families have at other levels only."""
    levels = sorted({each.level for each in of_subject or held})
    what = f"no family has {', '.join(wanted)} at this level" if wanted else "no family has this level"
    return Problem(path="level", value=str(level), problem=what, possible=tuple(map(str, levels)))


def _drawn(seed: int, among: tuple[Family, ...]) -> Family:
    return Draws(seed, "question/family", QUESTIONS_VERSION).choice(among)


def _task(seed: int, family: Family, draws: Draws, data: ScenarioData, edition: Edition) -> tuple[Task, Ask]:
    words = _words(family.id, data)
    # Before the family draws, so that a wording does not follow from the values.
    wording = draws.integer(0, len(words.question) - 1)
    draft = family.draft(Desk(draws, data, edition, words))
    ask = _ask(family, draft, words, wording)
    key = _key(family, draft, words, _words(COMMON, data), edition)
    reason = unfair(family, draft, ask, key)
    if reason:
        raise RedrawError(reason)
    shown, key = neutral(ask, key)
    task = Task(
        seed=seed,
        generator_version=QUESTIONS_VERSION,
        rule_set_version=rule_set_version(),
        edition=edition,
        kind=TaskKind.QUESTION,
        level=family.level,
        archetype=family.id,
        title=family.title,
        story="",
        house=draft.house or plain(),
        pack=draft.pack,
        decisions=(),
        key=Key(intended={}, asks={ask.id: key}),
        asks=(shown,),
        language=data.language,
    )
    return task, ask


def _words(name: str, data: ScenarioData) -> FamilyWords:
    found = data.questions.get(name)
    if found is None:
        raise QuestionWordsError(Problem(path="questions/", value=name, problem="no file has the words of this family"))
    return found


def _ask(family: Family, draft: Draft, words: FamilyWords, wording: int) -> Ask:
    place = f"{words.file}: {words.id}.question[{wording}]"
    return Ask(
        id=ASK,
        question=fill(words.question[wording], draft.values, place),
        form=family.form,
        choices=draft.choices,
        partners=draft.partners,
        unit=draft.unit,
        subject=draft.subject,
        objectives=family.objectives,
        figure=draft.figure,
    )


def _key(family: Family, draft: Draft, words: FamilyWords, common: FamilyWords, edition: Edition) -> AskKey:
    rules = draft.rules or family.rules
    why = filled(words, "why", draft.why, draft.values)
    return AskKey(
        answers=draft.answers,
        why=f"{why} {regulations(rules, draft.citations, edition, common)}",
        consequence=draft.consequence or RULE_BY_ID[rules[0]].consequence,
        rules=rules,
        wrongs=tuple(_wrong(each, draft, words) for each in draft.slips),
        tolerance=draft.tolerance,
        leaves_hazard=draft.leaves_hazard,
    )


def _wrong(slip: Slip, draft: Draft, words: FamilyWords) -> Wrong:
    why = filled(words, "wrong", slip.why, {**draft.values, **slip.values})
    return Wrong(answer=slip.answer, misconception=slip.misconception, why=why)
