"""Suggestions are shown, and used only when the user accepts them."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.forecast import forecast
from chemcheck.assessment.suggested_events import accept_events, suggest_events
from chemcheck.fills import number_fills
from chemcheck.intake.events import read_events
from chemcheck.intake.read import read_results
from chemcheck.reports.forecast_json import forecast_document
from chemcheck.reports.forecast_text import forecast_text

SAMPLES = Path(__file__).parents[2] / "sample_results"
FRESH = {"Nitrite NO2 (mg/L)": 1800.0, "Boron (mg/L)": 400.0, "Sodium (mg/L)": 3400.0,
         "Potassium (mg/L)": 450.0, "Azoles (mg/L)": 700.0}  # fmt: skip


@pytest.fixture(scope="module")
def fleet(tmp_path_factory):
    """Return units that lose nitrite at 0.4 mg/L an hour; the first was changed at 1,100 h."""
    random = np.random.default_rng(2)
    rows = []
    for unit in range(12):
        for k in range(5):
            hours = 300.0 * (k + 1)
            age = hours - 1100.0 if unit == 0 and hours > 1100 else hours
            values = dict(FRESH)
            values["Nitrite NO2 (mg/L)"] -= 0.4 * age
            values["Azoles (mg/L)"] -= 0.05 * age
            values |= {"Iron (mg/L)": 0.2 + 0.01 * age, "Copper (mg/L)": 0.1 + 0.006 * age}
            rows.append(
                {
                    "Unit ID": f"U{unit:02d}",
                    "Date Sampled": (pd.Timestamp("2031-01-01") + pd.Timedelta(hours / 10, "D")),
                    "Hours": hours,
                    **{n: round(c * np.exp(random.normal(0, 0.015)), 3) for n, c in values.items()},
                }
            )
    frame = pd.DataFrame(rows)
    frame["Date Sampled"] = frame["Date Sampled"].dt.date
    frame["Technology"] = "heavy duty with supplemental additive"
    frame["Material"] = "coolant"
    path = tmp_path_factory.mktemp("fleet") / "fleet.csv"
    frame.to_csv(path, index_label="Sample No")
    return read_results([str(path)])


@pytest.fixture(scope="module")
def shown(fleet):
    return forecast(fleet)


def test_a_change_is_suggested_and_not_used(shown):
    assert shown.suggestions["unit_id"].tolist() == ["U00"]
    assert shown.suggestions["event"].tolist() == ["change"]
    assert set(shown.units["fill"]) == {1}
    (said,) = forecast_document(shown)["suggestions"]
    assert said["accepted"] is False
    assert said["from"] == "2031-04-01"
    text = " ".join(forecast_text(shown).split())
    assert "U00, sample 3 of 2031-05-01: looks like a change" in text
    assert "--accept-suggestions" in text


def test_accepted_it_begins_a_new_fill_between_its_two_samples(fleet):
    answer = forecast(fleet, accept_suggestions=True)
    fills = answer.units.set_index("unit_id")["fill"]
    assert fills["U00"] == 2
    assert set(fills.drop("U00")) == {1}
    # Half-way between 900 and 1200 h; the last sample is at 1500 h.
    assert answer.units.set_index("unit_id").loc["U00", "last_axis"] == pytest.approx(450.0)
    assert forecast_document(answer)["suggestions"][0]["accepted"] is True


def test_nothing_suggested_leaves_the_log_as_it_is(fleet):
    nothing = suggest_events(fleet, None).iloc[:0]
    assert accept_events(fleet, None, nothing) is None


def test_the_sample_fleet_has_no_more_than_was_logged():
    # A circuit simulated by itself wrote the readings, and its log what was done to it.
    readings = read_results([str(SAMPLES / "fleet_history.csv")])
    log = read_events(SAMPLES / "events.csv")
    assert suggest_events(readings, log).empty
    found = suggest_events(readings, None)
    changes = log.table[log.table["event"] == "change"]
    dated = number_fills(readings.samples, changes)
    sampled_after = {
        unit
        for unit, last in zip(dated.unit_ids, dated.last_number, strict=True)
        if last == 2 and (dated.number[dated.unit == dated.unit_ids.get_loc(unit)] == 2).any()
    }
    assert set(found.loc[found["event"] == "change", "unit_id"]) == sampled_after
    for row in found[found["event"] == "water top-up"].to_dict("records"):
        between = log.table[
            (log.table["unit_id"] == row["unit_id"])
            & log.table["date"].between(row["from"], row["to"])
        ]
        assert between["fluid"].str.contains("water").any()
