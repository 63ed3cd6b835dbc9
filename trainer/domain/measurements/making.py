"""From a seed to a sheet of test readings.

The house is one that the generator built and proved. Readings follow from its cables and devices
within the tolerance of an instrument, except where a fault was drawn; each is then put into the
house, and the rule book says what it is worth.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from trainer.domain.answers.decisions import apply, apply_edits
from trainer.domain.asks.answers import number_answer
from trainer.domain.asks.forms import Ask, AskForm, AskKey, Choice, Wrong
from trainer.domain.devices import Device
from trainer.domain.equipment import SensesOpenPen
from trainer.domain.errors import Problem
from trainer.domain.findings import Finding
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.generate import GENERATOR_VERSION, generate
from trainer.domain.generator.judging import RULE_BY_ID
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.request import GeneratorError, TaskRequest
from trainer.domain.inspections.places import Place, device_name, places_for
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits, limits_for
from trainer.domain.measurements.readings import Reading, candidates, other_curve_ohm, table_ohm
from trainer.domain.measurements.words import FunctionTest, Judgement, MeasurementWords
from trainer.domain.rules.registry import judge
from trainer.domain.tasks import Key, Sheet, SheetKind, SheetRow, Task, TaskKind
from trainer.domain.vocabulary import DEFAULT_EDITION, Consequence, Edition, Outcome, Stated

_TRIES = 40
_READINGS = {1: 3, 2: 4, 3: 6, 4: 8, 5: 10}
"""How many readings there are to judge, by level, the functional tests not counted."""
_FUNCTIONS = {1: 0, 2: 1, 3: 1, 4: 2, 5: 2}
_FAULTS = {1: (0, 1), 2: (1, 2), 3: (1, 3), 4: (2, 4), 5: (2, 5)}
"""How many of all are not simply acceptable, at least and at most."""
_LIMIT_FROM, _EXPECTED_FROM = 2, 3
"""From which level the largest acceptable and the expected loop impedance are asked."""
_UNIT_TEXT = {"ohm": "Ω", "Mohm": "MΩ", "ms": "ms"}

Asked = tuple[Ask, AskKey]


def make_measurement(
    request: TaskRequest, data: ScenarioData, words: MeasurementWords, edition: Edition = DEFAULT_EDITION
) -> Task:
    """A sheet of readings to judge: the same bytes for the same seed. *Raises* as ``generate`` does."""
    base = generate(replace(request, kind=TaskKind.CHOOSE), data, edition)
    house = apply(base.house, base.decisions, base.key.intended)
    for number in range(_TRIES):
        draws = Draws(request.seed, f"{request.level}/measurement#{number}", GENERATOR_VERSION)
        task = _Sheet(base, house, words, draws).task()
        if task is not None:
            return task
    raise GeneratorError(
        Problem(path="seed", value=str(request.seed), problem=f"no readings of level {request.level} in {_TRIES} draws")
    )


class _Sheet:
    """One draw of a sheet of readings for a house."""

    def __init__(self, base: Task, house: Installation, words: MeasurementWords, draws: Draws) -> None:
        self.base = base
        self.words = words
        self.draws = draws
        self.limits: Limits = limits_for(base.edition)
        self.readings = self._drawn(house)
        self.house = apply_edits(house, [each.edit for each in self.readings])

    def _drawn(self, house: Installation) -> list[Reading]:
        found = list(candidates(house, self.limits, self.draws))
        return self.draws.shuffled(found)[: _READINGS[self.base.level]]

    def task(self) -> Task | None:
        """The task; None where too few or too many readings are at fault, or one is on the edge."""
        rules = [
            RULE_BY_ID[each] for each in dict.fromkeys(rule for reading in self.readings for rule in reading.rules)
        ]
        findings = judge(self.house, rules, self.base.edition)
        judged = [(each, _findings_of(each, findings)) for each in self.readings]
        if any(not found for _, found in judged):
            return None
        functions = self._functions()
        outcomes = [_judgement(found) for _, found in judged] + [each.judgement for _, each in functions]
        low, high = _FAULTS[self.base.level]
        if not low <= sum(each is not Judgement.ACCEPT for each in outcomes) <= high:
            return None
        asks = self.draws.shuffled(
            [
                *(self._of_reading(each, found) for each, found in judged),
                *(self._of_function(place, each) for place, each in functions),
            ]
        )
        return self._whole([*asks, *self._numbers()])

    def _whole(self, asks: Sequence[Asked]) -> Task:
        return replace(
            self.base,
            kind=TaskKind.MEASURE,
            title=self.words.title.format(title=self.base.title),
            story=self.draws.choice(self.words.stories),
            house=self.house,
            pack=(self._paper(), *self.base.pack),
            decisions=(),
            asks=tuple(ask for ask, _ in asks),
            key=Key(intended={}, asks={ask.id: key for ask, key in asks}),
        )

    def _paper(self) -> Sheet:
        """The readings as a sheet, those told beside a reading right above it."""
        rows: list[SheetRow] = []
        external = self.house.supply.external_earth_fault_loop_impedance_ohm
        if external is not None:
            rows.append(SheetRow(label=self.words.quantities["external"], value=f"{external:.2f}", unit="Ω"))
        for each in sorted(self.readings, key=lambda reading: (_by_number(reading.place), reading.quantity)):
            told = [(quantity, value) for quantity, value in each.told if quantity in self.words.quantities]
            rows += [self._row(each.place, quantity, value, "ohm") for quantity, value in told]
            rows.append(self._row(each.place, each.quantity, each.value, each.unit))
        return Sheet(
            id="readings",
            title=self.words.sheet,
            kind=SheetKind.SURVEY,
            rows=tuple(rows),
            notes=(self.words.sheet_note,),
            subject="installation",
        )

    def _row(self, place: str, quantity: str, value: float, unit: str) -> SheetRow:
        return SheetRow(
            label=f"{place}: {self.words.quantities[quantity]}", value=_figure(value, unit), unit=_UNIT_TEXT[unit]
        )

    def _of_reading(self, reading: Reading, findings: Sequence[Finding]) -> Asked:
        judgement = _judgement(findings)
        worst = next(each for each in findings if _SAYS[each.outcome] is judgement)
        label = f"{reading.place}: {self.words.quantities[reading.quantity]} {_shown(reading.value, reading.unit)}"
        key = AskKey(
            answers=(judgement.value,),
            why=self._why(reading, judgement, worst),
            consequence=_at_stake(judgement, worst),
            rules=tuple(dict.fromkeys(each.rule.id for each in findings)),
            wrongs=tuple(self._wrongs(judgement, reading.quantity)),
            leaves_hazard=judgement is Judgement.REFUSE and worst.is_hazard,
        )
        return self._judged(reading.id, label, reading.subject, reading.objectives), key

    def _why(self, reading: Reading, judgement: Judgement, finding: Finding) -> str:
        """The reason in numbers: the wording of the quantity where it has its own, else the general one."""
        reasons = self.words.reasons
        own = _OWN_REASON.get(finding.verdict.case, f"{reading.quantity}_{judgement}")
        limit = finding.verdict.limit
        external = self.house.supply.external_earth_fault_loop_impedance_ohm or 0.0
        return reasons[own if own in reasons else judgement].format(
            value=_figure(reading.value, reading.unit),
            limit=_limit(limit, reading.quantity) if isinstance(limit, float | int) else "",
            unit=_UNIT_TEXT[reading.unit],
            expected=f"{external + dict(reading.told).get('path', 0.0):.2f}",
        )

    def _of_function(self, place: Place, test: FunctionTest) -> Asked:
        label = f"{place.name}: {test.seen}"
        refuse = test.judgement is Judgement.REFUSE
        key = AskKey(
            answers=(test.judgement.value,),
            why=test.why,
            consequence=Consequence.SHOCK if refuse else Consequence.VERIFICATION,
            wrongs=tuple(self._wrongs(test.judgement)),
            leaves_hazard=refuse,
        )
        return self._judged(f"function.{test.id}", label, place.path, ("LO47", "LO41")), key

    def _judged(self, name: str, question: str, subject: str, objectives: tuple[str, ...]) -> Ask:
        return Ask(
            id=name,
            question=question,
            form=AskForm.ONE,
            choices=tuple(Choice(id=each.value, label=self.words.judgements[each]) for each in Judgement),
            subject=subject,
            objectives=objectives,
        )

    def _wrongs(self, right: Judgement, quantity: str = "function") -> Iterator[Wrong]:
        for each in Judgement:
            if each is not right:
                belief = _BELIEFS.get((quantity, right, each), "")
                yield Wrong(answer=each.value, misconception=belief, why=self.words.wrongs[f"{right}_{each}"])

    def _functions(self) -> list[tuple[Place, FunctionTest]]:
        """Functional tests at places that the house has, each kind of place once."""
        places = _function_places(self.house)
        chosen: list[tuple[Place, FunctionTest]] = []
        kinds: set[str] = set()
        for test in self.draws.shuffled(self.words.functions):
            if len(chosen) < _FUNCTIONS[self.base.level] and test.place not in kinds and places.get(test.place):
                kinds.add(test.place)
                chosen.append((self.draws.choice(places[test.place]), test))
        return chosen

    def _numbers(self) -> Iterator[Asked]:
        """The largest acceptable and the expected loop impedance of circuits on the sheet."""
        loops = [each for each in self.readings if each.quantity == "loop"]
        if loops and self.base.level >= _LIMIT_FROM:
            yield self._limit(self.draws.choice(loops))
        external = self.house.supply.external_earth_fault_loop_impedance_ohm
        direct = [each for each in loops if self.house.boards[self._board(each)].fed_by == "supply"]
        if direct and external is not None and self.base.level >= _EXPECTED_FROM:
            # Asked where a reading is far above it: elsewhere the sheet would show the answer.
            high = [each for each in direct if each.value > 1.2 * (external + dict(each.told)["path"])]
            yield self._expected(self.draws.choice(high or direct), external)

    def _board(self, reading: Reading) -> str:
        circuit = self.house.circuits[reading.subject.partition(".")[2]]
        above = self.house.device_above(circuit)
        return above.board if above is not None else circuit.fed_by

    def _limit(self, reading: Reading) -> Asked:
        """The cold reading up to which nothing more needs to be looked at: 0.8 of the tabulated value."""
        circuit = self.house.circuits[reading.subject.partition(".")[2]]
        table = table_ohm(self.house, circuit, self.limits) or 0.0
        share = self.limits.verification.measured_impedance_share.value
        answer, twice = _rounded_down(table * share), _rounded_down(table * share * share)
        wrong = {"table_itself": table, "twice": twice}
        other = other_curve_ohm(self.house, circuit, self.limits)
        if other is not None:
            wrong["curve"] = _rounded_down(other * share)
        texts = {"table": f"{table:.2f}", "answer": f"{answer:.2f}", "share": f"{share:g}", "place": reading.place}
        texts |= {"twice": f"{twice:.2f}", "other": f"{wrong.get('curve', 0.0):.2f}"}
        return self._number("limit", reading, self.words.limit_question, texts, answer, wrong, ("LO28", "LO27"))

    def _expected(self, reading: Reading, external: float) -> Asked:
        cold = dict(reading.told)["continuity"]
        answer, twice = external + cold, 2 * external + cold
        texts = {
            "ze": f"{external:.2f}",
            "cold": f"{cold:.2f}",
            "answer": f"{answer:.2f}",
            "twice": f"{twice:.2f}",
            "place": reading.place,
        }
        words = self.words.expected_question
        wrong = {"without_supply": cold, "twice_supply": twice}
        return self._number("expected", reading, words, texts, answer, wrong, ("LO27",))

    def _number(
        self,
        name: str,
        reading: Reading,
        words: Mapping[str, str],
        texts: Mapping[str, str],
        answer: float,
        wrong: Mapping[str, float],
        objectives: tuple[str, ...],
    ) -> Asked:
        ask = Ask(
            id=f"{name}.{reading.id}",
            question=words["question"].format(**texts),
            form=AskForm.NUMBER,
            unit="ohm",
            subject=reading.subject,
            objectives=objectives,
        )
        key = AskKey(
            answers=(number_answer(round(answer, 2), "ohm"),),
            why=words["why"].format(**texts),
            consequence=Consequence.VERIFICATION,
            rules=reading.rules,
            tolerance=0.01,
            wrongs=tuple(
                Wrong(
                    answer=number_answer(round(value, 2), "ohm"),
                    misconception=_SLIPS.get(each, ""),
                    why=words[each].format(**texts),
                )
                for each, value in wrong.items()
            ),
        )
        return ask, key


def _findings_of(reading: Reading, findings: Sequence[Finding]) -> list[Finding]:
    """What the rules of a reading say at its place; of an electrode, wherever they say it."""
    anywhere = reading.quantity == "electrode"
    return [
        each for each in findings if each.rule.id in reading.rules and (anywhere or each.subject == reading.subject)
    ]


_SAYS: Mapping[Outcome, Judgement] = {
    Outcome.COMPLIES: Judgement.ACCEPT,
    Outcome.ADVICE: Judgement.LOOK,
    Outcome.UNDETERMINED: Judgement.LOOK,
    Outcome.DOES_NOT_COMPLY: Judgement.REFUSE,
}
_ORDER = (Judgement.ACCEPT, Judgement.LOOK, Judgement.REFUSE)


def _judgement(findings: Sequence[Finding]) -> Judgement:
    return max((_SAYS[each.outcome] for each in findings), key=_ORDER.index)


_OWN_REASON: Mapping[str, str] = {"above_table": "loop_above", "too_quick": "break_time_quick"}
"""Reasons that a case of a verdict has for itself."""
_BELIEFS: Mapping[tuple[str, Judgement, Judgement], str] = {
    ("loop", Judgement.LOOK, Judgement.ACCEPT): "M77",
    ("electrode", Judgement.LOOK, Judgement.REFUSE): "M66",
    ("electrode", Judgement.REFUSE, Judgement.ACCEPT): "M63",
}
"""Which belief is behind a wrong judgement, by quantity, right judgement and given one."""
_SLIPS: Mapping[str, str] = {"table_itself": "M77", "curve": "M29", "without_supply": "M78"}


def _figure(value: float, unit: str) -> str:
    """A reading as an instrument shows it."""
    if unit == "ms":
        return f"{value:.1f}"
    return f"{value:.2f}" if value < _SMALL else f"{value:g}"


_SMALL = 10.0


def _limit(value: float, quantity: str) -> str:
    """A limit as it is printed: that of a loop rounded down, so that it is never exceeded."""
    return f"{_rounded_down(value):.2f}" if quantity == "loop" else f"{round(value, 2):g}"


def _rounded_down(value_ohm: float) -> float:
    return math.floor(round(value_ohm * 100, 6)) / 100


def _by_number(place: str) -> list[tuple[int, str]]:
    """A key by which way 10 stands after way 9."""
    return [(int(part), "") if part.isdigit() else (0, part) for part in re.split(r"(\d+)", place)]


def _shown(value: float, unit: str) -> str:
    return f"{_figure(value, unit)} {_UNIT_TEXT[unit]}"


def _at_stake(judgement: Judgement, finding: Finding) -> Consequence:
    return finding.consequence if judgement is Judgement.REFUSE else Consequence.VERIFICATION


def _function_places(house: Installation) -> dict[str, tuple[Place, ...]]:
    chargers = [(each.id, each.label, each.charger) for each in house.equipment.values() if each.charger is not None]
    sensing = (SensesOpenPen.PROTECTIVE_CONDUCTOR, SensesOpenPen.VOLTAGE, SensesOpenPen.EQUIVALENT)
    return {
        "residual_device": tuple(
            _device_place(each) for each in house.devices.values() if each.detects_residual_current
        ),
        "detecting_charger": tuple(
            _place(name, label) for name, label, each in chargers if each.direct_current_detection is Stated.YES
        ),
        "open_pen_charger": tuple(_place(name, label) for name, label, each in chargers if each.open_pen in sensing),
        "source": tuple(
            _place(each.id, each.label)
            for each in house.sources()
            if each.source is not None and not each.source.island
        ),
        "outlets": places_for(house)["outlets"],
    }


def _place(name: str, label: str) -> Place:
    return Place(path=f"equipment.{name}", name=label or name)


def _device_place(device: Device) -> Place:
    return Place(path=f"devices.{device.id}", name=device_name(device))
