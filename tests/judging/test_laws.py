"""What must hold of every judgement, whatever the limits and readings."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.chemistry.ions import IONS, equivalents
from chemcheck.judging import RULES, Judged, uncertainty
from chemcheck.judging.record import (
    FIT,
    NO_RESULT,
    NOT_JUDGED,
    OUTSIDE,
    UNDECIDED,
)
from chemcheck.limit_library.records import (
    Combination,
    Comparison,
    Condition,
    LimitSet,
    MethodPrecision,
    Rule,
)
from chemcheck.readings.record import BLANK, REJECTED, Readings
from tests.builders import bound, limit, limit_set, readings
from tests.judging.judged import by_one

# Glycol is always read and well inside, so that something is always judged.
ANALYTES = ("chloride", "sulfate", "fluoride", "conductivity", "nitrate", "iron")
VALUES = st.floats(0.0, 200.0).map(lambda x: round(x, 1))
INTERVALS = st.one_of(
    VALUES,
    st.tuples(VALUES, VALUES).map(lambda ends: (min(ends), max(ends))),
    VALUES.map(lambda x: (0.0, x)),
    VALUES.map(lambda x: (x, np.inf)),
)
SIDES = st.sampled_from(["lower", "upper"])
KINDS = st.sampled_from(["action", "warning"])
PRECISION = st.tuples(st.sampled_from([0.0, 0.5, 5.0]), st.sampled_from([0.0, 0.05, 0.3]))
WORDS = {"consequence": "Something happens.", "source": "invented", "evidence": "memory"}


@st.composite
def conditions(draw: Any) -> Condition:
    below = draw(st.one_of(st.none(), VALUES))
    above = draw(VALUES) if below is None else None
    then = draw(st.sampled_from(["not judged", "undecided"]))
    return Condition(draw(st.sampled_from(ANALYTES)), below, above, then, "invented", "memory")


@st.composite
def comparisons(draw: Any) -> Comparison:
    names = draw(st.lists(st.sampled_from(ANALYTES), min_size=1, max_size=3, unique=True))
    kind = draw(st.sampled_from(["sum", "ratio"])) if len(names) == 2 else "sum"
    factors = st.sampled_from([0.5, 1.0, 2.0])
    value = draw(st.floats(0.1, 3.0)) if kind == "ratio" else draw(st.floats(1.0, 300.0))
    return Comparison(kind, tuple((name, draw(factors)) for name in names), draw(SIDES), value)


@st.composite
def rules(draw: Any, id: str) -> Rule:
    parts = draw(st.lists(comparisons(), min_size=1, max_size=3))
    requirement: Comparison | Combination = parts[0]
    if len(parts) > 1:
        requirement = Combination(draw(st.sampled_from(["any_of", "all_of"])), tuple(parts))
    held = tuple(draw(st.lists(conditions(), max_size=1)))
    return Rule(id, id, draw(KINDS), requirement, held, **WORDS)


@st.composite
def limit_sets(draw: Any) -> LimitSet:
    limits = [limit("glycol", bound("lower", 33.0))]
    for name in ANALYTES:
        roles = draw(st.lists(st.tuples(SIDES, KINDS), max_size=4, unique=True))
        if roles:
            held = draw(st.lists(conditions(), max_size=2))
            limits.append(
                limit(name, *(bound(s, draw(VALUES), k) for s, k in roles), conditions=held)
            )
    limited = [each.analyte for each in limits]
    essential = draw(st.lists(st.sampled_from(limited), max_size=3, unique=True))
    listed = tuple(draw(rules(id=f"rule_{k}")) for k in range(draw(st.integers(0, 2))))
    return limit_set(*limits, essential=essential, rules=listed, material="water")


@st.composite
def samples(draw: Any, n: int = 3) -> Readings:
    columns: dict[str, list[Any]] = {"glycol": [50.0] * n}
    for name in ANALYTES:
        cells = st.one_of(INTERVALS, INTERVALS, INTERVALS, st.none(), st.just("rejected"))
        columns[name] = draw(st.lists(cells, min_size=n, max_size=n))
    return consistent(readings(columns, material="water"))


def consistent(read: Readings) -> Readings:
    """Make waters conduct as much as their ions at least: readings contradict no other."""
    salt = np.zeros(len(read.samples))
    for name in ("chloride", "sulfate", "nitrate"):
        ion, place = IONS[name], read.position(name)
        charges = equivalents(read.upper[:, place], ion.molar_mass, ion.charge)
        salt += np.nan_to_num(np.minimum(charges, 5.0), nan=0.0, posinf=5.0)
    place = read.position("conductivity")
    lower, upper = read.lower.copy(), read.upper.copy()
    lower[:, place] = np.maximum(lower[:, place], 100.0 * salt)
    upper[:, place] = np.maximum(upper[:, place], lower[:, place])
    return replace(read, lower=lower, upper=upper)


def judged(read: Readings, by: LimitSet, rule: str, precision: tuple[float, float]) -> Judged:
    stated = MethodPrecision(*precision, None, "invented", "memory")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(uncertainty, "precision_of", lambda method, analyte: stated)
        return by_one(read, by, rule)


def without(read: Readings, row: int, column: int, status: np.int8) -> Readings:
    """Take a reading away."""
    lower, upper, statuses = read.lower.copy(), read.upper.copy(), read.status.copy()
    lower[row, column] = upper[row, column] = np.nan
    statuses[row, column] = status
    return replace(read, lower=lower, upper=upper, status=statuses)


RULE = st.sampled_from(RULES)
LAWS = settings(max_examples=40, deadline=None)


@LAWS
@given(
    samples(), limit_sets(), RULE, PRECISION, st.integers(0, 6), st.floats(0, 50), st.floats(0, 50)
)
def test_widening_an_interval_never_decides(
    read: Readings, by: LimitSet, rule: str, precision: Any, column: int, down: float, up: float
) -> None:
    before = judged(read, by, rule, precision)
    lower, upper = read.lower.copy(), read.upper.copy()
    lower[:, column] = np.maximum(lower[:, column] - down, np.minimum(lower[:, column], 0.0))
    upper[:, column] += up
    after = judged(replace(read, lower=lower, upper=upper), by, rule, precision)
    _never_surer(before, after)


@LAWS
@given(samples(), limit_sets(), RULE, PRECISION, st.floats(1.0, 3.0))
def test_a_less_precise_method_never_decides(
    read: Readings, by: LimitSet, rule: str, precision: Any, times: float
) -> None:
    wider = (precision[0] * times, min(0.45, precision[1] * times))
    _never_surer(judged(read, by, rule, precision), judged(read, by, rule, wider))


def _never_surer(before: Judged, after: Judged) -> None:
    """Check that nothing undecided became inside or outside, and no verdict changed sides."""
    was_open = before.state == UNDECIDED
    assert not (was_open & ((after.state >= 0) & (after.state != UNDECIDED))).any()
    decided = {int(x) for x in np.unique(before.verdict - after.verdict)}
    assert decided <= {-1, 0, 1}  # fit and unfit never change into each other
    undecided = before.verdict == 1
    assert (after.verdict[undecided] == 1).all()


@LAWS
@given(samples(), limit_sets(), RULE, PRECISION, st.integers(0, 2), st.integers(1, 6))
def test_removing_a_reading_never_makes_the_rest_look_better(
    read: Readings, by: LimitSet, rule: str, precision: Any, row: int, column: int
) -> None:
    before = judged(read, by, rule, precision)
    after = judged(without(read, row, column, BLANK), by, rule, precision)
    removed = read.columns[column].analyte
    bad_before, bad_after = (
        {
            each.quantities[j].key
            for j in range(len(each.quantities))
            if each.state[row, j] in (UNDECIDED, OUTSIDE)
        }
        for each in (before, after)
    )
    # A rule goes with the last of its readings.
    left = {
        each.id
        for each in by.rules
        if after.state[row, [q.key for q in after.quantities].index(each.id)] != NO_RESULT
    }
    gone = {removed} | ({each.id for each in by.rules} - left)
    assert bad_before - gone <= bad_after
    if before.verdict[row] != FIT and after.verdict[row] == FIT:
        # Only possible if what was removed was itself all that was wrong, and no essential.
        assert removed not in by.essential
        assert read.status[row, column] == REJECTED or bad_before <= gone
    others = [k for k in range(len(read.samples)) if k != row]
    assert (before.state[others] == after.state[others]).all()


@LAWS
@given(samples(), limit_sets(), RULE, PRECISION, st.integers(0, 2), st.integers(1, 6))
def test_an_essential_removed_is_never_fit(
    read: Readings, by: LimitSet, rule: str, precision: Any, row: int, column: int
) -> None:
    every = replace(by, essential=tuple(each.analyte for each in by.limits), rules=())
    before = judged(read, every, rule, precision)
    after = judged(without(read, row, column, BLANK), every, rule, precision)
    assert not (before.verdict[row] != FIT and after.verdict[row] == FIT)


@LAWS
@given(samples(), limit_sets(), RULE, PRECISION, st.integers(0, 2), st.integers(1, 6))
def test_a_reading_that_becomes_unreadable_never_makes_a_sample_fit(
    read: Readings, by: LimitSet, rule: str, precision: Any, row: int, column: int
) -> None:
    before = judged(read, by, rule, precision)
    after = judged(without(read, row, column, REJECTED), by, rule, precision)
    if before.verdict[row] != FIT:
        assert after.verdict[row] != FIT


@LAWS
@given(
    samples(), limit_sets(), RULE, PRECISION, st.permutations(range(3)), st.permutations(range(7))
)
def test_the_order_of_samples_and_columns_does_not_matter(
    read: Readings,
    by: LimitSet,
    rule: str,
    precision: Any,
    rows: Sequence[int],
    columns: Sequence[int],
) -> None:
    before = judged(read, by, rule, precision)
    shuffled = replace(
        read,
        samples=read.samples.iloc[list(rows)].reset_index(drop=True),
        columns=tuple(read.columns[k] for k in columns),
        lower=np.asfortranarray(read.lower[rows][:, columns]),
        upper=np.asfortranarray(read.upper[rows][:, columns]),
        status=np.asfortranarray(read.status[rows][:, columns]),
    )
    after = judged(shuffled, by, rule, precision)
    assert (after.verdict == before.verdict[list(rows)]).all()
    n_rules = len(before.quantities) - len(columns)
    places = [*columns, *range(len(columns), len(columns) + n_rules)]
    assert (after.state == before.state[rows][:, places]).all()


@LAWS
@given(samples(), limit_sets(), PRECISION)
def test_overlap_is_never_bolder_than_simple(read: Readings, by: LimitSet, precision: Any) -> None:
    careful = judged(read, by, "overlap", precision)
    bold = judged(read, by, "simple", precision)
    # What is inside or outside with its uncertainty is so without it.
    for state in (0, OUTSIDE):
        same = (careful.state == state) & (bold.state != NOT_JUDGED)
        assert (bold.state[same] == state).all()


@LAWS
@given(samples(), limit_sets(), RULE, PRECISION)
def test_shares_of_other_rules_are_those_of_judging_by_them(
    read: Readings, by: LimitSet, rule: str, precision: Any
) -> None:
    shares = judged(read, by, rule, precision).undecided_share
    assert shares == {
        other: judged(read, by, other, precision).undecided_share[other] for other in RULES
    }
