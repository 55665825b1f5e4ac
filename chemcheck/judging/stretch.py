"""A stretch of samples judged from the readings to the verdict."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from chemcheck.judging.bound_tables import (
    LOWER_ACTION,
    UPPER_ACTION,
    UPPER_WARNING,
    ColumnTable,
    ConditionInForce,
)
from chemcheck.judging.cells import Stretch, fresh_cells, read_cells
from chemcheck.judging.comparisons import Term
from chemcheck.judging.conditions import apply_conditions
from chemcheck.judging.decision_rules import Cells, DecisionRule, FreshCells
from chemcheck.judging.interval_states import (
    BoundValues,
    bound_values,
    decisive_bounds,
    fresh_bound_values,
    interval_states,
    narrower_states,
)
from chemcheck.judging.plan import Plan
from chemcheck.judging.record import NO_RESULT, UNDECIDED, WARNING
from chemcheck.judging.rules import analytes_of, rule_states
from chemcheck.judging.verdicts import Lack, verdicts, was_judged
from chemcheck.readings.record import REJECTED

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

_UPPER = (UPPER_ACTION, UPPER_WARNING)


@dataclass(frozen=True, slots=True)
class Outcome:
    """Where the answer for one decision rule goes: arrays filled in place.

    Parameters
    ----------
    state, decisive : ndarray of int8, int16, shape (n, n_quantities), Fortran order
        As in `Judged`; ``decisive`` is not filled where only the verdict is wanted.
    verdict : ndarray of int8, shape (n,)
        As in `Judged`.
    missing_essential : ndarray of bool, shape (n,)
        As in `Judged`.
    """

    state: npt.NDArray[np.int8]
    decisive: npt.NDArray[np.int16]
    verdict: npt.NDArray[np.int8]
    missing_essential: Bools


def judge_stretch(
    plan: Plan,
    rows: slice,
    rules: Sequence[DecisionRule],
    outcomes: Sequence[Outcome],
    uncertainty: npt.NDArray[np.float32],
    bound_value: Floats | None,
    fresh: npt.NDArray[np.int64] | None,
    withhold: Bools,
) -> None:
    """Judge a stretch of samples by several decision rules at once.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    rows : slice
        The stretch.
    rules : sequence of DecisionRule
        The first is the one whose decisive bounds are wanted.
    outcomes : sequence of Outcome
        One a rule.
    uncertainty, bound_value : ndarray, shape (n, n_quantities)
        Filled in place.
    fresh : ndarray of int64, shape (n,), or None
        Sample that shows the fresh fill of each; -1 where there is none.
    withhold : ndarray of bool, shape (n,)
        Samples that cannot be fit for a reason that does not lie in their results.
    """
    stratum = plan.strata.code[rows]
    kept: dict[int, Cells] = {}
    unresolved: dict[int, Bools] = {}
    for j, table in enumerate(plan.tables):
        cells = read_cells(plan, rows, j)
        if j in plan.needed:
            kept[j] = cells
        uncertainty[:, j] = cells.u_upper
        reference = fresh_cells(plan, rows, fresh, j) if table.of_fresh.any() else None
        limits = _limits_by_rule(table, stratum, cells, reference, rules)
        lost = limits[0].unresolved
        if lost is not None:
            unresolved[j] = lost[LOWER_ACTION] | lost[UPPER_ACTION]
        first = interval_states(cells, rules[0], limits[0])
        outcomes[0].state[:, j] = first
        for rule, outcome, bounds in zip(rules[1:], outcomes[1:], limits[1:], strict=True):
            if reference is None and rule.accept <= rules[0].reject:
                outcome.state[:, j] = narrower_states(first, cells, rule, bounds)
            else:
                outcome.state[:, j] = interval_states(cells, rule, bounds)
        outcomes[0].decisive[:, j] = decisive_bounds(
            outcomes[0].state[:, j], cells, rules[0], limits[0], table, stratum
        )
        if bound_value is not None and reference is not None:
            as_read = fresh_bound_values(table, stratum, cells, reference, None)
            _fill_bound_value(bound_value, as_read, table, outcomes[0].decisive, j)
    stretch = Stretch(plan, rows, stratum, kept)
    terms = cache(stretch.term)  # the same for every decision rule
    unread = _rejected(plan, rows, stratum)
    _apply_rules(stretch, rules, outcomes, terms)
    for rule, outcome in zip(rules, outcomes, strict=True):
        _apply_conditions(stretch, rule, outcome)
        withhold = withhold | _apply_doubts(stretch, outcome)
        essential = _essential_missing(stretch, rule, outcome, unresolved)
        other = withhold | plan.partial[stratum]
        for j, rejected in unread.items():
            exempt = np.zeros(rejected.shape, dtype=np.bool_)
            for k, items in plan.tables[j].conditions:
                exempt |= _exempt(stretch, rule, k, items)
            other |= rejected & ~exempt
        outcome.missing_essential[:] = essential
        outcome.verdict[:] = verdicts(outcome.state, Lack(essential, other))


def _limits_by_rule(
    table: ColumnTable,
    stratum: npt.NDArray[np.int16],
    cells: Cells,
    fresh: FreshCells | None,
    rules: Sequence[DecisionRule],
) -> list[BoundValues]:
    """Look up bounds for each decision rule; only those of the fresh fill differ."""
    if not table.of_fresh.any():
        return [bound_values(table, stratum)] * len(rules)
    if fresh is None:
        return [fresh_bound_values(table, stratum, cells, None, None)] * len(rules)
    return [fresh_bound_values(table, stratum, cells, fresh, rule) for rule in rules]


def _fill_bound_value(
    bound_value: Floats,
    as_read: BoundValues,
    table: ColumnTable,
    decisive: npt.NDArray[np.int16],
    column: int,
) -> None:
    """Fill in the number of each decisive bound that is a fraction of the fresh fill."""
    for role, places in enumerate(table.bound):
        at = np.flatnonzero(np.isin(decisive[:, column], places[table.of_fresh[role]]))
        value = as_read.least[role] if role in _UPPER else as_read.greatest[role]
        number = np.broadcast_to(value, decisive[:, column].shape)[at]
        bound_value[at, column] = np.where(np.isinf(number), np.nan, number)


def _rejected(plan: Plan, rows: slice, stratum: npt.NDArray[np.int16]) -> dict[int, Bools]:
    """Return, by column, where a reading with an action bound could not be read."""
    answer = {}
    for j, table in enumerate(plan.tables):
        rejected = plan.readings.status[rows, j] == REJECTED
        if rejected.any():
            answer[j] = rejected & table.has_action[stratum]
    return answer


def _apply_conditions(stretch: Stretch, rule: DecisionRule, outcome: Outcome) -> None:
    """Take the conditions of limits and rules into account."""
    for j, table in enumerate(stretch.plan.tables):
        for k, items in table.conditions:
            in_doubt = UNDECIDED if table.has_action[k] else WARNING
            _apply(stretch, rule, outcome, j, k, items, in_doubt)
    for item in stretch.plan.rules:
        in_doubt = UNDECIDED if item.rule.kind == "action" else WARNING
        for k in item.strata if item.conditions else ():
            _apply(stretch, rule, outcome, item.quantity, k, item.conditions, in_doubt)


def _apply(
    stretch: Stretch,
    rule: DecisionRule,
    outcome: Outcome,
    quantity: int,
    stratum: int,
    items: Sequence[ConditionInForce],
    in_doubt: np.int8,
) -> None:
    apply_conditions(
        outcome.state[:, quantity],
        outcome.decisive[:, quantity],
        np.flatnonzero(stretch.stratum == stratum),
        items,
        lambda analyte: stretch.ends(analyte, rule.accept),
        lambda analyte, at: stretch.implied(analyte, at, rule.accept),
        in_doubt,
    )


def _exempt(
    stretch: Stretch, rule: DecisionRule, stratum: int, items: Sequence[ConditionInForce]
) -> Bools:
    """Return where a limit surely does not apply, whether or not there is a result."""
    n = stretch.stratum.size
    rows = np.flatnonzero(stretch.stratum == stratum)
    answer = np.zeros(n, dtype=np.bool_)
    answer[rows] = apply_conditions(
        np.full(n, NO_RESULT),
        np.full(n, -1, dtype=np.int16),
        rows,
        items,
        lambda analyte: stretch.ends(analyte, rule.accept),
        lambda analyte, at: stretch.implied(analyte, at, rule.accept),
    )
    return answer


def _apply_rules(
    stretch: Stretch,
    rules: Sequence[DecisionRule],
    outcomes: Sequence[Outcome],
    terms: Callable[[str], Term],
) -> None:
    """Judge by the rules of the sets, each in the samples of its set."""
    for outcome in outcomes:
        outcome.state[:, len(stretch.plan.tables) :] = NO_RESULT
    outcomes[0].decisive[:, len(stretch.plan.tables) :] = -1
    for item in stretch.plan.rules:
        rows = np.flatnonzero(np.isin(stretch.stratum, item.strata))
        if not rows.size:
            continue
        first = rule_states(item.rule, terms, rules[0])
        outcomes[0].state[rows, item.quantity] = first[rows]
        outcomes[0].decisive[rows, item.quantity] = np.where(
            first[rows] == NO_RESULT, -1, item.bound
        )
        # A rule that widens no more than the first agrees with what that one decides.
        open_rows = np.flatnonzero(first == UNDECIDED)
        for rule, outcome in zip(rules[1:], outcomes[1:], strict=True):
            state = first.copy()
            if rule.accept <= rules[0].reject:
                some = _terms_of(terms, open_rows)
                state[open_rows] = rule_states(item.rule, some, rule)
            else:
                state = rule_states(item.rule, terms, rule)
            outcome.state[rows, item.quantity] = state[rows]


def _terms_of(terms: Callable[[str], Term], rows: npt.NDArray[np.intp]) -> Callable[[str], Term]:
    """Return what gives the terms of some rows."""
    return lambda analyte: terms(analyte).of_rows(rows)


def _apply_doubts(stretch: Stretch, outcome: Outcome) -> Bools:
    """Leave undecided what is not to be relied on; return which samples that is wholly."""
    plan = stretch.plan
    if plan.doubts is None:
        return np.zeros(stretch.stratum.shape, dtype=np.bool_)
    set_of_stratum = np.array([*(kind.limit_set for kind in plan.strata.kinds), -1])
    limit_set = set_of_stratum[stretch.stratum]
    of_cell = plan.doubts.of_cell
    if of_cell is not None:
        by_column = [of_cell[stretch.rows, j] for j in range(of_cell.shape[1])]
        for j, doubt in enumerate(by_column):
            _leave_undecided(plan, outcome, j, doubt, limit_set)
        for item in plan.rules:
            places = [plan.readings.position(key) for key in analytes_of(item.rule)]
            doubts = [by_column[place] for place in places if place is not None]
            _leave_undecided(plan, outcome, item.quantity, np.max(doubts, axis=0), limit_set)
    of_sample = plan.doubts.of_sample[stretch.rows]
    if (of_sample >= 0).any():
        for quantity in range(outcome.state.shape[1]):
            _leave_undecided(plan, outcome, quantity, of_sample, limit_set)
    return np.asarray(of_sample >= 0)


def _leave_undecided(
    plan: Plan,
    outcome: Outcome,
    quantity: int,
    doubt: npt.NDArray[np.int16],
    limit_set: npt.NDArray[np.intp],
) -> None:
    """Leave the results of one quantity undecided where there is a doubt."""
    at = np.flatnonzero((doubt >= 0) & (limit_set >= 0))
    at = at[was_judged(outcome.state[at, quantity])]
    outcome.state[at, quantity] = UNDECIDED
    outcome.decisive[at, quantity] = plan.doubt_bounds[doubt[at], limit_set[at]]


def _essential_missing(
    stretch: Stretch, rule: DecisionRule, outcome: Outcome, unresolved: dict[int, Bools]
) -> Bools:
    """Return where an essential is missing, rejected or not judged."""
    answer = np.zeros(stretch.stratum.shape, dtype=np.bool_)
    for item in stretch.plan.essentials:
        there = np.zeros(answer.shape, dtype=np.bool_)
        for j in item.columns:
            state = outcome.state[:, j]
            if item.read_only:
                there |= state != NO_RESULT
            else:
                judged = was_judged(state)
                there |= judged & ~unresolved[j] if j in unresolved else judged
        if item.conditions:
            there |= _exempt(stretch, rule, item.stratum, item.conditions)
        answer |= (stretch.stratum == item.stratum) & ~there
    return answer
