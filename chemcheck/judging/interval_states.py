"""State of each reading of a column, held against the bounds of its sample."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.judging.bound_tables import (
    LOWER_ACTION,
    LOWER_WARNING,
    UPPER_ACTION,
    UPPER_WARNING,
    ColumnTable,
)
from chemcheck.judging.decision_rules import Cells, DecisionRule, FreshCells
from chemcheck.judging.record import INSIDE, NO_RESULT, NOT_JUDGED, OUTSIDE, UNDECIDED, WARNING

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
# A number for all rows, or one a row.
Value = np.float64 | Floats

_SIDE_UPPER = (False, True, False, True)


@dataclass(frozen=True, slots=True)
class BoundValues:
    """The bounds of some rows as numbers, by role.

    Parameters
    ----------
    least, greatest : tuple of 4 floats or arrays of shape (n,)
        Ends between which the bound lies: apart only where it is a fraction of a fresh fill
        that is itself an interval. Infinite where there is none, or none known.
    judged : ndarray of bool, shape (n,), or None
        Whether any bound has a number; None where one has for all rows.
    unresolved : ndarray of bool, shape (4, n), or None
        By role, whether there is a bound without a number because the fresh fill is unknown.
    """

    least: tuple[Value, ...]
    greatest: tuple[Value, ...]
    judged: Bools | None
    unresolved: Bools | None


def bound_values(table: ColumnTable, stratum: npt.NDArray[np.int16]) -> BoundValues:
    """Look up the bounds of rows of one column, none of which is a fraction of fresh.

    Parameters
    ----------
    table : ColumnTable
        The column's bounds.
    stratum : ndarray of int16, shape (n,)
        Of each row; -1 where no set applies.

    Returns
    -------
    BoundValues
        Single numbers where all rows share one.
    """
    place = _place(stratum)
    values = tuple(_looked_up(table, role, place) for role in range(4))
    all_judged = table.has_limit[:-1].all() and stratum.min(initial=0) >= 0
    judged = None if all_judged else np.broadcast_to(table.has_limit[place], stratum.shape)
    return BoundValues(values, values, judged, None)


def fresh_bound_values(
    table: ColumnTable,
    stratum: npt.NDArray[np.int16],
    cells: Cells,
    fresh: FreshCells | None,
    rule: DecisionRule | None,
) -> BoundValues:
    """Look up the bounds of rows of one column, some of which are fractions of fresh.

    Parameters
    ----------
    table, stratum
        As for `bound_values`.
    cells : Cells
        The readings.
    fresh : FreshCells or None
        The fresh fill's readings of this column; None where all are unknown.
    rule : DecisionRule or None
        How far the difference between reading and bound is widened; None leaves the bounds
        as they are.

    Returns
    -------
    BoundValues
        Widened so far that a reading widened by its own uncertainty stands to them as the
        difference of both, widened by its uncertainty, stands to 0: the uncertainties of
        reading and fresh fill add in quadrature.
    """
    n = stratum.size
    place = _place(stratum)
    if fresh is None:
        nothing = np.full(n, np.nan)
        none = Cells(nothing, nothing, nothing, nothing, np.ones(n, dtype=np.bool_))
        fresh = FreshCells(none, none)
    least: list[Value] = []
    greatest: list[Value] = []
    unresolved = np.zeros((4, n), dtype=np.bool_)
    resolved = np.zeros(n, dtype=np.bool_)
    for role, upper in enumerate(_SIDE_UPPER):
        value = np.broadcast_to(_looked_up(table, role, place), stratum.shape)
        relative = np.broadcast_to(table.of_fresh[role][place], stratum.shape)
        fraction = np.where(relative, value, np.nan)
        side = fresh.upper if upper else fresh.lower
        low, high = fraction * side.lower, fraction * side.upper
        if rule is not None:
            # The end that accepts is held against the reading's own far end.
            narrow, wide = (rule.accept, rule.reject) if upper else (rule.reject, rule.accept)
            low = low - narrow * _added(cells.u_upper, fraction * side.u_lower)
            high = high + wide * _added(cells.u_lower, fraction * side.u_upper)
        unresolved[role] = relative & side.missing
        absent = np.inf if upper else -np.inf
        for ends, end in ((least, low), (greatest, high)):
            ends.append(np.where(relative, np.where(unresolved[role], absent, end), value))
        has = np.broadcast_to(table.bound[role][place] >= 0, stratum.shape)
        resolved |= has & ~unresolved[role]
    return BoundValues(tuple(least), tuple(greatest), resolved, unresolved)


def _added(u: Floats, more: Floats) -> Floats:
    """Return by how much another uncertainty widens one, in quadrature."""
    return np.asarray(np.hypot(u, more) - u)


def _place(stratum: npt.NDArray[np.int16]) -> npt.NDArray[np.intp] | int:
    """Return where to look rows up: one place where all share a stratum."""
    one = stratum.size > 0 and stratum.min() == stratum.max()
    return int(stratum[0]) if one else stratum.astype(np.intp)


def _looked_up(table: ColumnTable, role: int, place: npt.NDArray[np.intp] | int) -> Value:
    """Return a bound for each row; one number if all strata have the same, or none."""
    value = table.value[role]
    alike = value[:-1].size > 0 and (value[:-1] == value[0]).all()
    return np.float64(value[0]) if alike else value[place]


def interval_states(cells: Cells, rule: DecisionRule, limits: BoundValues) -> npt.NDArray[np.int8]:
    """Say on which side of its bounds each reading lies.

    Parameters
    ----------
    cells : Cells
        The readings with their uncertainty.
    rule : DecisionRule
        How far they are widened.
    limits : BoundValues
        The bounds.

    Returns
    -------
    ndarray of int8, shape (n,)
        ``NO_RESULT`` where there is no reading, ``NOT_JUDGED`` where no bound has a number,
        ``OUTSIDE`` where an action bound is surely broken, ``UNDECIDED`` where one may be,
        ``WARNING`` where a warning bound is or may be broken, else ``INSIDE``. A reading on
        a bound is inside.
    """
    low, high = cells.widened(rule.accept)
    # Numbers ascend from inside to outside: the greatest that holds counts.
    state = _beyond(low, high, limits, LOWER_WARNING, UPPER_WARNING).view(np.int8) * WARNING
    undecided = _beyond(low, high, limits, LOWER_ACTION, UPPER_ACTION).view(np.int8)
    np.maximum(state, undecided * UNDECIDED, out=state)
    low, high = (low, high) if rule.reject == rule.accept else cells.widened(rule.reject)
    outside = _surely_beyond(low, high, limits).view(np.int8)
    np.maximum(state, outside * OUTSIDE, out=state)
    if limits.judged is not None:
        np.copyto(state, NOT_JUDGED, where=~limits.judged)
    np.copyto(state, NO_RESULT, where=cells.missing)
    return state


def narrower_states(
    wider: npt.NDArray[np.int8], cells: Cells, rule: DecisionRule, limits: BoundValues
) -> npt.NDArray[np.int8]:
    """Say the states by a rule that widens less than another one.

    Parameters
    ----------
    wider : ndarray of int8, shape (n,)
        States by the rule that widens more; what it decides is so by this one too.
    cells, rule, limits
        As for `interval_states`.

    Returns
    -------
    ndarray of int8, shape (n,)
        As from `interval_states`, but that a warning may be given though it is less sure.
    """
    answer = wider.copy()
    rows = np.flatnonzero(wider == UNDECIDED)
    if rows.size:
        least, greatest = (
            tuple(_rows(value, rows) for value in ends) for ends in (limits.least, limits.greatest)
        )
        some = BoundValues(least, greatest, None, None)
        answer[rows] = interval_states(_taken(cells, rows), rule, some)
    return answer


def decisive_bounds(
    state: npt.NDArray[np.int8],
    cells: Cells,
    rule: DecisionRule,
    limits: BoundValues,
    table: ColumnTable,
    stratum: npt.NDArray[np.int16],
) -> npt.NDArray[np.int16]:
    """Say which bound decided each state: the one broken, or the nearest where inside.

    Parameters
    ----------
    state : ndarray of int8, shape (n,)
        From `interval_states` with the same other arguments.
    cells, rule, limits
        As there.
    table, stratum
        As for `bound_values`.

    Returns
    -------
    ndarray of int16, shape (n,)
        Position among the bounds in force, -1 where there is none; where two bounds are
        broken alike, the upper one.
    """
    answer = _nearest(cells, limits, table, stratum)
    rows = np.flatnonzero((state > INSIDE) & (state < NOT_JUDGED))
    role = _broken(state[rows], _taken(cells, rows), rule, limits, rows)
    answer[rows] = table.bound[role, stratum[rows]]
    if limits.unresolved is not None:
        lost = np.flatnonzero((state == NOT_JUDGED) & limits.unresolved.any(axis=0))
        role = limits.unresolved[:, lost].argmax(axis=0)
        answer[lost] = table.bound[role, stratum[lost]]
    np.copyto(answer, np.int16(-1), where=cells.missing)
    return answer


def _broken(
    state: npt.NDArray[np.int8],
    cells: Cells,
    rule: DecisionRule,
    limits: BoundValues,
    rows: npt.NDArray[np.intp],
) -> npt.NDArray[np.intp]:
    """Return the role of the bound that is, or may be, broken."""
    _, high = cells.widened(rule.accept)
    low, _ = cells.widened(rule.reject)
    above = np.where(
        state == OUTSIDE,
        low > _rows(limits.greatest[UPPER_ACTION], rows),
        high > _rows(limits.least[UPPER_ACTION], rows),
    )
    action = np.where(above, UPPER_ACTION, LOWER_ACTION)
    warned = high > _rows(limits.least[UPPER_WARNING], rows)
    warning = np.where(warned, UPPER_WARNING, LOWER_WARNING)
    return np.where(state == WARNING, warning, action)


def _beyond(low: Floats, high: Floats, limits: BoundValues, lower: int, upper: int) -> Bools:
    """Return where a reading may lie beyond a bound."""
    floor, ceiling = limits.greatest[lower], limits.least[upper]
    if _absent(floor) and _absent(ceiling):
        return np.zeros(low.shape, dtype=np.bool_)
    if _absent(floor):
        return np.asarray(high > ceiling)
    if _absent(ceiling):
        return np.asarray(low < floor)
    return np.asarray((high > ceiling) | (low < floor))


def _surely_beyond(low: Floats, high: Floats, limits: BoundValues) -> Bools:
    """Return where a reading lies beyond an action bound with all it may be."""
    floor, ceiling = limits.least[LOWER_ACTION], limits.greatest[UPPER_ACTION]
    if _absent(floor):
        return np.asarray(low > ceiling)
    if _absent(ceiling):
        return np.asarray(high < floor)
    return np.asarray((low > ceiling) | (high < floor))


def _nearest(
    cells: Cells, limits: BoundValues, table: ColumnTable, stratum: npt.NDArray[np.int16]
) -> npt.NDArray[np.int16]:
    """Return the bound with the least room left; a warning comes before the action bound."""
    bound = table.bound
    upper = np.where(bound[UPPER_WARNING] >= 0, bound[UPPER_WARNING], bound[UPPER_ACTION])
    lower = np.where(bound[LOWER_WARNING] >= 0, bound[LOWER_WARNING], bound[LOWER_ACTION])
    place = _place(stratum)
    if not ((upper >= 0) & (lower >= 0)).any():
        only = np.where(upper >= 0, upper, lower)[place]
        return np.full(stratum.shape, only) if isinstance(place, int) else np.asarray(only)
    ceiling = np.minimum(limits.least[UPPER_ACTION], limits.least[UPPER_WARNING])
    floor = np.maximum(limits.greatest[LOWER_ACTION], limits.greatest[LOWER_WARNING])
    with np.errstate(invalid="ignore"):  # an open end against no bound: neither is nearer
        below_nearer = cells.lower - floor < ceiling - cells.upper
    return np.asarray(np.where(below_nearer, lower[place], upper[place]))


def _taken(cells: Cells, rows: npt.NDArray[np.intp]) -> Cells:
    """Return the readings of some rows."""
    u_lower = cells.u_lower[rows]
    u_upper = u_lower if cells.u_upper is cells.u_lower else cells.u_upper[rows]
    return Cells(cells.lower[rows], cells.upper[rows], u_lower, u_upper, cells.missing[rows])


def _absent(value: Value) -> bool:
    return not isinstance(value, np.ndarray) and bool(np.isinf(value))


def _rows(value: Value, rows: npt.NDArray[np.intp]) -> Value:
    """Return the values of some rows, or the one value of all."""
    return value[rows] if isinstance(value, np.ndarray) else value
