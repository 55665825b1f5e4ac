"""The same comparison with statsmodels itself, run in the reference environment."""

import numpy as np
import pytest

from chemcheck.forecasting import FleetTrend
from tests.forecasting.mixed_model_agreement import assert_agreement
from tests.reference import mixed_model_laboratories
from tests.reference.mixed_model import (
    VERSION,
    answers,
    generate,
    mixed_model,
    read_answers,
    read_readings,
)

pytestmark = pytest.mark.reference

statsmodels = pytest.importorskip(
    "statsmodels",
    reason="statsmodels is not installed: run in an environment with the extra 'reference'",
)


def test_committed_answers_are_what_the_library_says() -> None:
    assert statsmodels.__version__ == VERSION
    found = answers(read_readings())
    assert found == pytest.approx(read_answers(), rel=1e-4)


def test_committed_offsets_of_laboratories_are_what_the_library_says() -> None:
    fleet, laboratory = mixed_model_laboratories.read_readings()
    made, who = mixed_model_laboratories.generate()
    assert np.allclose(made.reading, fleet.reading)
    assert np.array_equal(who, laboratory)
    found = mixed_model_laboratories.answers(fleet, laboratory)
    assert found == pytest.approx(mixed_model_laboratories.read_answers(), rel=1e-4)


def test_committed_readings_are_those_generated() -> None:
    made, committed = generate(), read_readings()
    assert np.array_equal(made.fill, committed.fill)
    assert np.allclose(made.reading, committed.reading)


def test_a_larger_fleet_agrees() -> None:
    fleet = generate(fills=400, seed=7)
    assert_agreement(fleet, answers(fleet))


def test_likelihood_is_the_same_function() -> None:
    """At our optimum the other library finds our value, to rounding."""
    from statsmodels.regression.mixed_linear_model import MixedLMParams

    fleet = generate(fills=400, seed=7)
    trend = FleetTrend(curve="straight", errors="independent").fit(
        fleet.hours[:, None], fleet.reading, groups=fleet.fill
    )
    at_ours = MixedLMParams.from_components(
        fe_params=trend.fixed_effects_,
        cov_re=trend.random_covariance_ / trend.noise_variance_,
        vcomp=np.empty(0),
    )
    model = mixed_model(fleet)
    model.fit(reml=True)
    value = model.loglike(at_ours, profile_fe=False)
    assert trend.restricted_log_likelihood_ == pytest.approx(value, abs=1e-6)
