"""The share of tap water in a blend with deionised water.

The worked example (chloride 85, sulfate 120, hardness 310, dissolved solids 520 mg/L with
deionised water at 1/1/2/5, against 40/100/170/340) was computed by hand for the trade notes
of this project ("computed here"): shares 0.47, 0.83, 0.55, 0.65 by each bound, chloride
controls, and 46 % tap water gives chloride 40, sulfate 56, hardness 145, solids 244.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.remedies.deionised_share import blend, tap_share

TAP = np.array([[85.0, 120.0, 310.0, 520.0]])
PURE = np.array([[0.0, 0.0, 0.0, 0.0], [1.0, 1.0, 2.0, 5.0]])
BOUNDS = np.array([40.0, 100.0, 170.0, 340.0])
UPPER = ("upper",) * 4


def test_worked_example_chloride_controls():
    share = tap_share(TAP, TAP, PURE, BOUNDS, UPPER)
    assert share.largest[0] == pytest.approx(39 / 84)
    assert share.largest_by[0] == 0
    assert share.smallest[0] == 0
    assert share.smallest_by[0] == -1
    blended = blend(TAP, PURE[1], share.largest)
    assert np.round(blended[0]).tolist() == [40, 56, 145, 244]


def test_worked_example_each_bound_by_itself():
    # Printed without the deionised water's own salt: 40/85 = 0.47 for chloride, with it 0.464.
    alone = [
        tap_share(TAP[:, [k]], TAP[:, [k]], PURE[:, [k]], BOUNDS[[k]], ("upper",)).largest[0]
        for k in range(4)
    ]
    assert alone == pytest.approx([0.47, 0.83, 0.55, 0.65], abs=0.01)


def test_upper_end_of_an_interval_counts():
    strip = tap_share(
        np.array([[60.0]]), np.array([[120.0]]), np.zeros((2, 1)), np.array([40.0]), ("upper",)
    )
    assert strip.largest[0] == pytest.approx(1 / 3)


def test_above_a_range_leaves_no_tap_water():
    share = tap_share(
        np.array([[300.0]]), np.array([[np.inf]]), np.zeros((2, 1)), np.array([170.0]), ("upper",)
    )
    assert share.largest[0] == 0
    assert blend(np.array([[np.inf]]), np.array([2.0]), share.largest)[0, 0] == 2.0


def test_a_lower_bound_asks_for_tap_water_and_uses_the_lower_end():
    # Hardness 36 to 180 mg/L: too soft foams as well as too hard scales.
    hard = np.array([[300.0, 300.0], [300.0, 300.0]])
    low = np.array([[300.0, 300.0], [240.0, 240.0]])
    share = tap_share(low, hard, np.zeros((2, 2)), np.array([36.0, 180.0]), ("lower", "upper"))
    assert share.smallest == pytest.approx([36 / 300, 36 / 240])
    assert share.largest == pytest.approx([0.6, 0.6])
    assert share.smallest_by.tolist() == [0, 0]
    assert share.largest_by.tolist() == [1, 1]


def test_bounds_that_exclude_each_other_leave_no_share():
    # Enough hardness needs half tap water, little enough chloride allows a tenth.
    share = tap_share(
        np.array([[200.0, 400.0]]), np.array([[200.0, 400.0]]), np.zeros((2, 2)),
        np.array([100.0, 40.0]), ("lower", "upper"),
    )  # fmt: skip
    assert np.isnan(share.largest[0])
    assert np.isnan(share.smallest[0])
    assert (share.smallest_by[0], share.largest_by[0]) == (0, 1)


def test_deionised_water_that_breaks_a_bound_itself():
    pure = np.array([[0.0], [8.0]])
    both = tap_share(np.array([[9.0]]), np.array([[9.0]]), pure, np.array([5.0]), ("upper",))
    assert np.isnan(both.largest[0])
    same = tap_share(np.array([[8.0]]), np.array([[8.0]]), pure, np.array([5.0]), ("upper",))
    assert np.isnan(same.largest[0])
    better_tap = tap_share(np.array([[2.0]]), np.array([[2.0]]), pure, np.array([5.0]), ("upper",))
    assert better_tap.smallest[0] == pytest.approx(0.5)
    assert better_tap.largest[0] == 1


def test_a_bound_without_a_reading_is_named_and_does_not_limit():
    share = tap_share(
        np.array([[85.0, np.nan]]), np.array([[85.0, np.nan]]), np.zeros((2, 2)),
        np.array([40.0, 100.0]), ("upper", "upper"),
    )  # fmt: skip
    assert share.unread.tolist() == [[False, True]]
    assert share.largest[0] == pytest.approx(40 / 85)


def test_shapes_must_agree():
    with pytest.raises(ValueError, match=r"expected readings of shape \(1, 2\), got \(1, 1\)"):
        tap_share(
            np.ones((1, 1)), np.ones((1, 1)), np.zeros((2, 2)), np.ones(2), ("upper", "upper")
        )


amount = st.floats(0, 2000, allow_nan=False)


@given(
    tap=st.lists(st.tuples(amount, amount), min_size=3, max_size=3),
    pure=st.lists(st.tuples(st.floats(0, 60), st.floats(0, 60)), min_size=3, max_size=3),
    bounds=st.lists(st.floats(0.01, 500), min_size=3, max_size=3),
    sides=st.lists(st.sampled_from(("lower", "upper")), min_size=3, max_size=3),
    tried=st.floats(0, 1),
)
def test_a_share_meets_the_bounds_exactly_where_it_is_admissible(tap, pure, bounds, sides, tried):
    ends = np.sort(np.array(tap), axis=1).T
    deionised = np.sort(np.array(pure), axis=1).T
    share = tap_share(ends[[0]], ends[[1]], deionised, np.array(bounds), tuple(sides))
    worst = np.where(np.array(sides) == "upper", 1, 0)
    columns = np.arange(3)
    value = tried * ends[worst, columns] + (1 - tried) * deionised[worst, columns]
    beyond = np.where(worst == 1, value - bounds, np.array(bounds) - value)
    slack = 1e-6 * (1 + ends.max() + deionised.max())
    if np.isnan(share.largest[0]):
        assert (beyond > -slack).any()
    elif share.smallest[0] <= tried <= share.largest[0]:
        assert (beyond <= slack).all()
    else:
        assert (beyond > -slack).any()
