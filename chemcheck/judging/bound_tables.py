"""Bounds of every column of readings as small tables that samples look up by stratum."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.judging.record import BoundInForce
from chemcheck.judging.strata import Stratum
from chemcheck.limit_library.records import AnalyteLimit, Condition, LimitSet
from chemcheck.readings.record import ReadingColumn

# A column of readings has at most one bound of each role in a set.
ROLES = (("lower", "action"), ("upper", "action"), ("lower", "warning"), ("upper", "warning"))
LOWER_ACTION, UPPER_ACTION, LOWER_WARNING, UPPER_WARNING = range(4)


@dataclass(frozen=True, slots=True)
class ConditionInForce:
    """A condition of one limit, and where its source stands among the bounds in force.

    Parameters
    ----------
    condition : Condition
        As in the set.
    bound : int
        Position among the bounds in force.
    """

    condition: Condition
    bound: int


@dataclass(frozen=True, slots=True)
class ColumnTable:
    """The bounds of one column of readings; the last place of each table means no limit.

    Parameters
    ----------
    value : ndarray of float64, shape (4, n_strata + 1)
        The bound, or the fraction of fresh, by role; infinite where there is none.
    bound : ndarray of int16, shape (4, n_strata + 1)
        Position among the bounds in force; -1 where there is none.
    of_fresh : ndarray of bool, shape (4, n_strata + 1)
        Whether the value is a fraction of the fresh fill.
    has_limit, has_action : ndarray of bool, shape (n_strata + 1,)
        Whether there is any bound, and any action bound.
    conditions : tuple of (int, tuple of ConditionInForce)
        Stratum, and the conditions of its limit in their order.
    """

    value: npt.NDArray[np.float64]
    bound: npt.NDArray[np.int16]
    of_fresh: npt.NDArray[np.bool_]
    has_limit: npt.NDArray[np.bool_]
    has_action: npt.NDArray[np.bool_]
    conditions: tuple[tuple[int, tuple[ConditionInForce, ...]], ...]


def column_tables(
    columns: Sequence[ReadingColumn],
    sets: Sequence[LimitSet],
    strata: Sequence[Stratum],
    bounds: list[BoundInForce],
) -> tuple[ColumnTable, ...]:
    """Gather the bounds of every column of readings.

    Parameters
    ----------
    columns : sequence of ReadingColumn
        What was read.
    sets : sequence of LimitSet
        The sets in use.
    strata : sequence of Stratum
        As the samples divide.
    bounds : list of BoundInForce
        Grows by the bounds and conditions that have a column here.

    Returns
    -------
    tuple of ColumnTable
        One a column.
    """
    tables = [_empty_table(len(strata)) for _ in columns]
    conditions: list[list[tuple[int, tuple[ConditionInForce, ...]]]] = [[] for _ in columns]
    for s, limit_set in enumerate(sets):
        for limit in limit_set.limits:
            for j, column in enumerate(columns):
                if not matches(limit, column):
                    continue
                places, held = _enter(limit_set.id, j, limit, bounds)
                for k, stratum in enumerate(strata):
                    if stratum.limit_set == s and stratum.has(limit):
                        _fill(tables[j], k, limit, places)
                        if held:
                            conditions[j].append((k, held))
    return tuple(
        ColumnTable(t.value, t.bound, t.of_fresh, t.has_limit, t.has_action, tuple(conditions[j]))
        for j, t in enumerate(tables)
    )


def matches(limit: AnalyteLimit, column: ReadingColumn) -> bool:
    """Return whether a limit speaks of a column: bases are never compared with each other."""
    return limit.analyte == column.analyte and limit.basis in (None, column.basis)


def conditions_in_force(
    conditions: Sequence[Condition],
    limit_set: str,
    quantity: int,
    title: str,
    bounds: list[BoundInForce],
) -> tuple[ConditionInForce, ...]:
    """Enter conditions among the bounds in force, so that their source can be shown."""
    answer = []
    for condition in conditions:
        answer.append(ConditionInForce(condition, len(bounds)))
        bounds.append(
            BoundInForce(
                limit_set=limit_set,
                quantity=quantity,
                side=None,
                kind="condition",
                value=float("nan"),
                of_fresh=False,
                consequence=f"{title} is {condition.then} where {in_words(condition)}.",
                source=condition.source,
                evidence=condition.evidence,
            )
        )
    return tuple(answer)


def in_words(condition: Condition) -> str:
    """Say when a condition holds.

    Examples
    --------
    >>> in_words(Condition("conductivity", 20.0, None, "not judged", "", "memory"))
    'conductivity at 25 C is below 20 uS/cm'
    """
    analyte = vocabulary()[condition.analyte]
    unit = "" if analyte.unit == analyte.title else f" {analyte.unit}"
    said = [
        f"{analyte.title} is {side} {value:.6g}{unit}"
        for side, value in (("below", condition.below), ("above", condition.above))
        if value is not None
    ]
    return " or ".join(said)


def _empty_table(n_strata: int) -> ColumnTable:
    value = np.full((4, n_strata + 1), np.inf)
    value[[LOWER_ACTION, LOWER_WARNING]] = -np.inf
    return ColumnTable(
        value=value,
        bound=np.full((4, n_strata + 1), -1, dtype=np.int16),
        of_fresh=np.zeros((4, n_strata + 1), dtype=np.bool_),
        has_limit=np.zeros(n_strata + 1, dtype=np.bool_),
        has_action=np.zeros(n_strata + 1, dtype=np.bool_),
        conditions=(),
    )


def _enter(
    limit_set: str, quantity: int, limit: AnalyteLimit, bounds: list[BoundInForce]
) -> tuple[dict[int, int], tuple[ConditionInForce, ...]]:
    """Enter a limit's bounds and conditions; return the place of each role."""
    places = {}
    for bound in limit.bounds:
        places[ROLES.index((bound.side, bound.kind))] = len(bounds)
        bounds.append(
            BoundInForce(
                limit_set=limit_set,
                quantity=quantity,
                side=bound.side,
                kind=bound.kind,
                value=bound.value,
                of_fresh=bound.of_fresh,
                consequence=bound.consequence,
                source=bound.source,
                evidence=bound.evidence,
            )
        )
    title = vocabulary()[limit.analyte].title
    return places, conditions_in_force(limit.conditions, limit_set, quantity, title, bounds)


def _fill(table: ColumnTable, stratum: int, limit: AnalyteLimit, places: dict[int, int]) -> None:
    for bound in limit.bounds:
        role = ROLES.index((bound.side, bound.kind))
        table.value[role, stratum] = bound.value
        table.bound[role, stratum] = places[role]
        table.of_fresh[role, stratum] = bound.of_fresh
        table.has_limit[stratum] = True
        table.has_action[stratum] |= bound.kind == "action"
