"""The normal distribution against printed tables, interval probabilities against brute force."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry import normal


@pytest.mark.parametrize(
    ("z", "printed"),
    [
        # Abramowitz and Stegun, Handbook of Mathematical Functions, table 26.1 (memory).
        (0.0, 0.5),
        (1.0, 0.841344746068543),
        (2.0, 0.977249868051821),
        (3.0, 0.998650101968370),
    ],
)
def test_cdf_against_the_handbook(z: float, printed: float) -> None:
    assert normal.cdf(z) == pytest.approx(printed, abs=1e-13)
    assert normal.cdf(-z) == pytest.approx(1.0 - printed, abs=1e-13)


def test_quantile_against_the_handbook() -> None:
    """Same handbook, table 26.5: upper-tail 0.025 at 1.95996, 0.05 at 1.64485 (memory)."""
    assert normal.quantile([0.975, 0.95]) == pytest.approx([1.95996, 1.64485], abs=1e-5)
    assert np.isneginf(normal.quantile(0.0))
    assert np.isnan(normal.quantile(1.5))


def test_reading_on_one_bound() -> None:
    """A reading on a bound is outside with probability one half (symmetry of the normal)."""
    least, greatest = normal.interval_probability_outside(100.0, 100.0, 5.0, -np.inf, 100.0)
    assert least == greatest == pytest.approx(0.5)


def test_two_sided_reading_one_sigma_wide() -> None:
    """Middle reading, bounds at one sigma: outside 0.3173 (68.27 % rule)."""
    least, _ = normal.interval_probability_outside(8.0, 8.0, 1.0, 7.0, 9.0)
    assert least == pytest.approx(0.3173, abs=5e-5)


def test_no_uncertainty_is_a_step() -> None:
    least, greatest = normal.interval_probability_outside(
        [1.0, 1.0, 5.0, 4.0], [3.0, 5.0, 6.0, 4.0], 0.0, 0.0, 4.0
    )
    assert least.tolist() == [0.0, 0.0, 1.0, 0.0]
    assert greatest.tolist() == [0.0, 1.0, 1.0, 0.0]


def test_infinite_ends() -> None:
    """Over range (300 to infinity) against an upper bound, a lower bound and none."""
    least, greatest = normal.interval_probability_outside(
        300.0, np.inf, 10.0, [-np.inf, 310.0, -np.inf], [200.0, np.inf, np.inf]
    )
    assert least == pytest.approx([1.0, 0.0, 0.0], abs=1e-12)
    assert greatest == pytest.approx([1.0, 0.841344746, 0.0])


@pytest.mark.parametrize("place", range(5))
def test_missing_stays_missing(place: int) -> None:
    arguments = [1.0, 2.0, 0.1, 0.0, 3.0]
    arguments[place] = math.nan
    least, greatest = normal.interval_probability_outside(*arguments)
    assert np.isnan(least)
    assert np.isnan(greatest)


def test_negative_uncertainty_is_refused() -> None:
    with pytest.raises(ValueError, match="a standard uncertainty is negative"):
        normal.interval_probability_outside(1.0, 2.0, -0.1, 0.0, 3.0)


values = st.floats(-50.0, 50.0)


uncertainties = st.just(0.0) | st.floats(1e-9, 20.0)


@given(values, st.floats(0.0, 40.0), uncertainties, values, st.floats(0.0, 40.0))
def test_brute_force_lies_between(
    lower: float, width: float, u: float, floor: float, span: float
) -> None:
    """Every central value on a fine grid gives a probability between the two, ends reached."""
    upper, ceiling = lower + width, floor + span
    least, greatest = normal.interval_probability_outside(lower, upper, u, floor, ceiling)
    grid = np.linspace(lower, upper, 2001)
    if u > 0.0:
        erfc = np.vectorize(math.erfc)
        brute = 0.5 * erfc((grid - floor) / u / math.sqrt(2.0))
        brute += 0.5 * erfc((ceiling - grid) / u / math.sqrt(2.0))
    else:
        brute = np.where((grid < floor) | (grid > ceiling), 1.0, 0.0)
    assert least <= brute.min() + 1e-12
    assert greatest >= brute.max() - 1e-12
    assert greatest == pytest.approx(brute.max(), abs=1e-9)
    if u > 0.5:
        assert least == pytest.approx(brute.min(), abs=1e-3)
