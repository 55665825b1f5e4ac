"""A cycle under sampling against closed forms and against playing it out."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.planning import DamageLifetime, Lifetime, sampled_cycle

WEIBULL = Lifetime.stated("weibull", 3000.0, 2.0)
DELAY = Lifetime.stated("weibull", 800.0, 1.5)


def play(crossing, delay, every, chance, lead, change, n=400_000):
    """Draw crossings, delays and detections, and let each cycle end as it does."""
    rng = np.random.default_rng(99)
    crossed = crossing.quantile(rng.uniform(size=n))
    damaged = crossed + delay.quantile(rng.uniform(size=n))
    first = np.floor(crossed / every) + 1
    seen = (first + rng.geometric(chance, n) - 1) * every
    done = np.where(seen < change, seen + lead, np.inf)
    end = np.minimum(np.minimum(damaged, done), change)
    # Samples are drawn until one sees the crossing or the cycle ends.
    last = np.minimum(end, seen)
    samples = np.floor(last / every) - (last == change) * (change % every == 0)
    return {
        "length": end,
        "damaged": damaged == end,
        "corrected": (done == end) & (end < change),
        "planned": end == change,
        "samples": samples,
    }


@pytest.mark.parametrize(
    ("every", "chance", "lead", "change"),
    [
        (250.0, 0.8, 0.0, np.inf),
        (250.0, 0.6, 100.0, np.inf),
        (1500.0, 0.9, 50.0, 4000.0),
        (500.0, 0.3, 700.0, 3000.0),
        (20_000.0, 0.9, 0.0, np.inf),
        (5000.0, 0.9, 0.0, 2000.0),
    ],
)
@pytest.mark.parametrize(
    ("crossing", "delay"),
    [
        (WEIBULL, DELAY),
        (Lifetime.stated("lognormal", 2500.0, 0.6), Lifetime.stated("exponential", 400.0)),
    ],
    ids=["weibull", "lognormal"],
)
def test_as_played_out(crossing, delay, every, chance, lead, change):
    cycle = sampled_cycle(crossing, delay, every, chance, lead, change)
    for name, drawn in play(crossing, delay, every, chance, lead, change).items():
        error = drawn.std() / np.sqrt(drawn.size)
        assert getattr(cycle, name) == pytest.approx(drawn.mean(), abs=4.0 * error + 1e-6), name


def test_certain_detection_of_a_harmless_crossing():
    # Every crossing is put right at the next multiple: mean length e / (1 - exp(-e / m)).
    crossing, harmless = Lifetime.stated("exponential", 100.0), Lifetime.stated("exponential", 1e12)
    cycle = sampled_cycle(crossing, harmless, 30.0, 1.0)
    expected = 30.0 / (1.0 - np.exp(-0.3))
    assert cycle.length == pytest.approx(expected, rel=1e-6)
    assert cycle.samples == pytest.approx(expected / 30.0, rel=1e-6)
    assert cycle.corrected == pytest.approx(1.0)


def test_without_samples_it_is_change_by_age():
    both = DamageLifetime(WEIBULL, DELAY)
    cycle = sampled_cycle(WEIBULL, DELAY, 10_000.0, 0.5, change_age=2500.0)
    assert cycle.samples == 0.0
    assert cycle.damaged == pytest.approx(both.failure(2500.0), rel=1e-6)
    assert cycle.planned == pytest.approx(both.survival(2500.0), rel=1e-6)
    assert cycle.length == pytest.approx(both.restricted_mean(2500.0), rel=1e-6)
    assert cycle.corrected == 0.0


@given(
    st.floats(50.0, 5000.0),
    st.floats(0.2, 1.0),
    st.floats(0.0, 600.0),
    st.sampled_from([800.0, 2500.0, np.inf]),
)
@settings(max_examples=25, deadline=None)
def test_every_cycle_ends_once(every, chance, lead, change):
    cycle = sampled_cycle(WEIBULL, DELAY, every, chance, lead, change)
    assert cycle.damaged + cycle.corrected + cycle.planned == pytest.approx(1.0, abs=1e-7)
    assert 0.0 <= cycle.samples <= cycle.length / every + 1e-9
    slower = sampled_cycle(WEIBULL, DELAY, every, chance, lead + 50.0, change)
    assert slower.damaged >= cycle.damaged - 1e-9


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((0.0, 0.5), "sampling interval: 0: expected a finite number above 0"),
        ((1e-3, 0.5), "sampling interval: 0.001: expected at least"),
        ((250.0, 0.0), "detection chance: 0: expected above 0"),
        ((250.0, 0.5, -1.0), "lead time: -1: expected 0 or more"),
        ((250.0, 0.5, 0.0, 0.0), "change age: 0: expected a number above 0"),
        ((250.0, 0.5, 0.0, np.nan), "change age: nan: expected a number above 0"),
    ],
)
def test_refusals(arguments, message):
    with pytest.raises(ValueError, match=message):
        sampled_cycle(WEIBULL, DELAY, *arguments)
