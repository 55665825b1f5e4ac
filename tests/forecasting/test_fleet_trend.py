"""The estimator: certified line, known truth, invariances, and what it refuses."""

import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_allclose
from sklearn.model_selection import GroupKFold, cross_val_score
from sklearn.utils.estimator_checks import parametrize_with_checks

from chemcheck.errors import NotEnoughDataError
from chemcheck.forecasting import FleetTrend
from tests.forecasting.fleets import simulate


@parametrize_with_checks([FleetTrend(), FleetTrend(errors="walk"), FleetTrend(errors="heavy")])
def test_scikit_learn_checks(estimator, check):
    check(estimator)


def test_certified_straight_line(open_data):
    # NIST StRD, data set Norris: certified values in the file's header.
    lines = (open_data / "strd" / "Norris.dat").read_text().splitlines()
    y, x = np.array([line.split() for line in lines[60:96]], dtype=float).T
    trend = FleetTrend(errors="independent").fit(x[:, None], y)
    assert trend.intercept_ == pytest.approx(-0.262323073774029, rel=1e-9)
    assert trend.slope_ == pytest.approx(1.00211681802045, rel=1e-11)
    assert_allclose(
        np.sqrt(np.diag(trend.fixed_effects_covariance_)),
        [0.232818234301152, 0.429796848199937e-03],
        rtol=1e-9,
    )
    assert trend.scale_ == pytest.approx(0.884796396144373, rel=1e-9)


@pytest.mark.parametrize("walk", [0.0, 0.05])
def test_eighty_percent_band_holds_eighty_percent(walk):
    fleet = simulate(1500, 6, seed=31, walk=walk)
    trend = FleetTrend().fit(fleet.x, fleet.y, groups=fleet.groups)
    truth = fleet.crossing(6.5)
    crossing = trend.first_crossing(6.5, "below")
    ahead = (crossing["status"] == "ahead").to_numpy()
    assert ahead.sum() > 1000
    inside = (crossing["p10"] <= truth) & (truth <= crossing["p90"])
    assert 0.76 <= inside[ahead].mean() <= 0.84
    assert (truth <= crossing["p50"])[ahead].mean() == pytest.approx(0.5, abs=0.04)


def test_leaving_a_walk_out_makes_the_band_far_too_narrow():
    fleet = simulate(800, 6, seed=32, walk=0.1)
    truth = fleet.crossing(6.0)
    held = {}
    for errors in ("independent", "walk"):
        trend = FleetTrend(errors=errors).fit(fleet.x, fleet.y, groups=fleet.groups)
        crossing = trend.first_crossing(6.0, "below")
        held[errors] = ((crossing["p10"] <= truth) & (truth <= crossing["p90"])).mean()
    assert held["independent"] < 0.72 < 0.76 < held["walk"] < 0.84


def test_order_of_rows_and_names_of_fills_do_not_matter():
    fleet = simulate(40, 5, seed=33, walk=0.05)
    names = np.array([f"unit {number:03}" for number in fleet.groups])
    mixed = np.random.default_rng(1).permutation(fleet.y.size)
    one = FleetTrend().fit(fleet.x, fleet.y, groups=fleet.groups)
    other = FleetTrend().fit(fleet.x[mixed], fleet.y[mixed], groups=names[mixed])
    assert list(other.groups_[:2]) == ["unit 000", "unit 001"]
    left, right = one.first_crossing(6.0, "below"), other.first_crossing(6.0, "below")
    assert_allclose(
        left[["p10", "p50", "p90"]].to_numpy(), right[["p10", "p50", "p90"]].to_numpy(), rtol=1e-3
    )


def test_units_of_axis_and_reading_do_not_matter():
    fleet = simulate(40, 5, seed=34, walk=0.05)
    # Not so for a curve through a logarithm: where zero is does matter to that.
    one = FleetTrend("straight").fit(fleet.x, fleet.y, groups=fleet.groups)
    other = FleetTrend("straight").fit(1000 * fleet.x, 5 - 2 * fleet.y, groups=fleet.groups)
    left, right = one.first_crossing(6.0, "below"), other.first_crossing(5 - 2 * 6.0, "above")
    assert_allclose(1000 * left["p50"], right["p50"], rtol=1e-3)
    assert_allclose(-2 * left["slope"], 1000 * right["slope"], rtol=1e-4)
    assert (left["status"] == right["status"]).all()
    # Restricted log-likelihood: n - p densities shrink by 2, the rate's unit by 1000.
    change = -(fleet.y.size - 2) * np.log(2.0) - np.log(1000.0)
    assert_allclose(
        other.restricted_log_likelihood_ - one.restricted_log_likelihood_, change, rtol=1e-4
    )


def test_one_sample_gets_the_fleets_rate_and_a_wider_band():
    fleet = simulate(200, 6, seed=35)
    x = np.vstack((fleet.x, [[0.5]]))
    y, groups = np.append(fleet.y, 8.6), np.append(fleet.groups, 999)
    trend = FleetTrend(errors="independent").fit(x, y, groups=groups)
    crossing = trend.first_crossing(6.0, "below")
    width = crossing["p90"] - crossing["p10"]
    assert crossing.loc[999, "slope"] == pytest.approx(trend.slope_, rel=0.1)
    assert width[999] > 1.5 * width.drop(999).median()


def test_statuses_and_horizon():
    hours = np.tile([[0.0], [100.0], [200.0], [300.0]], (3, 1))
    falls = 10 - 0.01 * hours[:4, 0] + [0.01, -0.01, -0.01, 0.01]
    rises = 10 + 0.01 * hours[:4, 0] + [0.01, -0.01, -0.01, 0.01]
    y = np.concatenate((falls, rises, falls - 6))
    groups = np.repeat(["falls", "rises", "low"], 4)
    trend = FleetTrend(errors="independent").fit(hours, y, groups=groups)
    crossing = trend.first_crossing(5.0, "below")
    assert crossing["status"].to_dict() == {
        "falls": "ahead",
        "low": "outside now",
        "rises": "not at this rate",
    }
    assert crossing.loc["falls", "p50"] == pytest.approx(500.0, rel=0.01)
    assert np.isinf(crossing.loc["rises", "p50"])
    assert crossing.loc["low", "p50"] == 0.0
    near = trend.first_crossing(5.0, "below", horizon=400.0)
    assert near.loc["falls", "status"] == "not at this rate"
    bounds = pd.Series({"falls": 5.0, "rises": 14.0})
    above = trend.first_crossing(bounds, "above")
    assert above["status"].to_dict() == {
        "falls": "outside now",
        "low": "no bound",
        "rises": "ahead",
    }
    assert above.loc["low", ["p10", "p50", "p90"]].isna().all()


def test_a_crossing_in_the_past_is_dated_where_it_happened():
    hours = np.arange(0.0, 900.0, 100.0)[:, None]
    y = 10 - 0.01 * hours[:, 0] + 0.02 * (-1.0) ** np.arange(9)
    trend = FleetTrend(errors="independent").fit(hours, y)
    crossing = trend.first_crossing(7.5, "below").iloc[0]
    assert crossing["status"] == "outside now"
    assert crossing["p10"] < crossing["p50"] < crossing["p90"]
    assert crossing["p50"] == pytest.approx(250.0, abs=5.0)


def test_other_quantiles_and_probability_agree():
    fleet = simulate(60, 5, seed=36, walk=0.05)
    trend = FleetTrend(errors="walk").fit(fleet.x, fleet.y, groups=fleet.groups)
    crossing = trend.first_crossing(6.0, "below", quantiles=[0.05, 0.2])
    assert list(crossing.columns[:2]) == ["p5", "p20"]
    late = crossing["p20"].to_numpy()
    ahead = (crossing["probability_outside_now"] < 0.05).to_numpy()
    assert ahead.sum() > 50
    probability = trend.crossing_probability(6.0, "below", np.where(ahead, late, 99.0))
    assert_allclose(probability[ahead], 0.2, atol=1e-3)


def test_predictions_hold_their_share_of_new_readings():
    fleet = simulate(500, 6, seed=37, walk=0.05)
    last = np.tile(np.arange(6) == 5, 500)
    trend = FleetTrend(errors="walk").fit(
        fleet.x[~last], fleet.y[~last], groups=fleet.groups[~last]
    )
    mean, std = trend.predict(fleet.x[last], groups=fleet.groups[last], return_std=True)
    score = (fleet.y[last] - mean) / std
    assert np.std(score) == pytest.approx(1.0, abs=0.1)
    mean, std = trend.predict(fleet.x[last], return_std=True)
    score = (fleet.y[last] - mean) / std
    assert np.std(score) == pytest.approx(1.0, abs=0.1)


def test_the_true_value_is_surer_than_a_reading_of_it():
    fleet = simulate(100, 6, seed=43, walk=0.05)
    trend = FleetTrend(curve="straight", errors="walk").fit(fleet.x, fleet.y, groups=fleet.groups)
    places, fills = np.full((100, 1), 2.0), np.arange(100)
    mean, reading = trend.predict(places, groups=fills, return_std=True)
    same, value = trend.predict(places, groups=fills, return_std=True, include_error=False)
    assert_allclose(mean, same)
    assert_allclose(reading**2 - value**2, trend.noise_variance_, rtol=0.15)
    truth = fleet.path[:, np.searchsorted(fleet.grid, 2.0)]
    assert np.std((truth - mean) / value) == pytest.approx(1.0, abs=0.2)


def test_prediction_between_samples_is_dense_conditioning():
    # Kriging written out: covariance of start, rate, walk and error, the fleet's line known.
    # A fleet so large that the most likely variances are taken for granted.
    fleet = simulate(610, 5, seed=38, walk=0.1)
    trend = FleetTrend(errors="walk").fit(fleet.x, fleet.y, groups=fleet.groups)
    mine = fleet.groups == 4
    seen, wanted = np.sort(fleet.x[mine, 0]), np.array([0.1, 0.8, 2.5])
    values = fleet.y[mine][np.argsort(fleet.x[mine, 0])]

    def covariance(left, right):
        z_left, z_right = (np.column_stack((np.ones(x.size), x)) for x in (left, right))
        return z_left @ trend.random_covariance_ @ z_right.T + trend.walk_variance_ * (
            np.minimum.outer(left, right)
        )

    line = trend.fixed_effects_
    v = covariance(seen, seen) + trend.noise_variance_ * np.eye(seen.size)
    expected = line[0] + line[1] * wanted
    expected = expected + covariance(wanted, seen) @ np.linalg.solve(
        v, values - line[0] - line[1] * seen
    )
    found = trend.predict(wanted[:, None], groups=[4, 4, 4])
    assert_allclose(found, expected, rtol=1e-5)


def test_a_covariate_shifts_every_fill_alike():
    fleet = simulate(60, 6, seed=39)
    other = np.random.default_rng(2).normal(size=fleet.y.size)
    trend = FleetTrend(errors="independent").fit(
        np.column_stack((fleet.x, other)), fleet.y + 0.7 * other, groups=fleet.groups
    )
    assert trend.fixed_effects_[2] == pytest.approx(0.7, abs=0.03)
    assert trend.slope_ == pytest.approx(-0.8, abs=0.08)


def test_an_empty_interval_changes_nothing():
    fleet = simulate(20, 5, seed=40)
    plain = FleetTrend(errors="independent").fit(fleet.x, fleet.y, groups=fleet.groups)
    more = FleetTrend(errors="independent").fit(
        np.vstack((fleet.x, [[1.0]])),
        np.append(fleet.y, 0.0),
        groups=np.append(fleet.groups, 3),
        y_upper=np.append(fleet.y, np.inf),
    )
    assert_allclose(plain.fixed_effects_, more.fixed_effects_, rtol=1e-6)
    assert_allclose(plain.random_covariance_, more.random_covariance_, rtol=1e-3, atol=1e-6)


def test_cross_validation_keeps_fills_together():
    fleet = simulate(60, 5, seed=41, walk=0.02)
    trend = FleetTrend(curve="straight", errors="walk")
    scores = cross_val_score(
        trend,
        fleet.x,
        fleet.y,
        groups=fleet.groups,
        cv=GroupKFold(3),
        params={"groups": fleet.groups},
    )
    # The fleet's line leaves the spread of the fills: 0.8 a unit of axis against a start of 0.5.
    line = np.var(0.8 * fleet.x) / np.var(fleet.y)
    assert scores.mean() == pytest.approx(line, abs=0.15)


def test_what_was_approximated_is_named():
    fleet = simulate(30, 5, seed=42)
    plain = FleetTrend(curve="straight").fit(fleet.x, fleet.y, groups=fleet.groups)
    assert (plain.approximation_, plain.variance_fills_) == ("none", 30)
    missed = fleet.y < 8.0
    censored = FleetTrend(curve="straight", errors="walk").fit(
        fleet.x,
        np.where(missed, 0.0, fleet.y),
        groups=fleet.groups,
        y_upper=np.where(missed, 8.0, fleet.y),
    )
    assert censored.approximation_ == "expectation propagation"


def test_new_fill_after_one_fill_has_no_known_spread():
    trend = FleetTrend().fit(np.arange(5.0)[:, None], [1.0, 2.1, 2.9, 4.2, 5.0], groups=["a"] * 5)
    mean, std = trend.predict([[6.0], [6.0]], groups=["a", "b"], return_std=True)
    assert np.isfinite(mean).all()
    assert np.isfinite(std[0])
    assert np.isinf(std[1])


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"X": [[1.0], [2.0]], "y": [1.0, 2.0]}, "a trend needs 3 readings"),
        ({"X": [[1.0]] * 3}, r"all 3 readings lie at one point of the axis \(1\)"),
        ({"y": [0.0] * 3, "y_upper": [0.5] * 3}, "all 3 readings are intervals that share a value"),
    ],
)
def test_too_little_to_tell_a_rate(change, message):
    call = {"X": [[0.0], [1.0], [2.0]], "y": [1.0, 2.0, 3.5]} | change
    with pytest.raises(NotEnoughDataError, match=message):
        FleetTrend().fit(**call)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"y_upper": [1.0, 1.5, 4.0]}, "y_upper: reading 1 runs from 2 to 1.5"),
        ({"y_upper": [1.0, np.nan, 4.0]}, "y_upper: reading 1 runs from 2 to nan"),
        ({"y_upper": [4.0]}, r"y_upper has shape \(1,\); expected \(3,\) as y"),
        ({"groups": ["a", "b"]}, "groups has 2 labels for 3 readings"),
        ({"groups": ["a", None, "b"]}, "groups: reading 1 has no fill"),
    ],
)
def test_wrong_arguments_of_fit(change, message):
    call = {"X": [[0.0], [1.0], [2.0]], "y": [1.0, 2.0, 3.5]} | change
    with pytest.raises(ValueError, match=message):
        FleetTrend().fit(**call)


def test_wrong_options():
    x, y = [[0.0], [1.0], [2.0]], [1.0, 2.0, 3.5]
    with pytest.raises(ValueError, match="'cubic' is no curve known here"):
        FleetTrend(curve="cubic").fit(x, y)
    with pytest.raises(ValueError, match="'wild' is no kind of errors known here"):
        FleetTrend(errors="wild").fit(x, y)
    trend = FleetTrend().fit(x, y)
    with pytest.raises(ValueError, match="'over' is no side known here"):
        trend.first_crossing(5.0, "over")
    with pytest.raises(ValueError, match="expected probabilities between 0 and 1"):
        trend.first_crossing(5.0, "above", quantiles=[10])
    with pytest.raises(ValueError, match=r"bound has shape \(2,\)"):
        trend.first_crossing([5.0, 6.0], "above")


def test_equally_likely_readings_have_the_spread_that_is_predicted():
    """Of one curve they are normal about the prediction; of two each has its share."""
    random = np.random.default_rng(31)
    hours = np.tile([0.0, 400.0, 800.0, 1200.0], 12)
    fill = np.repeat(np.arange(12), 4)
    reading = 1500 - 0.4 * hours + random.normal(0, 20, 12)[fill] + random.normal(0, 4, 48)
    places, groups = [[900.0], [1500.0]], [3, 3]
    line = FleetTrend("straight", "walk").fit(hours[:, None], reading, groups=fill)
    mean, deviation = line.predict(places, groups=groups, return_std=True)
    drawn = line.draw(places, groups, draws=2001)
    assert np.median(drawn, axis=1) == pytest.approx(mean)
    assert drawn.std(axis=1) == pytest.approx(deviation, rel=5e-3)
    # The tenth part of a normal distribution lies below 1.2816 deviations (any table of it).
    assert np.quantile(drawn, 0.1, axis=1) == pytest.approx(mean - 1.2816 * deviation, rel=1e-3)
    loss = FleetTrend("exponential", "walk").fit(hours[:, None], reading, groups=fill)
    drawn = loss.draw([[4000.0]], [3], draws=1001)
    assert (drawn > 0.0).all()
    low, middle, high = np.quantile(drawn, [0.1, 0.5, 0.9])
    assert high / middle == pytest.approx(middle / low, rel=0.01)
