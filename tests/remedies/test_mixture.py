"""Mixtures by linear programming: worked examples, grids that find nothing better, conflicts."""

from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from chemcheck.remedies.mixture import cheapest_mixture, stated_mixture

# Worked example ("computed here"): tap and deionised water, set 40 / 100 / 170 / 340.
TAP = [85.0, 120.0, 310.0, 520.0]
DEIONISED = [1.0, 1.0, 2.0, 5.0]
BOUNDS = np.array([40.0, 100.0, 170.0, 340.0])
UPPER = ("upper",) * 4
AMOUNTS = st.floats(0.0, 500.0)
STEPS = 20


def exact(*waters: list[float]) -> np.ndarray:
    return np.array(waters, dtype=float)


def grid(n: int) -> np.ndarray:
    """Return all shares of n waters in whole steps."""
    parts = [p for p in product(range(STEPS + 1), repeat=n - 1) if sum(p) <= STEPS]
    return np.array([[*p, STEPS - sum(p)] for p in parts], dtype=float) / STEPS


def test_worked_example_with_deionised_water():
    readings = exact(TAP, DEIONISED)
    found = cheapest_mixture(readings, readings, BOUNDS, UPPER, np.array([0.0, 1.0]))
    # 46 % tap: chloride 40, sulfate 56, hardness 145, solids 244; chloride controls.
    assert found.possible
    assert found.shares[0] == pytest.approx(39 / 84)
    assert found.held.round() == pytest.approx([40, 56, 145, 244])
    assert found.controlled_by == (0,)


def test_a_cheap_good_water_is_taken_whole():
    readings = exact(TAP, DEIONISED)
    found = cheapest_mixture(readings, readings, BOUNDS, UPPER, np.array([1.0, 0.5]))
    assert found.shares.tolist() == [0.0, 1.0]
    assert found.controlled_by == ()


def test_both_sides_of_a_bound_count():
    # Silica at least 5 and chloride at most 40: by hand, tap between 0.4 and 0.5.
    readings = exact([80.0, 12.5], [0.0, 0.0])
    bounds, sides = np.array([40.0, 5.0]), ("upper", "lower")
    dear = cheapest_mixture(readings, readings, bounds, sides, np.array([1.0, 0.0]))
    cheap = cheapest_mixture(readings, readings, bounds, sides, np.array([0.0, 1.0]))
    assert dear.shares[0] == pytest.approx(0.4)
    assert cheap.shares[0] == pytest.approx(0.5)


def test_the_unfavourable_end_of_an_interval_counts():
    lower, upper = exact([60.0], [0.0]), exact([80.0], [0.0])
    costs = np.array([0.0, 1.0])
    most = cheapest_mixture(lower, upper, np.array([40.0]), ("upper",), costs)
    least = cheapest_mixture(lower, upper, np.array([30.0]), ("lower",), costs[::-1])
    assert most.shares[0] == pytest.approx(40 / 80)
    assert least.shares[0] == pytest.approx(30 / 60)


def test_of_equal_costs_the_farthest_from_its_bound_is_taken():
    # Both waters pass at 40; the margin is widest where both quantities are alike.
    readings = exact([30.0, 0.0], [0.0, 30.0])
    found = cheapest_mixture(readings, readings, np.array([40.0, 40.0]), UPPER[:2], np.zeros(2))
    assert found.shares == pytest.approx([0.5, 0.5])


def test_bounds_that_exclude_each_other_are_named_and_no_other():
    # At most a half of the first by one bound, at most 5/11 of the second by the other; the
    # third is met by both.
    readings = exact([80.0, 0.0, 10.0], [0.0, 110.0, 20.0])
    bounds = np.array([40.0, 50.0, 100.0])
    found = cheapest_mixture(readings, readings, bounds, UPPER[:3], np.zeros(2))
    assert not found.possible
    assert sorted(found.controlled_by) == [0, 1]
    # The nearest is as far beyond the one as beyond the other: 2 x = 2.2 (1 - x).
    assert found.shares[0] == pytest.approx(2.2 / 4.2)
    assert found.held[0] / 40 == pytest.approx(found.held[1] / 50)


def test_a_water_with_an_open_reading_is_left_out():
    lower, upper = exact([300.0], [0.0]), exact([np.inf], [1.0])
    found = cheapest_mixture(lower, upper, np.array([40.0]), ("upper",), np.array([0.0, 1.0]))
    assert found.shares.tolist() == [0.0, 1.0]
    assert found.barred == ((0, 0),)
    none = cheapest_mixture(lower[:1], upper[:1], np.array([40.0]), ("upper",), np.zeros(1))
    assert not none.possible
    assert np.isnan(none.shares).all()


@given(
    st.lists(st.tuples(AMOUNTS, AMOUNTS, AMOUNTS), min_size=3, max_size=3),
    st.lists(st.floats(1.0, 300.0), min_size=3, max_size=3),
    st.lists(st.floats(0.0, 10.0), min_size=3, max_size=3),
    st.tuples(*[st.sampled_from(["upper", "lower"])] * 3),
)
def test_no_share_on_a_grid_is_cheaper(waters, bounds, costs, sides):
    readings, price, limits = exact(*waters), np.array(costs), np.array(bounds)
    found = cheapest_mixture(readings, readings, limits, sides, price)
    shares = grid(3)
    sign = np.where(np.array(sides) == "upper", 1.0, -1.0)
    excess = (shares @ readings - limits) * sign / limits
    feasible = (excess <= 0.0).all(axis=1)
    assert found.shares.sum() == pytest.approx(1.0)
    if found.possible:
        assert ((found.held - limits) * sign <= 1e-7 * limits).all()
        assert (shares[feasible] @ price >= found.cost - 1e-7).all()
    else:
        assert not feasible.any()
        # The bounds named exclude each other without the rest, and nothing comes nearer.
        named = excess[:, list(found.controlled_by)].max(axis=1)
        assert (named > 0.0).all()
        nearest = ((found.held - limits) * sign / limits).max()
        assert (excess.max(axis=1) >= nearest - 1e-7).all()


@given(st.tuples(AMOUNTS, AMOUNTS, AMOUNTS, AMOUNTS), st.floats(0.0, 100.0), st.floats(0.0, 5.0))
def test_a_wider_reading_never_allows_more(tap, width, cost):
    narrow = exact(list(tap), DEIONISED)
    wide = narrow + np.array([[width], [0.0]])
    costs = np.array([0.0, cost])
    one = cheapest_mixture(narrow, narrow, BOUNDS, UPPER, costs)
    other = cheapest_mixture(narrow, wide, BOUNDS, UPPER, costs)
    assert other.cost >= one.cost - 1e-9
    least = np.array([0.0, 1.0])
    before = cheapest_mixture(narrow, narrow, BOUNDS, UPPER, least).shares[0]
    assert cheapest_mixture(narrow, wide, BOUNDS, UPPER, least).shares[0] <= before + 1e-9


@given(st.tuples(AMOUNTS, AMOUNTS, AMOUNTS, AMOUNTS), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_more_deionised_water_never_raises_a_ratio_to_a_bound(tap, one, other):
    assume((np.array(tap) >= np.array(DEIONISED)).all())
    readings = exact(list(tap), DEIONISED)
    less, more = sorted((one, other))
    ratios = [
        stated_mixture(
            np.array([1.0 - part, part]), readings, readings, BOUNDS, UPPER, np.zeros(2)
        ).held
        / BOUNDS
        for part in (less, more)
    ]
    assert (ratios[1] <= ratios[0] + 1e-12).all()


@pytest.mark.parametrize(
    ("lower", "sides", "costs", "said"),
    [
        (np.zeros((0, 1)), ("upper",), np.zeros(0), "expected readings of shape"),
        (np.zeros((2, 2)), ("upper",), np.zeros(2), "expected readings of shape"),
        (np.full((2, 1), np.nan), ("upper",), np.zeros(2), "a value to mix is NaN"),
        (np.zeros((2, 1)), ("upper",), np.zeros(3), "expected 2 costs"),
    ],
)
def test_what_cannot_be_mixed_is_refused(lower, sides, costs, said):
    with pytest.raises(ValueError, match=said):
        cheapest_mixture(lower, lower, np.array([40.0]), sides, costs)
