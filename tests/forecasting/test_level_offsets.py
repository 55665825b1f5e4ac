"""Offsets of laboratories, against known truth and against other ways to the same answer."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.errors import NotEnoughDataError
from chemcheck.forecasting import FleetTrend
from chemcheck.forecasting.level_offsets import level_offsets
from tests.forecasting.laboratories import measured_fleet, shared_prior

# Half widths of the central 50, 80 and 95 % of a normal distribution.
CENTRAL = {0.50: 0.6745, 0.80: 1.2816, 0.95: 1.9600}


def scores(fleets, *how, walk=0.0):
    """Return how many of its standard deviations each offset was missed by."""
    missed = []
    for seed in range(fleets):
        laboratories = 2 + seed % 2
        made = measured_fleet(seed, laboratories=laboratories, walk=walk)
        found = level_offsets(made.readings, shared_prior(laboratories, 0.05), *how)
        missed.extend((found.offset - made.offset) / np.sqrt(np.diag(found.covariance)))
    return np.array(missed)


def test_bands_hold_the_true_offset_as_often_as_they_say():
    missed = scores(200, "straight", "independent")
    assert missed.size == 300
    for share, width in CENTRAL.items():
        # Two offsets of a fleet share its reference: three standard deviations of 200 shares.
        assert np.mean(np.abs(missed) < width) == pytest.approx(
            share, abs=3 * np.sqrt(share * (1 - share) / 200)
        )
    assert abs(missed.mean()) < 0.25


def test_bands_hold_it_beside_a_walk_with_all_chosen_by_the_readings():
    missed = scores(28, walk=0.2)
    assert np.mean(np.abs(missed) < CENTRAL[0.80]) > 0.80 - 3 * np.sqrt(0.16 / 28)
    assert np.mean(np.abs(missed) < CENTRAL[0.50]) < 0.50 + 3 * np.sqrt(0.25 / 28)


def slope_errors(correct):
    """Return what the fleet's rate is off by where a laboratory that reads high takes over."""
    errors = []
    for seed in range(8):
        made = measured_fleet(seed, units=12, who="later")
        readings = made.readings
        # Brought to a difference of 8 % whatever was drawn.
        more = np.where(readings.level == 1, np.exp(0.08 - made.offset[0]), 1.0)
        readings = made.replaced(lower=readings.lower * more, upper=readings.upper * more)
        lower = readings.lower
        if correct:
            lower, _ = readings.corrected(level_offsets(readings, shared_prior(2, 0.05)).offset)
        x = readings.axis[:, None]
        found = FleetTrend("straight", "independent").fit(x, lower, groups=readings.fill)
        errors.append(found.slope_ / made.rate - 1.0)
    return np.array(errors)


def test_a_rate_is_biased_by_a_laboratory_that_takes_over_and_mended_by_its_offset():
    before, after = slope_errors(correct=False), slope_errors(correct=True)
    # 8 % of about 9 gained over some 2,000 h against a loss of 0.8 per 1,000 h, part of it hidden
    # where both laboratories read a unit in turn.
    assert before.mean() < -0.20
    assert abs(after.mean()) < 0.03
    assert np.abs(after).mean() < np.abs(before).mean() / 5


@settings(max_examples=12, deadline=None)
@given(factor=st.floats(0.6, 1.6), seed=st.integers(0, 20))
def test_a_factor_on_one_laboratory_stays_in_the_corrected_series_as_far_as_the_prior_holds(
    factor, seed
):
    """What is not believed of it is the share of the prior's variance that is left."""
    made = measured_fleet(seed, units=6, rounds=4)
    scale = np.where(made.readings.level == 1, factor, 1.0)
    moved = made.replaced(lower=made.readings.lower * scale, upper=made.readings.upper * scale)
    prior = shared_prior(2, 0.05)
    found = [
        level_offsets(one, prior, "exponential", "independent") for one in (made.readings, moved)
    ]
    corrected = [
        np.log(one.corrected(offsets.offset)[0])
        for one, offsets in zip((made.readings, moved), found, strict=True)
    ]
    kept = (found[0].covariance / prior).item()
    change = (corrected[1] - corrected[0])[made.readings.level == 1]
    assert change == pytest.approx(np.log(factor) * kept, abs=1e-6)
    assert corrected[1][made.readings.level == 0] == pytest.approx(
        corrected[0][made.readings.level == 0], abs=1e-12
    )


def test_the_order_of_rows_and_the_numbers_of_fills_do_not_matter():
    made = measured_fleet(5, laboratories=3)
    order = np.random.default_rng(1).permutation(made.readings.axis.size)
    given = made.replaced(fill=(made.readings.fill * 7) % 8).take(order)
    prior = shared_prior(3, 0.05)
    one, other = (level_offsets(each, prior) for each in (made.readings, given))
    assert other.offset == pytest.approx(one.offset, abs=2e-4)
    assert other.covariance == pytest.approx(one.covariance, rel=0.02)


@pytest.mark.parametrize("seed", range(3))
def test_non_detects_and_pads_move_with_their_laboratory_and_say_less(seed):
    made = measured_fleet(seed, units=10, rounds=6, error=0.01)
    readings, prior = made.readings, shared_prior(2, 0.05)
    exact = level_offsets(readings, prior, "straight")
    # Below 8.5 the second laboratory only says so.
    unseen = (readings.lower < 8.5) & (readings.level == 1)
    assert unseen.mean() > 0.05
    censored = made.replaced(
        lower=np.where(unseen, 0.0, readings.lower), upper=np.where(unseen, 8.5, readings.upper)
    )
    some = level_offsets(censored, prior, "straight")
    # And with pads of one unit for all that it reads.
    second = readings.level == 1
    padded = made.replaced(
        lower=np.where(second, np.floor(readings.lower), readings.lower),
        upper=np.where(second, np.floor(readings.lower) + 1.0, readings.upper),
    )
    coarse = level_offsets(padded, prior, "straight")
    sure = [float(np.sqrt(one.covariance[0, 0])) for one in (exact, some, coarse)]
    assert sure[0] < sure[1]
    assert sure[0] < sure[2] < np.sqrt(prior[0, 0])
    for one, deviation in zip((exact, some, coarse), sure, strict=True):
        assert abs(one.offset[0] - made.offset[0]) < 3 * deviation


def test_amounts_come_off_as_amounts_by_their_gain():
    """A pH-like reading, half of it diluted: the same amount counts twice as much there."""
    made = measured_fleet(3, error=0.0, deviation=0.0)
    clean = made.readings.lower
    random = np.random.default_rng(9)
    gain = np.where(made.readings.fill % 2, 2.0, 1.0)
    read = clean + 0.3 * gain * (made.readings.level == 1)
    read = read + random.normal(0.0, 0.02, read.size)
    readings = made.replaced(lower=read, upper=read, gain=gain)
    found = level_offsets(readings, np.array([[1.0]]), "straight")
    assert found.offset[0] == pytest.approx(0.3, abs=3 * np.sqrt(found.covariance[0, 0]))
    assert np.sqrt(found.covariance[0, 0]) < 0.02


def test_a_level_in_fills_of_its_own_is_told_little():
    """Fills differ by 0.6 of 10: four fills on either side tell a factor to about 4 %."""
    made = measured_fleet(2, error=0.005)
    level = (made.readings.fill >= 4).astype(int)
    apart = made.replaced(level=level)
    found = level_offsets(apart, shared_prior(2, 0.05), "straight")
    within = level_offsets(made.readings, shared_prior(2, 0.05), "straight")
    assert np.sqrt(found.covariance[0, 0]) > 5 * np.sqrt(within.covariance[0, 0])
    assert 0.02 < np.sqrt(found.covariance[0, 0]) < 0.05 * np.sqrt(2)


def test_readings_at_one_age_tell_no_offset():
    made = measured_fleet(1)
    still = made.replaced(axis=np.zeros_like(made.readings.axis))
    with pytest.raises(NotEnoughDataError, match="all 40 readings lie at one point of the axis"):
        level_offsets(still, shared_prior(2, 0.05))


def test_as_many_levels_as_readings_are_refused():
    made = measured_fleet(1, units=2, rounds=3)
    each = made.replaced(level=np.arange(6) % 3)
    with pytest.raises(NotEnoughDataError, match=r"3 methods and laboratories .* need 7 readings"):
        level_offsets(each, shared_prior(3, 0.05))
