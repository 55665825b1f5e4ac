"""Hold-up measured by dilution: its value, its uncertainty, and when it cannot be told."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.remedies.estimate import exact
from chemcheck.remedies.held_volume import (
    held_volume,
    held_volume_uncertainty,
    measured_held_volume,
)


@given(st.floats(1.0, 50.0), st.floats(0.1, 50.0), st.floats(10.0, 60.0))
def test_the_volume_of_a_vessel_is_found_again(drained, held, before):
    after = before * held / (held + drained)
    assert held_volume(drained, before, after) == pytest.approx(held, rel=1e-6)


def test_uncertainty_is_that_of_many_readings():
    draw = np.random.default_rng(7)
    before, after = 50.0 + draw.normal(0, 0.3, 200_000), 16.7 + draw.normal(0, 0.3, 200_000)
    scatter = np.std(held_volume(8.0, before, after))
    assert held_volume_uncertainty(8.0, 50.0, 16.7, 0.3) == pytest.approx(scatter, rel=0.02)


def test_the_interval_holds_the_truth_in_about_95_of_100():
    draw = np.random.default_rng(8)
    before, after = 50.0 + draw.normal(0, 1.0, 20_000), 50 / 3 + draw.normal(0, 1.0, 20_000)
    found = measured_held_volume(exact(8.0), exact(before), exact(after), 1.0)
    inside = (found.lower <= 4.0) & (found.upper >= 4.0)
    assert inside.mean() == pytest.approx(0.95, abs=0.015)


def test_a_scale_that_reads_too_high_does_no_harm():
    assert held_volume(8.0, 50.0, 16.7) == pytest.approx(held_volume(8.0, 55.0, 16.7 * 1.1))


def test_nothing_diluted_tells_nothing():
    found = measured_held_volume(exact(8.0), exact([50.0, 50.0]), exact([50.0, 55.0]), 1.0)
    assert np.isnan(found.value).all()
    assert np.isnan(found.upper).all()
