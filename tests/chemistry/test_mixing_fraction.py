"""The share of another coolant, recovered from a vessel that was filled step by step."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry.mixing_fraction import mixing_fraction
from tests.remedies.mixing import Vessel

# Two invented coolants.
OWN = {"boron": 400.0, "potassium": 900.0, "carboxylates": 0.0, "molybdenum": 10.0}
OTHER = {"boron": 0.0, "potassium": 3200.0, "carboxylates": 11000.0, "molybdenum": 180.0}


def rows(*levels):
    return np.array([[one[key] for key in OWN] for one in levels])


def fit(found, spread=0.05):
    known = rows(found)
    return mixing_fraction(known, rows(OWN), rows(OTHER), np.maximum(spread * known, 1.0))


@pytest.mark.parametrize("litres", [0.0, 0.5, 2.0, 4.0, 10.0])
@pytest.mark.parametrize("water", [0.0, 1.0])
def test_a_vessel_filled_step_by_step(litres, water):
    vessel = Vessel.of(10.0, **OWN)
    vessel.drain(litres)
    vessel.add(litres, **OTHER)
    vessel.drain(water)
    vessel.add(water)
    found = fit({key: vessel.level(key) for key in OWN})
    assert found.fraction[0] == pytest.approx(litres / 10.0, abs=1e-6)
    assert found.left[0] == pytest.approx(1.0 - water / 10.0)
    assert found.lower[0] <= litres / 10.0 <= found.upper[0]
    assert not found.disagree.any()


def test_limits_cover_as_often_as_they_say():
    random = np.random.default_rng(7)
    n, share = 4000, 0.3
    mixed = (1 - share) * rows(OWN) + share * rows(OTHER)
    spread = np.broadcast_to(0.08 * mixed, (n, 4))
    found = mixed + spread * random.standard_normal((n, 4))
    own, other = (np.broadcast_to(rows(one), (n, 4)) for one in (OWN, OTHER))
    answer = mixing_fraction(found, own, other, spread)
    inside = (answer.lower <= share) & (share <= answer.upper)
    # 95 % and above: limits are only ever widened by scatter.
    assert 0.945 <= inside.mean() <= 0.995


def test_a_tracer_that_does_not_agree_is_named():
    mixed = {key: 0.7 * OWN[key] + 0.3 * OTHER[key] for key in OWN}
    answer = fit(mixed | {"molybdenum": 4 * mixed["molybdenum"]})
    assert answer.disagree[0].tolist() == [False, False, False, True]
    assert answer.upper[0] - answer.lower[0] > fit(mixed).upper[0] - fit(mixed).lower[0]


def test_one_tracer_cannot_tell_dilution_from_mixing():
    lonely = {key: np.nan for key in OWN} | {"boron": 300.0}
    answer = fit(lonely)
    assert np.isnan(answer.fraction[0])
    assert answer.tracers[0] == 1


def test_tracers_in_one_ratio_tell_nothing():
    double = {key: 2.0 * value for key, value in OWN.items()}
    known = rows(OWN)
    answer = mixing_fraction(known, rows(OWN), rows(double), 0.05 * known + 1.0)
    assert np.isnan(answer.fraction[0])


@given(st.floats(0.0, 1.0), st.floats(0.3, 1.0))
def test_no_fraction_leaves_zero_to_one(share, left):
    mixed = {key: left * ((1 - share) * OWN[key] + share * OTHER[key]) for key in OWN}
    answer = fit(mixed)
    assert 0.0 <= answer.lower[0] <= answer.fraction[0] <= answer.upper[0] <= 1.0
    assert answer.fraction[0] == pytest.approx(share, abs=1e-6)
