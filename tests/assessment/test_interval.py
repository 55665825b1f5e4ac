"""From a fleet's samples to the interval each group may run between changes."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.interval import ALL, NO_COSTS, TOO_FEW, change_intervals
from chemcheck.assessment.interval_settings import IntervalSettings
from chemcheck.errors import NotEnoughDataError
from chemcheck.intake.events import read_events
from chemcheck.intake.read import read_results

# Nitrite is held against 800 mg/L: 1800 is inside, 700 outside.
INSIDE, OUTSIDE = 1800.0, 700.0
EVERY = 250.0


def unit(name, life, last=np.inf, **labels):
    """Return samples every 250 h until the first beyond the bound, or until the last looked at."""
    hours = np.arange(0.0, min(life + EVERY, last) + 1e-9, EVERY)
    return [
        {
            "Unit ID": name,
            "Date Sampled": (pd.Timestamp("2031-01-01") + pd.Timedelta(days=h / 10)).date(),
            "Hours": h,
            "Nitrite NO2 (mg/L)": OUTSIDE if h >= life else INSIDE,
            "Technology": "heavy duty with supplemental additive",
            "Material": "coolant",
            **labels,
        }
        for h in hours
    ]


def weibull(seed, n, scale, shape):
    return scale * np.random.default_rng(seed).weibull(shape, n)


@pytest.fixture
def fleet(tmp_path):
    def build(units, log=None):
        frame = pd.DataFrame([row for samples in units for row in samples])
        frame.insert(0, "Sample No", [f"S{k}" for k in range(len(frame))])
        frame.to_csv(tmp_path / "fleet.csv", index=False)
        if log is None:
            return read_results([str(tmp_path / "fleet.csv")]), None
        (tmp_path / "log.csv").write_text(log)
        return read_results([str(tmp_path / "fleet.csv")]), read_events(tmp_path / "log.csv")

    return build


def test_the_interval_by_risk_covers_the_quantile_of_the_lifetimes_drawn(fleet):
    lives = weibull(5, 120, 3000.0, 2.5)
    answer = change_intervals(
        fleet([unit(f"U{k}", life, last=4000) for k, life in enumerate(lives)])[0],
        settings=IntervalSettings.from_library(lead_time=0.0, risk=0.1),
    )
    (group,) = answer.groups
    # Weibull quantile: scale (-ln(1 - p))^(1 / shape), any handbook of reliability.
    truth = 3000.0 * (-np.log(0.9)) ** (1 / 2.5)
    assert group.by_risk.lower < truth < group.by_risk.upper
    assert group.by_risk.interval == pytest.approx(truth, rel=0.2)
    assert group.fills == group.units == 120
    assert group.failures == np.count_nonzero(lives <= 4000)
    assert group.censored == 120 - group.failures


def test_the_lead_time_is_days_at_the_units_own_rate(fleet):
    readings, _ = fleet([unit(f"U{k}", life) for k, life in enumerate(weibull(6, 40, 3000.0, 3.0))])
    by_lead = [
        change_intervals(readings, settings=IntervalSettings.from_library(lead_time=days))
        .groups[0]
        .by_risk.interval
        for days in (0.0, 20.0)
    ]
    # Ten hours a day: twenty days are 200 h.
    assert by_lead[0] - by_lead[1] == pytest.approx(200.0)


def test_groups_that_differ_are_tuned_apart_and_those_alike_are_not(fleet):
    hard = weibull(1, 25, 1500.0, 3.0)
    light = weibull(2, 25, 5000.0, 3.0)
    units = [
        unit(f"{duty}{k}", life, Duty=duty, **{"Water Source": ("north", "south")[k % 2]})
        for duty, lives in (("hard", hard), ("light", light))
        for k, life in enumerate(lives)
    ]
    readings, _ = fleet(units)
    apart = change_intervals(readings, grouping="duty")
    assert [group.group for group in apart.groups] == ["hard", "light"]
    assert apart.groups[0].by_risk.interval < apart.groups[1].by_risk.interval
    assert "differ by duty" in apart.sentence
    together = change_intervals(readings, grouping="water source")
    assert [group.group for group in together.groups] == [f"{ALL} of north, south"]
    # Both were tested, with technology, and p-values never fall when adjusted.
    assert {test.grouping for test in together.tests} >= {"duty", "water source"}
    for test in together.tests:
        assert not test.adjusted_p_value < test.p_value


def test_cost_needs_the_delay_and_then_gives_an_age(fleet):
    readings, _ = fleet([unit(f"U{k}", life) for k, life in enumerate(weibull(7, 60, 3000.0, 3.0))])
    costs = {"planned_cost": 300.0, "failure_cost": 9000.0}
    (bare,) = change_intervals(readings).groups
    assert (bare.by_cost, bare.no_benefit_reason) == (None, NO_COSTS)
    (no_delay,) = change_intervals(readings, settings=IntervalSettings.from_library(**costs)).groups
    assert no_delay.by_cost.interval is None
    assert no_delay.no_benefit_reason == "cost needs the delay from crossing to damage"
    settings = IntervalSettings.from_library(
        **costs, delay=1500.0, correction_cost=500.0, sample_cost=40.0
    )
    (told,) = change_intervals(readings, settings=settings).groups
    low, high = told.by_cost.flat_range
    assert low < told.by_cost.interval < high
    assert told.no_benefit_reason is None
    assert told.sampling.best is not None


def test_too_few_failures_give_a_bound_and_no_estimate(fleet):
    (group,) = change_intervals(fleet([unit(f"U{k}", 9e9, last=1000) for k in range(10)])[0]).groups
    assert group.choice is None
    assert group.failures == 0
    # The rule of three: no end in an exposure A bounds the rate by 3 / A at 95 % (memory).
    assert group.few.rate_upper == pytest.approx(3.0 / 10_000, rel=0.002)
    assert group.by_risk.interval is None
    assert group.by_risk.lower > 0
    assert group.no_benefit_reason == TOO_FEW


def test_a_fill_changed_while_inside_is_censored(fleet):
    early = unit("A", 9e9, last=750)
    after = [{**row, "Hours": row["Hours"] + 1000.0,
              "Date Sampled": row["Date Sampled"] + pd.Timedelta(days=100)}
             for row in unit("A", 9e9, last=500)]  # fmt: skip
    log = "unit_id,date,hours,event\nA,2031-04-05,950,change\n"
    readings, events = fleet([early, after], log)
    (group,) = change_intervals(readings, events).groups
    assert (group.units, group.fills, group.censored) == (1, 2, 2)


def test_one_sample_in_all_is_one_clear_line(fleet):
    with pytest.raises(NotEnoughDataError, match="no fill has a sample"):
        change_intervals(fleet([unit("A", 0.0)[:1]])[0])


def test_readings_without_a_bound_are_one_clear_line(fleet):
    samples = [{**row, "Potassium (mg/L)": 400.0} for row in unit("A", 1000.0)]
    bare = [{k: v for k, v in row.items() if "Nitrite" not in k} for row in samples]
    with pytest.raises(NotEnoughDataError, match="no fill has a sample"):
        change_intervals(fleet([bare])[0])


def test_a_grouping_that_no_column_has_is_refused(fleet):
    with pytest.raises(ValueError, match="--group depot: no column has this title"):
        change_intervals(fleet([unit("A", 1000.0)])[0], grouping="depot")


@pytest.mark.parametrize(
    ("chosen", "message"),
    [
        ({"planned_cost": 0.0}, "planned cost: 0: expected a finite number above 0"),
        ({"failure_cost": -5.0}, "failure cost: -5: expected a finite number above 0"),
        ({"delay": 0.0}, "delay: 0: expected a finite number above 0"),
        ({"risk": 1.0}, "risk: 1: expected a probability"),
        ({"lead_time": -1.0}, "lead time: -1: expected days"),
    ],
)
def test_a_choice_that_cannot_be_meant_is_refused(chosen, message):
    with pytest.raises(ValueError, match=message):
        IntervalSettings.from_library(**chosen)
