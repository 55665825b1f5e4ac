"""How nearly a fleet trend must agree with another library's fit of the same model."""

import pytest

from chemcheck.forecasting import FleetTrend
from tests.reference.mixed_model import Fleet


def assert_agreement(fleet: Fleet, expected: dict[str, float]) -> None:
    """Compare likelihood, fixed line and variances."""
    trend = FleetTrend(curve="straight", errors="independent").fit(
        fleet.hours[:, None], fleet.reading, groups=fleet.fill
    )
    found = trend.restricted_log_likelihood_
    # Never below the other's optimum; above it by what the other's search left.
    assert -1e-6 <= found - expected["restricted_log_likelihood"] <= 1e-4
    assert trend.intercept_ == pytest.approx(expected["start"], rel=5e-3)
    assert trend.slope_ == pytest.approx(expected["rate"], rel=5e-3)
    spread = trend.random_covariance_
    assert spread[0, 0] == pytest.approx(expected["start_variance"], rel=0.03)
    assert spread[1, 1] == pytest.approx(expected["rate_variance"], rel=0.03)
    assert spread[0, 1] == pytest.approx(expected["covariance"], rel=0.03)
    assert trend.noise_variance_ == pytest.approx(expected["error_variance"], rel=0.03)
    errors = trend.fixed_effects_covariance_.diagonal() ** 0.5
    assert errors[0] == pytest.approx(expected["start_error"], rel=0.03)
    assert errors[1] == pytest.approx(expected["rate_error"], rel=0.03)
