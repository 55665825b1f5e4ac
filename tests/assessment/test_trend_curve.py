"""The curve drawn through a unit's readings: where the value truly is, and how sure that is."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.forecast import forecast
from chemcheck.assessment.trend_curve import trend_curve
from chemcheck.intake.events import read_events
from chemcheck.intake.read import read_results

NITRITE, GLYCOL = "Nitrite NO2 (mg/L)", "Glycol (vol%)"
BOUND = 800.0


@pytest.fixture
def foresee(tmp_path):
    """Return a function that writes samples and a log, and forecasts them."""

    def build(rows, log=None):
        frame = pd.DataFrame(rows).assign(
            Material="coolant", Technology="heavy duty with supplemental additive"
        )
        frame.to_csv(tmp_path / "fleet.csv", index=False)
        events = None
        if log is not None:
            (tmp_path / "log.csv").write_text("unit_id,date,hours,event\n" + log)
            events = read_events(tmp_path / "log.csv")
        return forecast(read_results([str(tmp_path / "fleet.csv")]), events)

    return build


def sample(unit, hours, **values):
    day = pd.Timestamp("2031-01-01") + pd.Timedelta(hours / 10, "D")
    return {"Unit ID": unit, "Date Sampled": day.date(), "Hours": round(hours, 1), **values}


def curve_of(answer, unit, analyte, until):
    """Return the curve against the lower bound of an analyte, and the row of the forecast."""
    columns = [column.analyte for column in answer.readings.columns]
    faced = answer.analytes[
        (answer.analytes["unit"] == unit)
        & (answer.analytes["column"] == columns.index(analyte))
        & (answer.analytes["side"] == "lower")
    ].iloc[0]
    found = trend_curve(answer.fits, unit, int(faced["column"]), "lower", faced["bound"], until)
    return found, faced


def meets(place, values, bound):
    """Return where values that fall come to a bound."""
    return np.interp(-bound, -values, place)


def test_the_curve_meets_the_bound_where_the_crossing_says(foresee):
    random = np.random.default_rng(11)
    answer = foresee(
        sample(f"U{k}", h, **{NITRITE: round(1800 - (0.45 + 0.01 * k) * h + e, 1)})
        for k in range(10)
        for h, e in zip((0, 300, 600, 900), random.normal(0, 4, 4), strict=True)
    )
    for unit in range(10):
        curve, faced = curve_of(answer, unit, "nitrite", 4000.0)
        truth = (1800 - BOUND) / (0.45 + 0.01 * unit)
        assert meets(curve.place, curve.middle, BOUND) == pytest.approx(truth, rel=0.04)
        # Where the value leaves its 80 % band is where it has passed with 10 and 90 %.
        assert meets(curve.place, curve.low, BOUND) == pytest.approx(faced["p10"], rel=0.02)
        assert meets(curve.place, curve.high, BOUND) == pytest.approx(faced["p90"], rel=0.02)
        assert (curve.low <= curve.middle).all()
        assert (curve.middle <= curve.high).all()


def test_the_curve_is_of_readings_as_they_come_with_water_topped_up(foresee):
    """Truth: nitrite (1800 - 0.3 h), all of it diluted by exp(-2e-4 h), as glycol shows."""
    random = np.random.default_rng(12)

    def truth(hours):
        return (1800 - 0.3 * hours) * np.exp(-2e-4 * hours)

    answer = foresee(
        sample(
            f"U{k}", h,
            **{
                NITRITE: round(truth(h) + random.normal(0, 4), 1),
                GLYCOL: round(50 * np.exp(-2e-4 * h) + random.normal(0, 0.1), 2),
            },
        )
        for k in range(12)
        for h in (0, 300, 600, 900, 1200)
    )  # fmt: skip
    curve, _ = curve_of(answer, 3, "nitrite", 2400.0)
    assert curve.middle == pytest.approx(truth(curve.place), rel=0.02)
    assert (curve.high[-1] - curve.low[-1]) > 1.5 * (curve.high[0] - curve.low[0])


def test_a_dose_is_a_step(foresee):
    random = np.random.default_rng(13)
    rows = [
        sample(f"U{k}", h, **{NITRITE: round(1500 - 0.4 * h + raised + random.normal(0, 3), 1)})
        for k in range(8)
        for h, raised in ((0, 0), (400, 0), (800, 300 if k == 0 else 0), (1200, 300 * (k == 0)))
    ]
    answer = foresee(rows, "U0,2031-03-01,,dose\n")
    curve, _ = curve_of(answer, 0, "nitrite", 1500.0)
    before, after = np.interp([799.9, 800.0], curve.place, curve.middle)
    assert after - before == pytest.approx(300.0, abs=25.0)


def test_a_band_holds_what_comes(foresee):
    """A fleet whose true values walk off their lines: 80 % of them lie in the bands later."""
    random = np.random.default_rng(14)
    units, step = 160, 250.0
    places = step * np.arange(9)
    walk = np.cumsum(random.normal(0, 25, (units, 9)), axis=1)
    walk[:, 0] = 0.0
    rates = random.normal(0.3, 0.03, units)
    truth = 1800 - rates[:, None] * places + walk
    answer = foresee(
        sample(f"U{k:03d}", h, **{NITRITE: round(v + random.normal(0, 5), 1)})
        for k in range(units)
        for h, v in zip(places[:6], truth[k], strict=False)
    )
    held = []
    for unit in range(units):
        curve, _ = curve_of(answer, unit, "nitrite", places[-1])
        low, high = (np.interp(places[[6, 8]], curve.place, end) for end in (curve.low, curve.high))
        held.append((truth[unit, [6, 8]] >= low) & (truth[unit, [6, 8]] <= high))
    # Three standard errors of a share of 160.
    assert np.mean(held, axis=0) == pytest.approx([0.8, 0.8], abs=0.1)


def test_a_loss_of_first_order_has_a_band_in_proportion(foresee):
    random = np.random.default_rng(15)
    answer = foresee(
        sample(f"U{k:02d}", h, **{NITRITE: round(float(v), 2)})
        for k in range(30)
        for h in np.arange(0.0, 3001.0, 500.0)
        for v in 4000 * np.exp(-1e-3 * h + random.normal(0, 0.03, 1))
    )
    curve, faced = curve_of(answer, 4, "nitrite", 6000.0)
    assert faced["curve"] == "exponential"
    assert curve.middle == pytest.approx(4000 * np.exp(-1e-3 * curve.place), rel=0.15)
    assert curve.high / curve.middle == pytest.approx(curve.middle / curve.low)
    assert (curve.low > 0).all()


def test_ph_follows_its_reserve_to_where_the_crossing_says(foresee):
    """pH of a buffer by Henderson and Hasselbalch, as in any text of analytical chemistry."""
    random = np.random.default_rng(16)
    rates = 2.4e-3 * np.exp(random.normal(0, 0.1, 18))

    def buffered(reserve):
        left = np.clip(reserve, 0.05, 10.4)
        return 8.8 + np.log10(left / (10.5 - left))

    rows = [
        sample(
            f"U{k:02d}", h,
            **{
                "pH": round(float(buffered(9.8 - rate * h) + random.normal(0, 0.03)), 2),
                "RA (mL)": round(float(np.maximum(9.8 - rate * h, 0.05)), 2),
            },
        )
        for k, rate in enumerate(rates)
        for h in np.linspace(0, 3900 if k % 3 else 2400, 6)
    ]  # fmt: skip
    answer = foresee(rows)
    curve, faced = curve_of(answer, 0, "ph", 6000.0)
    assert faced["curve"] == "through reserve alkalinity"
    assert meets(curve.place, curve.middle, faced["bound"]) == pytest.approx(faced["p50"], rel=0.03)
    # From the last sample at 2,400 h to just before the bound.
    ahead = (curve.place > 2400) & (curve.place < 0.95 * faced["p50"])
    truth = buffered(9.8 - rates[0] * curve.place[ahead])
    assert curve.middle[ahead] == pytest.approx(truth, abs=0.15)


def test_a_reading_without_a_trend_has_no_curve(foresee):
    answer = foresee(
        sample(f"U{k}", h, **{NITRITE: 1800 - 0.5 * h + k, "Lead (mg/L)": "<1"})
        for k in range(4)
        for h in (0, 300, 600)
    )
    lead = [column.analyte for column in answer.readings.columns].index("lead")
    assert trend_curve(answer.fits, 0, lead, "upper", 20.0, 900.0) is None
