"""Release of metal within a bound and beyond it, on fleets whose truth is known."""

import numpy as np
import pytest

from chemcheck.planning import compare_release

BOUND, SLOW = 800.0, 0.002


def fleet(seed, fast, n_units=30, detection_limit=0.5):
    """Units that lose an inhibitor steadily and metal faster once it is below the bound.

    Invented: an inhibitor falling by about 0.55 mg/L an hour from about 1,400 mg/L, metal at
    2 mg/L in 1,000 h above the bound, unit-to-unit spread 30 %, readings within 0.2 mg/L.
    """
    rng = np.random.default_rng(seed)
    grid = np.arange(2001.0)
    rows = []
    for unit in range(n_units):
        level = rng.normal(1400, 80) - rng.normal(0.55, 0.1) * grid
        own = rng.lognormal(-0.045, 0.3)
        metal = np.cumsum(np.where(level < BOUND, fast, SLOW) * own)
        age = np.sort(rng.uniform(0, 2000, 8))
        read = np.interp(age, grid, metal) + rng.normal(0, 0.2, 8)
        value = np.interp(age, grid, level) * rng.lognormal(0, 0.03, 8)
        found = read >= detection_limit
        rows.append(
            (
                np.full(8, unit),
                age,
                value,
                np.where(found, read, 0.0),
                np.where(found, read, detection_limit),
            )
        )
    return [np.concatenate(each) for each in zip(*rows, strict=True)]


def compared(seed, fast, **options):
    unit, age, value, least, most = fleet(seed, fast, **options)
    return compare_release(unit, unit, age, (value, value), (least, most), BOUND, "lower")


def test_intervals_hold_the_true_rates_as_often_as_they_say():
    found = [compared(seed, 0.006) for seed in range(60)]
    inside = [each.inside.low <= SLOW <= each.inside.high for each in found]
    outside = [each.outside.low <= 0.006 <= each.outside.high for each in found]
    difference = [each.difference_low <= 0.004 <= each.difference_high for each in found]
    # 90 % intervals over 60 fleets: below 0.80 has a chance under 1 in 200.
    assert min(np.mean(inside), np.mean(outside), np.mean(difference)) >= 0.80


def test_the_value_at_which_the_rate_changes_is_found():
    places = [compared(seed, 0.008).threshold for seed in range(40)]
    assert all(each.reason is None for each in places)
    assert np.mean([each.value for each in places]) == pytest.approx(BOUND, rel=0.03)
    assert np.mean([each.low <= BOUND <= each.high for each in places]) >= 0.75


def test_no_change_of_rate_is_not_called_one():
    called = [compared(seed, SLOW).threshold.p_value < 0.05 for seed in range(60)]
    assert np.mean(called) <= 0.12


def test_few_units_are_said_to_be_few():
    few = compared(1, 0.008, n_units=3)
    assert few.reason == "fewer than 5 units were followed within the bound"
    assert np.isnan([few.inside.low, few.outside.high, few.difference_low]).all()
    assert few.threshold.reason.startswith("the data cannot tell: no value has 5 units")


def test_non_detects_widen_the_rate_and_never_narrow_it():
    unit, age, value, least, most = fleet(3, 0.006, detection_limit=0.0)
    exact = compare_release(unit, unit, age, (value, value), (least, most), BOUND, "lower")
    wide = compare_release(
        unit, unit, age, (value, value), (np.maximum(least - 0.5, 0), most + 0.5), BOUND, "lower"
    )
    assert wide.inside.low <= exact.inside.low
    assert wide.inside.high >= exact.inside.high
    assert wide.difference_low <= exact.difference_low
    assert wide.difference_high >= exact.difference_high


def test_a_reading_that_may_lie_on_either_side_counts_on_neither():
    age = np.tile([0.0, 100.0, 200.0], 6)
    unit = np.repeat(np.arange(6), 3)
    metal = np.tile([0.0, 1.0, 2.0], 6)
    low, high = np.tile([90.0, 70.0, 70.0], 6), np.tile([90.0, 90.0, 90.0], 6)
    found = compare_release(unit, unit, age, (low, high), (metal, metal), 80.0, "lower")
    assert (found.left_out, found.inside.units, found.outside.units) == (12, 0, 0)


def test_a_side_of_another_name_is_refused():
    with pytest.raises(ValueError, match="the side is 'above', expected lower or upper"):
        compare_release([0], [0], [0.0], ([1.0], [1.0]), ([1.0], [1.0]), 1.0, "above")
