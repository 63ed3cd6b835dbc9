"""The scenario data that the generator draws from, as typed values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from trainer.domain.answers.misconceptions import Misconception
from trainer.domain.cables import CableType
from trainer.domain.equipment import EquipmentKind
from trainer.domain.generator.specs import OneOf, Spec
from trainer.domain.questions.words import FamilyWords
from trainer.domain.vocabulary import Curve, EarthingSystem, Location, Premises

Facts = tuple[tuple[str, Spec], ...]
"""Paths of attributes below a record, each with the values it may take."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """One form in which a family is sold or documented: what it changes, and how common it is."""

    id: str
    weight: float
    facts: Facts


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilyCircuit:
    """The circuit that a family is usually given.

    ``rated_currents_a`` are the ratings in use for it, from which the smallest that carries the
    design current is taken; ``offered_a`` are those a learner may choose from; ``usual_mm2`` is
    the cross-section below which nobody goes by custom.
    """

    rated_currents_a: tuple[float, ...]
    offered_a: tuple[float, ...]
    curve: Curve
    usual_mm2: float
    facts: Facts = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """One family of equipment. ``data_sheet`` is False for loads that only the survey describes."""

    id: str
    kind: EquipmentKind
    label: str
    description: str
    data_sheet: bool
    facts: Facts
    variants: tuple[Variant, ...]
    circuit: FamilyCircuit


@dataclass(frozen=True, slots=True, kw_only=True)
class Wiring:
    """One way of running a cable: its type, reference method and conditions."""

    id: str
    label: str
    type: CableType
    reference_method: str
    facts: Facts
    smallest_mm2: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """A circuit that a house may have, or that the customer wants."""

    role: str
    label: str
    families: OneOf
    wiring: OneOf
    length_m: Spec
    location: Location
    probability: float = 1.0
    side: int = 1
    line: str = "L1"
    facts: Facts = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyKind:
    """One kind of supply that an archetype may have."""

    system: EarthingSystem
    weight: float
    phases: int
    facts: Facts
    earthing: Facts


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardStyle:
    """One arrangement of the board, with the years in which such boards were fitted."""

    style: str
    weight: float
    year: Spec
    facts: Facts
    systems: tuple[EarthingSystem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Archetype:
    """One kind of premises: ranges, dependencies and the customer's wishes.

    ``whole`` lists the roles that are built together at level 4, ``site`` those at level 5.
    ``words`` is the usual number of words to read, by level; a level without one has no band.
    ``special_locations`` are the sections of Part 7 that the premises touch.
    """

    id: str
    label: str
    premises: Premises
    weight: float
    levels: tuple[int, ...]
    titles: tuple[str, ...]
    street_endings: tuple[str, ...]
    year_built: Spec
    supplies: tuple[SupplyKind, ...]
    boards: tuple[BoardStyle, ...]
    existing: tuple[Work, ...]
    wanted: tuple[Work, ...]
    special_locations: tuple[str, ...]
    whole: tuple[tuple[str, ...], ...]
    site: tuple[tuple[str, ...], ...]
    stories: Mapping[str, tuple[str, ...]]
    words: Mapping[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wants:
    """What a house must have for a trap to be possible. Empty means anything.

    ``together`` are roles of the new work that must all be there; ``premises`` the uses of the building.
    """

    systems: tuple[EarthingSystem, ...] = ()
    families: tuple[str, ...] = ()
    variants: tuple[str, ...] = ()
    boards: tuple[str, ...] = ()
    roles: tuple[str, ...] = ()
    together: tuple[str, ...] = ()
    premises: tuple[Premises, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TrapSpec:
    """A named trap: the kinds of decision that it tempts in, the options, the rules that it breaks.

    The first of ``rules`` that fails names the fault; those of ``also`` may fail along with it. A
    ``shared`` trap is about a device that several circuits share, not about the new circuit.
    ``side`` is ``below`` or ``above`` where only options on that side of the right one are meant.
    An ``existing`` trap lies in what was there before the job; ``honest`` marks the house without a trap.
    ``weight`` is how often it is drawn against the others.
    """

    id: str
    name: str
    misconception: str
    levels: tuple[int, ...]
    decisions: tuple[str, ...]
    options: tuple[str, ...]
    rules: tuple[str, ...]
    also: tuple[str, ...] = ()
    shared: bool = False
    side: str = ""
    existing: bool = False
    honest: bool = False
    weight: float = 1.0
    wants: Wants = field(default_factory=Wants)


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionText:
    """Wording and objectives of one kind of decision."""

    question: str
    objectives: tuple[str, ...]
    objectives_by_role: Mapping[str, tuple[str, ...]]
    options: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """Invented names, read through once: no real maker, person or place."""

    makers: tuple[str, ...]
    streets: tuple[str, ...]
    families: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FactWording:
    """How sheets tell one fact: labels by voice, words for a row by value, sentences by value and voice."""

    labels: tuple[str, ...]
    words: Mapping[str, str]
    sentences: Mapping[str, tuple[str, ...]]
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStyle:
    """One maker's way of writing sheets: which facts stand in rows, in notes, in small print."""

    id: str
    voice: int
    rows: tuple[str, ...]
    notes: tuple[str, ...]
    small_print: tuple[str, ...]
    opening: str
    closing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWording:
    """All wording of data sheets, survey and supply record."""

    facts: Mapping[str, FactWording]
    styles: tuple[SheetStyle, ...]
    texts: Mapping[str, Mapping[str, str]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScenarioData:
    """Everything that stands in the folder of scenario data, read and checked once."""

    archetypes: Mapping[str, Archetype]
    families: Mapping[str, Family]
    wirings: Mapping[str, Wiring]
    traps: Mapping[str, TrapSpec]
    misconceptions: Mapping[str, Misconception]
    decisions: Mapping[str, DecisionText]
    costs: Mapping[str, Mapping[str, int]]
    names: Names
    stories: Mapping[str, Mapping[str, tuple[str, ...]]]
    sheets: SheetWording
    questions: Mapping[str, FamilyWords] = field(default_factory=dict)
    language: str = "en-GB"
