"""Current-carrying capacity of a cable: the tabulated rating times the factors of its conditions."""

from __future__ import annotations

from typing import NamedTuple

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.calculations.lookup import Lookup, lookup, remembered
from trainer.domain.calculations.loops import cable_of, conductor_temperature_c
from trainer.domain.findings import Term
from trainer.domain.limits import Limits, Table

IN_GROUND = "D"
IN_INSULATION = frozenset({"A", "100", "101", "102", "103"})
"""Reference methods whose tabulated ratings already count the thermal insulation."""


class Rating(NamedTuple):
    """The tabulated rating of a cable and the factors that its conditions ask for.

    Iz = It * Ca * Cg * Ci * Cc. *Source*: BS 7671 Appendix 4, section 5.
    """

    tabulated_a: float
    ambient_factor: float = 1.0
    grouping_factor: float = 1.0
    insulation_factor: float = 1.0
    buried_factor: float = 1.0

    @property
    def before_insulation_a(self) -> float:
        """The capacity with every factor but that of thermal insulation."""
        return self.tabulated_a * self.ambient_factor * self.grouping_factor * self.buried_factor

    @property
    def capacity_a(self) -> float:
        """Iz, the current-carrying capacity."""
        return self.before_insulation_a * self.insulation_factor

    def terms(self) -> tuple[Term, ...]:
        """It, Ca, Cg, Ci and Cc."""
        return (
            Term("tabulated_rating", self.tabulated_a, "A"),
            Term("ambient_factor", self.ambient_factor, ""),
            Term("grouping_factor", self.grouping_factor, ""),
            Term("insulation_factor", self.insulation_factor, ""),
            Term("buried_factor", self.buried_factor, ""),
        )


def current_carrying_capacity(circuit: Circuit, limits: Limits, *, at_most_c: float | None = None) -> Rating:
    """The rating of a circuit's cable as it is installed, with its factors.

    ``at_most_c`` asks for the rating at which the conductor stays at that temperature. A buried
    cable takes the factors of the ground, never those of air.
    *Raises* MissingFactError naming what lies outside the tables.
    """
    cable = cable_of(circuit)
    design_c = conductor_temperature_c(cable, limits)
    if at_most_c is not None:
        design_c = min(design_c, at_most_c)
    size, conductors = cable.cross_section_mm2, loaded_conductors(circuit)
    tabulated = _tabulated_a(limits, cable.type, design_c, cable.reference_method, size, conductors)
    if tabulated is None:
        raise MissingFactError(_outside(circuit, cable, lookup(rating_table(cable, design_c, limits))))
    if cable.reference_method == IN_GROUND:
        return _in_ground(circuit, cable, design_c, tabulated, limits)
    if cable.buried:
        raise MissingFactError(f"circuits.{circuit.id}.cable.reference_method")
    return _in_air(circuit, cable, design_c, tabulated, limits)


def loaded_conductors(circuit: Circuit) -> float:
    """Conductors of a circuit that carry load current: two, or three in a three-phase circuit."""
    return float(max(circuit.phases, _LINE_AND_NEUTRAL))


_LINE_AND_NEUTRAL = 2


def rating_table(cable: Cable, design_c: float, limits: Limits) -> Table:
    """The table of ratings for a cable at a conductor temperature.

    A thermosetting cable held below its own temperature is rated as the thermoplastic one of the
    same make-up.
    """
    return _table_of(limits, cable.type, design_c)


def _table_of(limits: Limits, cable_type: CableType, design_c: float) -> Table:
    overcurrent = limits.overcurrent
    if cable_type is CableType.FLAT_THERMOPLASTIC_70:
        return overcurrent.rating_4d5
    if cable_type is CableType.MULTICORE_THERMOPLASTIC_70:
        return overcurrent.rating_4d2
    if cable_type is CableType.ARMOURED_THERMOSETTING_90 and design_c >= _own_c(cable_type, limits):
        return overcurrent.rating_4e4
    return overcurrent.rating_4d4


@remembered
def _tabulated_a(
    limits: Limits, cable_type: CableType, design_c: float, method: str, size_mm2: float, conductors: float
) -> float | None:
    """The tabulated rating of a cable in A; None where its table has no such row."""
    return lookup(_table_of(limits, cable_type, design_c)).rows.get(_numbered((method, size_mm2, conductors)))


def _own_c(cable_type: CableType, limits: Limits) -> float:
    return limits.overcurrent.conductor_temperature_c[cable_type].value


def _numbered(key: tuple[str, float, float]) -> tuple[str | float, float, float]:
    """A key as Lookup holds it: methods named by a number are numbers there."""
    method = key[0]
    return (float(method) if method.isdigit() else method, key[1], key[2])


def _in_ground(circuit: Circuit, cable: Cable, design_c: float, tabulated: float, limits: Limits) -> Rating:
    overcurrent = limits.overcurrent
    column_c = (
        _own_c(cable.type, limits) if design_c >= _own_c(cable.type, limits) else overcurrent.ordinary_terminals_c.value
    )
    ground = lookup(overcurrent.ground_factor).at_or_above(cable.ground_c, column_c)
    if ground is None:
        raise MissingFactError(f"circuits.{circuit.id}.cable.ground_c")
    soil: float | None = 1.0
    if cable.soil_resistivity_k_m_per_w is not None:
        soil = lookup(overcurrent.soil_factor).at_or_above(cable.soil_resistivity_k_m_per_w)
    if soil is None:
        raise MissingFactError(f"circuits.{circuit.id}.cable.soil_resistivity_k_m_per_w")
    return Rating(
        tabulated_a=tabulated,
        ambient_factor=ground * soil,
        grouping_factor=_grouping(circuit, cable, overcurrent.grouping_buried),
        buried_factor=overcurrent.buried_factor.value,
    )


def factor_tables(cable: Cable, design_c: float, limits: Limits) -> tuple[Table, Table]:
    """The tables of the temperature factor and of the grouping factor that hold for a cable."""
    overcurrent = limits.overcurrent
    if cable.reference_method == IN_GROUND:
        return overcurrent.ground_factor, overcurrent.grouping_buried
    hot = design_c > overcurrent.ordinary_terminals_c.value
    return (
        overcurrent.ambient_factor_90 if hot else overcurrent.ambient_factor_70,
        overcurrent.grouping_bunched if cable.bunched else overcurrent.grouping_single_layer,
    )


def _in_air(circuit: Circuit, cable: Cable, design_c: float, tabulated: float, limits: Limits) -> Rating:
    ambients, groups = factor_tables(cable, design_c, limits)
    ambient = lookup(ambients).at_or_above(cable.ambient_c)
    if ambient is None:
        raise MissingFactError(f"circuits.{circuit.id}.cable.ambient_c")
    return Rating(
        tabulated_a=tabulated,
        ambient_factor=ambient,
        grouping_factor=_grouping(circuit, cable, groups),
        insulation_factor=_insulation(cable, limits.overcurrent.insulation_factor),
    )


def _grouping(circuit: Circuit, cable: Cable, table: Table) -> float:
    if not cable.grouped_with:
        return 1.0
    factor = lookup(table).rows.get((float(cable.grouped_with + 1),))
    if factor is None:
        raise MissingFactError(f"circuits.{circuit.id}.cable.grouped_with")
    return factor


def _insulation(cable: Cable, table: Table) -> float:
    if not cable.insulation_contact_mm or cable.reference_method in IN_INSULATION:
        return 1.0
    rows = lookup(table)
    factor = rows.at_or_above(cable.insulation_contact_mm)
    return rows.column()[1][-1] if factor is None else factor


def _outside(circuit: Circuit, cable: Cable, rows: Lookup) -> str:
    """The path of the attribute that the table does not have."""
    path = f"circuits.{circuit.id}.cable"
    method, _, conductors = _numbered((cable.reference_method, cable.cross_section_mm2, loaded_conductors(circuit)))
    if not any(key[2] == conductors for key in rows.rows):
        return f"{path}.type"
    if not any(key[0] == method for key in rows.rows):
        return f"{path}.reference_method"
    return f"{path}.cross_section_mm2"
