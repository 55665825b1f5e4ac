"""The same model on the same readings by statsmodels' MixedLM; its answers are in published/."""

import numpy as np
import pytest

from chemcheck.forecasting.level_offsets import level_offsets
from chemcheck.forecasting.level_readings import LevelReadings
from tests.forecasting.mixed_model_agreement import assert_agreement
from tests.reference import mixed_model_laboratories
from tests.reference.mixed_model import read_answers, read_readings


def test_agrees_with_the_mixed_model_of_statsmodels():
    assert_agreement(read_readings(), read_answers())


def test_offsets_without_a_prior_are_the_fixed_effects_of_its_laboratories():
    fleet, laboratory = mixed_model_laboratories.read_readings()
    expected = mixed_model_laboratories.read_answers()
    readings = LevelReadings(
        fleet.hours,
        fleet.fill,
        fleet.reading,
        fleet.reading,
        laboratory,
        np.ones_like(fleet.hours),
    )
    found = level_offsets(readings, None, "straight", "independent")
    assert found.offset == pytest.approx(
        [expected["second_offset"], expected["third_offset"]], abs=2e-4
    )
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx(
        [expected["second_error"], expected["third_error"]], rel=0.03
    )
    assert found.covariance[0, 1] == pytest.approx(expected["covariance"], rel=0.03)
    # A wide prior is hardly another; one as narrow as nothing leaves nothing.
    wide = level_offsets(readings, 1e4 * np.eye(2), "straight", "independent")
    assert wide.offset == pytest.approx(found.offset, abs=1e-5)
    narrow = level_offsets(readings, 1e-10 * np.eye(2), "straight", "independent")
    assert narrow.offset == pytest.approx([0.0, 0.0], abs=1e-6)
