"""What sampling saves: sums of its parts, and what must hold."""

import numpy as np
import pytest

from chemcheck.planning import (
    Costs,
    Lifetime,
    best_interval_before_damage,
    cost_of_sampling,
    sampled_cycle,
)

CROSSING = Lifetime.stated("weibull", 3000.0, 1.5)
DELAY = Lifetime.stated("weibull", 1000.0, 2.0)
COSTS = Costs(planned=300.0, correction=400.0, failure=5000.0, sample=20.0)


def test_saving_is_the_difference_of_cost_rates_for_a_thousand_hours():
    every = [60.0, 250.0, 1000.0]
    answer = cost_of_sampling(CROSSING, DELAY, every, COSTS, 0.9, lead_time=50.0)
    by_age = best_interval_before_damage(CROSSING, DELAY, 300.0, 5000.0)
    assert answer.by_age.cost_rate == by_age.cost_rate
    for place, each in enumerate(every):
        cycle = sampled_cycle(CROSSING, DELAY, each, 0.9, 50.0)
        spent = 5000 * cycle.damaged + 400 * cycle.corrected + 300 * cycle.planned
        rate = (spent + 20 * cycle.samples) / cycle.length
        assert answer.cost_rate[place] == pytest.approx(rate)
        assert answer.saving_per_1000[place] == pytest.approx(1000 * (by_age.cost_rate - rate))
    assert answer.best == 1
    assert answer.reason is None


def test_sampling_so_rarely_that_it_never_happens_is_changing_by_age():
    by_age = best_interval_before_damage(CROSSING, DELAY, 300.0, 5000.0)
    answer = cost_of_sampling(CROSSING, DELAY, 1e5, COSTS, 0.9, change_age=by_age.interval)
    assert answer.saving_per_1000[0] == pytest.approx(0.0, abs=1e-3)


def test_a_better_test_never_saves_less():
    savings = [
        cost_of_sampling(CROSSING, DELAY, 250.0, COSTS, chance).saving_per_1000[0]
        for chance in (0.2, 0.5, 0.9, 1.0)
    ]
    assert (np.diff(savings) > 0.0).all()


def test_without_a_delay_no_cost_is_told():
    answer = cost_of_sampling(CROSSING, None, [250.0, 500.0], COSTS, 0.9)
    assert answer.reason == "cost needs the delay from crossing to damage"
    assert np.isnan(answer.saving_per_1000).all()
    assert answer.best is None
    assert answer.cycles == ()


@pytest.mark.parametrize("name", ["planned", "correction", "failure", "sample"])
@pytest.mark.parametrize("cost", [0.0, -1.0, np.nan])
def test_impossible_costs_are_one_line(name, cost):
    costs = {"planned": 1.0, "correction": 1.0, "failure": 1.0, "sample": 1.0, name: cost}
    with pytest.raises(ValueError, match=f"^{name} cost: {cost:g}: expected a finite number"):
        Costs(**costs)


def test_no_interval_is_refused():
    with pytest.raises(ValueError, match="no sampling interval"):
        cost_of_sampling(CROSSING, DELAY, [], COSTS, 0.9)
