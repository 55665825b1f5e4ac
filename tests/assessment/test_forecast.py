"""From a fleet's files to the date by which each unit reaches a bound."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.forecast import forecast
from chemcheck.assessment.forecast_settings import ForecastSettings
from chemcheck.errors import NotEnoughDataError
from chemcheck.intake.events import read_events
from chemcheck.intake.read import read_results

# Nitrite falls by 0.5 mg/L an hour from 1800, with a reading's error of a few mg/L; the
# bound of this technology in service is 800.
START, RATE, BOUND = 1800.0, -0.5, 800.0


@pytest.fixture
def fleet(tmp_path):
    """Return a function that writes a fleet's samples, and its log, and reads them."""

    def build(rows, log=None):
        frame = pd.DataFrame(rows)
        stated = frame.get("Technology", pd.Series(np.nan, index=frame.index, dtype="str"))
        frame["Technology"] = stated.fillna("heavy duty with supplemental additive")
        frame["Material"] = "coolant"
        path = tmp_path / "fleet.csv"
        frame.to_csv(path, index=False)
        events = None
        if log is not None:
            (tmp_path / "log.csv").write_text(log)
            events = read_events(tmp_path / "log.csv")
        return read_results([str(path)]), events

    return build


def samples(unit, hours, seed=0, start=START, begins="2031-01-01", per_day=10.0, fill_hours=0.0):
    noise = np.random.default_rng([seed, len(unit)]).normal(0, 3, len(hours))
    return [
        {
            "Sample No": f"{unit}-{k}",
            "Unit ID": unit,
            "Date Sampled": (
                pd.Timestamp(begins) + pd.Timedelta(days=(fill_hours + h) / per_day)
            ).date(),
            "Hours": fill_hours + h,
            "Nitrite NO2 (mg/L)": round(start + RATE * h + e, 1),
        }
        for k, (h, e) in enumerate(zip(hours, noise, strict=True))
    ]


def test_a_straight_loss_is_forecast_to_where_the_line_meets_the_bound(fleet):
    readings, _ = fleet([s for k in range(8) for s in samples(f"U{k}", [0, 300, 600, 900], seed=k)])
    result = forecast(readings)
    nitrite = result.analytes[result.analytes["side"] == "lower"]
    # 1800 - 0.5 h = 800 at 2000 h: arithmetic.
    assert nitrite["p50"].to_numpy() == pytest.approx(np.full(8, 2000.0), rel=0.03)
    assert (nitrite["p10"] <= nitrite["p50"]).all()
    assert (nitrite["p50"] <= nitrite["p90"]).all()
    assert result.units["status"].eq("ahead").all()
    # The last sample lies at day 90; at 10 h a day the median is 110 days later.
    expected = pd.Timestamp("2031-01-01") + pd.Timedelta(days=200)
    assert (abs(nitrite["p50_date"] - expected) < pd.Timedelta(days=8)).all()
    assert (result.units["change_by"] <= nitrite["p50_date"].to_numpy()).all()
    assert (result.units["next_sample_by"] < result.units["change_by"]).all()


def test_a_logged_change_starts_the_clock_again(fleet):
    before = samples("A", [0, 500, 1000], seed=1)
    after = samples("A", [100, 400], seed=2, fill_hours=1100.0)
    others = [s for k in range(5) for s in samples(f"B{k}", [0, 400, 800], seed=3 + k)]
    log = "unit_id,date,hours,event\nA,2031-04-21,1100,change\n"
    result = forecast(*fleet([*before, *after, *others], log))
    unit = result.units.set_index("unit_id").loc["A"]
    assert unit["fill"] == 2
    assert unit["origin_logged"]
    assert unit["last_axis"] == 400.0
    assert unit["p50"] == pytest.approx(2000.0, rel=0.06)


def test_a_unit_with_one_sample_borrows_the_rate_of_the_fleet(fleet):
    rows = [s for k in range(8) for s in samples(f"U{k}", [0, 300, 600, 900], seed=k)]
    alone = samples("Z", [0], seed=9, start=1500.0)
    result = forecast(*fleet([*rows, *alone]))
    unit = result.units.set_index("unit_id").loc["Z"]
    # 1500 - 0.5 h = 800 at 1400 h, with a wider band than the others.
    assert unit["p50"] == pytest.approx(1400.0, rel=0.1)
    widths = (result.units["p90"] - result.units["p10"]).to_numpy()
    assert widths[-1] > widths[:-1].max()


def test_a_unit_beyond_the_bound_is_changed_now(fleet):
    rows = [s for k in range(6) for s in samples(f"U{k}", [0, 300, 600, 900], seed=k)]
    late = samples("Z", [0, 800, 2200], seed=7)
    result = forecast(*fleet([*rows, *late]))
    unit = result.units.set_index("unit_id").loc["Z"]
    assert unit["status"] == "outside now"
    assert unit["change_by"] == unit["last_sample"]


def test_technologies_are_not_pooled(fleet):
    heavy = [s for k in range(5) for s in samples(f"U{k}", [0, 300, 600, 900], seed=k)]
    other = [
        {
            **s,
            "Technology": "nitrited organic acid",
            "Nitrite NO2 (mg/L)": 500.0 - s["Hours"] * 0.05,
        }
        for k in range(5)
        for s in samples(f"V{k}", [0, 300, 600, 900], seed=k)
    ]
    result = forecast(*fleet([*heavy, *other]))
    slope = result.analytes.groupby(result.analytes["limit_set"])["slope"].mean()
    assert slope["heavy_duty_additive_in_service"] == pytest.approx(-0.5, rel=0.02)
    assert slope["nitrited_organic_acid_in_service"] == pytest.approx(-0.05, rel=0.02)


def test_more_risk_never_brings_the_change_forward(fleet):
    readings, _ = fleet([s for k in range(8) for s in samples(f"U{k}", [0, 300, 600, 900], seed=k)])
    dates = [
        forecast(readings, settings=ForecastSettings.from_library(risk=risk)).units["change_by"]
        for risk in (0.05, 0.1, 0.3)
    ]
    assert (dates[0] <= dates[1]).all()
    assert (dates[1] <= dates[2]).all()


def test_what_cannot_stand_in_a_trend_is_said(fleet):
    rows = [s for k in range(5) for s in samples(f"U{k}", [0, 300, 600], seed=k)]
    nobody = {**samples("X", [0])[0], "Unit ID": ""}
    timeless = {**samples("Y", [0])[0], "Hours": ""}
    log = "unit_id,date,hours,event\nU0,2031-06-01,700,change\n"
    result = forecast(*fleet([*rows, nobody, timeless], log))
    said = dict(zip(result.remarks["reason"], result.remarks["what"], strict=True))
    assert said["no unit is named"] == "1 sample"
    assert said["no hours to place it by"] == "1 sample"
    assert said["no sample since its last logged change"] == "unit U0"
    assert "U0" not in set(result.units["unit_id"])


def test_readings_at_one_age_beside_non_detects_tell_no_rate(fleet):
    """Through '<10' long ago and 13 now any line goes that is steep enough."""
    rows = [s for k in range(4) for s in samples(f"U{k}", [0, 300, 600, 900], seed=k)]
    for row in rows:
        late = row["Hours"] == 900
        row["Glycolate (mg/L)"] = "13.4" if late and row["Unit ID"] < "U2" else "<10"
    result = forecast(*fleet(rows))
    said = result.remarks.set_index("what")["reason"]
    assert "at one age only" in said["glycolate, technology heavy_duty_additive"]
    analyte = [readings.analyte for readings in result.readings.columns]
    assert {analyte[k] for k in result.analytes["column"]} == {"nitrite"}


def test_one_sample_in_all_is_one_clear_line(fleet):
    with pytest.raises(NotEnoughDataError, match=r"forecast: no fill was sampled twice"):
        forecast(*fleet(samples("A", [0])))


def test_no_unit_is_one_clear_line(fleet):
    rows = [{**s, "Unit ID": ""} for s in samples("A", [0, 100])]
    with pytest.raises(NotEnoughDataError, match=r"no sample can be placed.*no unit is named"):
        forecast(*fleet(rows))


def test_an_unknown_axis_is_refused(fleet):
    with pytest.raises(ValueError, match="'weeks' is no axis known here"):
        forecast(*fleet(samples("A", [0, 100])), axis="weeks")


@pytest.mark.parametrize(
    ("chosen", "message"),
    [
        ({"risk": 1.0}, "risk: 1: expected a probability"),
        ({"lead_time": -1.0}, "lead_time: -1: expected days"),
        ({"horizon": 0.0}, "horizon: 0: expected a number above 0"),
    ],
)
def test_a_setting_that_cannot_be_meant_is_refused(chosen, message):
    with pytest.raises(ValueError, match=message):
        ForecastSettings.from_library(**chosen)
