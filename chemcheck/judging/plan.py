"""All that is the same for every stretch of samples, worked out once."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.judging.bound_tables import (
    ColumnTable,
    ConditionInForce,
    column_tables,
    conditions_in_force,
    matches,
)
from chemcheck.judging.doubts import Doubts, doubts_in_force
from chemcheck.judging.fleet_reference import FleetReference
from chemcheck.judging.implied import IMPLY_CONDUCTIVITY
from chemcheck.judging.record import BoundInForce, Quantity
from chemcheck.judging.repeatability import OwnRepeatability
from chemcheck.judging.rules import analytes_of
from chemcheck.judging.strata import Strata, Stratum, stratify
from chemcheck.judging.uncertainty import (
    MATERIALS,
    PrecisionTable,
    precision_table,
    with_own_repeatability,
)
from chemcheck.limit_library.records import Comparison, Condition, LimitSet, Rule
from chemcheck.readings.record import ReadingColumn, Readings
from chemcheck.readings.text_codes import text_codes


@dataclass(frozen=True, slots=True)
class RuleInForce:
    """A rule of one set with what it needs here.

    Parameters
    ----------
    rule : Rule
        As in the set.
    quantity, bound : int
        Its positions among the quantities and the bounds in force.
    strata : tuple of int
        The strata it applies to.
    conditions : tuple of ConditionInForce
        In their order.
    """

    rule: Rule
    quantity: int
    bound: int
    strata: tuple[int, ...]
    conditions: tuple[ConditionInForce, ...]


@dataclass(frozen=True, slots=True)
class Essential:
    """What a stratum of samples cannot be fit without.

    Parameters
    ----------
    stratum : int
        Which samples.
    columns : tuple of int
        Columns of readings of which one must be judged.
    read_only : bool
        Whether a reading is enough, because no bound of the set speaks of it.
    conditions : tuple of ConditionInForce
        Of its limit: where one surely holds, nothing is lacking.
    """

    stratum: int
    columns: tuple[int, ...]
    read_only: bool
    conditions: tuple[ConditionInForce, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """What judging needs besides the readings themselves.

    Parameters
    ----------
    readings, sets, strata, quantities, bounds : as in `Judged` and `Strata`
        What is judged, and by what.
    tables : tuple of ColumnTable
        One a column of readings.
    rules : tuple of RuleInForce
        Of all sets.
    essentials : tuple of Essential
        Of all strata.
    precision : PrecisionTable
        Of the methods.
    material : ndarray of int8, shape (n_samples,)
        0 for water, 1 for coolant.
    partial, water : ndarray of bool, shape (n_strata + 1,)
        Whether the set of a stratum leaves out what protection hangs on; whether it
        judges water.
    needed : frozenset of int
        Columns that conditions and rules look at.
    doubts : Doubts or None
        What is not to be relied on; None where everything is.
    doubt_bounds : ndarray of int16, shape (n_doubts, n_sets)
        Positions of its reasons among the bounds.
    references : FleetReference or None
        What new coolant is held against in place of a fresh fill of its own.
    """

    readings: Readings
    sets: tuple[LimitSet, ...]
    strata: Strata
    quantities: tuple[Quantity, ...]
    bounds: tuple[BoundInForce, ...]
    tables: tuple[ColumnTable, ...]
    rules: tuple[RuleInForce, ...]
    essentials: tuple[Essential, ...]
    precision: PrecisionTable
    material: npt.NDArray[np.int8]
    partial: npt.NDArray[np.bool_]
    water: npt.NDArray[np.bool_]
    needed: frozenset[int]
    doubts: Doubts | None
    doubt_bounds: npt.NDArray[np.int16]
    references: FleetReference | None = None


def make_plan(
    readings: Readings,
    sets: Sequence[LimitSet],
    set_of_sample: npt.NDArray[np.int16],
    own: Sequence[OwnRepeatability] = (),
    doubts: Doubts | None = None,
    references: FleetReference | None = None,
) -> Plan:
    """Work out tables, rules and essentials for some readings and sets.

    Parameters
    ----------
    readings : Readings
        What is judged.
    sets : sequence of LimitSet
        The sets in use.
    set_of_sample : ndarray of int16, shape (n_samples,)
        Position in ``sets``; -1 where none applies.
    own : sequence of OwnRepeatability
        Of laboratories, in place of the library's uncertainty.
    doubts : Doubts, optional
        What is not to be relied on.
    references : FleetReference, optional
        What new coolant is held against.

    Returns
    -------
    Plan
        With a last entry in its tables by stratum for samples without a set.
    """
    sets = [_with_live_conditions(each, readings) for each in sets]
    strata = stratify(readings.samples, sets, set_of_sample)
    bounds: list[BoundInForce] = []
    tables = column_tables(readings.columns, sets, strata.kinds, bounds)
    quantities = [column_quantity(j, column) for j, column in enumerate(readings.columns)]
    rules = _rules_in_force(readings, sets, strata.kinds, quantities, bounds)
    essentials = tuple(
        essential
        for k, stratum in enumerate(strata.kinds)
        for analyte in sets[stratum.limit_set].essential
        for essential in _essential(k, stratum, analyte, sets[stratum.limit_set], readings.columns)
    )
    if not quantities:
        doubts = None  # there is no result to doubt
    reasons = (
        np.zeros((0, len(sets)), dtype=np.int16)
        if doubts is None
        else doubts_in_force(doubts, sets, bounds)
    )
    precision = precision_table(readings.method.names, readings.columns)
    of_stratum = [sets[stratum.limit_set] for stratum in strata.kinds]
    return Plan(
        readings=readings,
        sets=tuple(sets),
        strata=strata,
        quantities=tuple(quantities),
        bounds=tuple(bounds),
        tables=tables,
        rules=rules,
        essentials=essentials,
        precision=with_own_repeatability(precision, len(readings.laboratory.names), own),
        material=material_codes(readings),
        partial=np.array([*(bool(s.partial) for s in of_stratum), False]),
        water=np.array([*(s.material == "water" for s in of_stratum), False]),
        needed=_needed(readings, tables, rules, essentials),
        doubts=doubts,
        doubt_bounds=reasons,
        references=references,
    )


def _with_live_conditions(limit_set: LimitSet, readings: Readings) -> LimitSet:
    """Leave out the conditions that cannot hold, because nobody read what they look at."""

    def live(conditions: tuple[Condition, ...]) -> tuple[Condition, ...]:
        return tuple(
            item
            for item in conditions
            if item.then != "not judged" or readings.position(item.analyte) is not None
        )

    limits = tuple(replace(x, conditions=live(x.conditions)) for x in limit_set.limits)
    rules = tuple(replace(x, conditions=live(x.conditions)) for x in limit_set.rules)
    return replace(limit_set, limits=limits, rules=rules)


def column_quantity(place: int, column: ReadingColumn) -> Quantity:
    """Describe a column of readings by the vocabulary."""
    analyte = vocabulary()[column.analyte]
    units = {basis.key: basis.unit for basis in analyte.bases}
    unit = units.get(column.basis or "") or analyte.unit
    return Quantity(column.analyte, analyte.title, unit, column.basis, place)


def material_codes(readings: Readings) -> npt.NDArray[np.int8]:
    """Return 0 for each sample of water and 1 for each of coolant."""
    codes, names = text_codes(readings.samples["material"])
    known = np.array([*(MATERIALS.index(name) for name in names), 0], dtype=np.int8)
    return known[codes]


def _rules_in_force(
    readings: Readings,
    sets: Sequence[LimitSet],
    strata: Sequence[Stratum],
    quantities: list[Quantity],
    bounds: list[BoundInForce],
) -> tuple[RuleInForce, ...]:
    """Enter the rules of which any reading is here; sets that share a rule share a column."""
    answer = []
    read = {column.analyte for column in readings.columns}
    place_of = {}
    for s, limit_set in enumerate(sets):
        for rule in limit_set.rules:
            where = tuple(
                k for k, item in enumerate(strata) if item.limit_set == s and item.has(rule)
            )
            if not where or read.isdisjoint(analytes_of(rule)):
                continue
            if rule.id not in place_of:
                place_of[rule.id] = len(quantities)
                unit = rule.requirement.unit if isinstance(rule.requirement, Comparison) else ""
                quantities.append(Quantity(rule.id, rule.title, unit, None, None))
            quantity = place_of[rule.id]
            place = len(bounds)
            bounds.append(_bound_of_rule(limit_set.id, quantity, rule))
            held = conditions_in_force(rule.conditions, limit_set.id, quantity, rule.title, bounds)
            answer.append(RuleInForce(rule, quantity, place, where, held))
    return tuple(answer)


def _bound_of_rule(limit_set: str, quantity: int, rule: Rule) -> BoundInForce:
    single = rule.requirement if isinstance(rule.requirement, Comparison) else None
    return BoundInForce(
        limit_set=limit_set,
        quantity=quantity,
        side=None if single is None else single.side,
        kind=rule.kind,
        value=float("nan") if single is None else single.value,
        of_fresh=False,
        consequence=rule.consequence,
        source=rule.source,
        evidence=rule.evidence,
    )


def _needed(
    readings: Readings,
    tables: Sequence[ColumnTable],
    rules: Sequence[RuleInForce],
    essentials: Sequence[Essential],
) -> frozenset[int]:
    """Return the columns that conditions and rules look at."""
    held = [items for table in tables for _, items in table.conditions]
    held += [item.conditions for item in rules]
    held += [item.conditions for item in essentials]
    names = {item.condition.analyte for items in held for item in items}
    if "conductivity" in names:
        names.update(IMPLY_CONDUCTIVITY)
    for item in rules:
        names.update(analytes_of(item.rule))
    places = (readings.position(name) for name in names)
    return frozenset(place for place in places if place is not None)


def _essential(
    place: int,
    stratum: Stratum,
    analyte: str,
    limit_set: LimitSet,
    columns: Sequence[ReadingColumn],
) -> tuple[Essential, ...]:
    """Return what an essential analyte asks of a stratum; nothing where it does not apply."""
    limits = [limit for limit in limit_set.limits if limit.analyte == analyte]
    in_force = [limit for limit in limits if stratum.has(limit)]
    if limits and not in_force and all(stratum.excludes(limit) for limit in limits):
        return ()
    if not limits:
        read = tuple(j for j, column in enumerate(columns) if column.analyte == analyte)
        return (Essential(place, read, True, ()),)
    judged = tuple(
        j for j, column in enumerate(columns) if any(matches(limit, column) for limit in in_force)
    )
    conditions = tuple(
        ConditionInForce(condition, -1) for limit in in_force[:1] for condition in limit.conditions
    )
    return (Essential(place, judged, False, conditions),)
