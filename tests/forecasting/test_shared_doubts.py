"""Errors that readings share do not average out: bands hold them, centres do not move."""

from dataclasses import replace

import numpy as np
import pytest

from chemcheck.forecasting import FleetTrend
from chemcheck.forecasting.shared_doubts import draw_doubts
from tests.forecasting.laboratories import measured_fleet

HOW = {"curve": "straight", "errors": "independent"}


def fit(made, doubts=None, **how):
    readings = made.readings
    return FleetTrend(**(how or HOW)).fit(
        readings.axis[:, None], readings.lower, groups=readings.fill, doubts=doubts
    )


@pytest.mark.parametrize(("many", "readings"), [(1, 40), (3, 40), (2, 30_000)])
def test_what_is_drawn_has_the_covariance_that_it_should(many, readings):
    random = np.random.default_rng(4)
    doubts = random.normal(size=(many, readings))
    way, weights, shifts = draw_doubts(doubts, np.array([1.0]))
    assert way.max() == 0
    assert weights.sum() == pytest.approx(1.0)
    part = slice(None, None, max(readings // 40, 1))
    assert weights @ shifts == pytest.approx(0.0, abs=1e-9)
    spread = np.einsum("k,ki,kj->ij", weights, shifts[:, part], shifts[:, part])
    assert spread == pytest.approx(doubts[:, part].T @ doubts[:, part], abs=1e-9)


def test_of_very_many_the_strongest_are_taken():
    random = np.random.default_rng(4)
    doubts = random.normal(size=(40, 60)) * np.where(np.arange(40) < 5, 1.0, 1e-3)[:, None]
    for weights in (np.ones(1), np.full(5, 0.2)):
        _, drawn, shifts = draw_doubts(doubts, weights)
        spread = np.einsum("k,ki->i", drawn, shifts**2)
        assert spread == pytest.approx((doubts**2).sum(axis=0), rel=0.01)


def test_every_way_the_variances_may_be_keeps_its_weight():
    weights = np.array([0.5, 0.3, 0.2])
    way, drawn, _ = draw_doubts(np.ones((1, 5)), weights)
    assert np.bincount(way, weights=drawn) == pytest.approx(weights)


def test_an_error_of_all_readings_is_added_to_every_band_in_full():
    """Level is all that it moves: the variance of the true value grows by its square."""
    made = measured_fleet(1, units=10, rounds=6)
    n = made.readings.axis.size
    sure, unsure = fit(made), fit(made, 0.4 * np.ones((n, 1)))
    place, groups = np.array([[1.0], [3.0]]), [2, 7]
    mean, deviation = sure.predict(place, groups, return_std=True)
    also, wider = unsure.predict(place, groups, return_std=True)
    assert also == pytest.approx(mean, abs=1e-6)
    assert wider**2 - deviation**2 == pytest.approx(0.16, rel=0.02)


def test_an_error_of_some_readings_comes_in_as_far_as_they_count():
    """Against the same fit with those readings moved up and down: a forecast is linear in them."""
    made = measured_fleet(2, units=10, rounds=6)
    moved = 0.3 * (made.readings.level == 1)
    unsure = fit(made, moved[:, None])
    model = unsure._model
    place, groups = np.array([[3.0]]), [4]
    centre = fit(made)
    by_hand = []
    for sign in (-1.0, 1.0):
        with_shift = measured_fleet(2, units=10, rounds=6)
        readings = with_shift.replaced(
            lower=with_shift.readings.lower + sign * moved,
            upper=with_shift.readings.upper + sign * moved,
        )
        # The same variances, so that only the readings differ.
        again = replace(made, readings=readings)
        by_hand.append(fit(again).predict(place, groups))
    step = 0.5 * float((by_hand[1] - by_hand[0]).item())
    _, deviation = centre.predict(place, groups, return_std=True)
    _, wider = unsure.predict(place, groups, return_std=True)
    assert model.weights.sum() == pytest.approx(1.0)
    # The variances found with moved readings differ a little, and with them the weights.
    assert wider**2 - deviation**2 == pytest.approx(step**2, rel=0.3)
    assert step > 0.05


def test_crossings_spread_and_keep_their_median():
    made = measured_fleet(3, units=12, rounds=6, deviation=0.0, error=0.005)
    doubts = 0.05 * made.readings.lower[:, None]
    sure, unsure = (fit(made, each).first_crossing(6.0, "below") for each in (None, doubts))
    assert unsure["p50"].to_numpy() == pytest.approx(sure["p50"].to_numpy(), rel=0.03)
    assert ((unsure["p90"] - unsure["p10"]) > 1.5 * (sure["p90"] - sure["p10"])).all()


def test_on_a_logarithm_a_doubt_is_a_share():
    made = measured_fleet(4)
    how = {"curve": "exponential", "errors": "independent"}
    doubts = 0.05 * made.readings.lower[:, None]
    place, groups = np.array([[1.0]]), [3]
    _, deviation = fit(made, **how).predict(place, groups, return_std=True)
    mean, wider = fit(made, doubts, **how).predict(place, groups, return_std=True)
    assert (wider**2 - deviation**2) / mean**2 == pytest.approx(0.05**2, rel=0.1)


def test_no_doubt_is_no_change():
    made = measured_fleet(5)
    n = made.readings.axis.size
    one, other = fit(made), fit(made, np.zeros((n, 2)))
    assert one.first_crossing(6.0, "below").equals(other.first_crossing(6.0, "below"))


@pytest.mark.parametrize("wrong", [np.ones(40), np.ones((3, 1)), np.full((40, 1), np.inf)])
def test_a_table_of_another_shape_is_refused(wrong):
    with pytest.raises(ValueError, match=r"doubts has shape .*; expected finite numbers, 40 rows"):
        fit(measured_fleet(6), wrong)
