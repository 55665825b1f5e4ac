"""Unlogged events on circuits whose truth an independent mass balance knows."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.fills import number_fills
from chemcheck.fills.unlogged_events import unlogged_events
from chemcheck.intake.read import read_results

# A circuit of 100 L holds grams of everything; events move litres and grams, nothing else.
VOLUME = 100.0
FRESH = {
    "Glycol (vol%)": 50.0, "Nitrite NO2 (mg/L)": 1800.0, "Nitrate NO3 (mg/L)": 800.0,
    "Boron (mg/L)": 400.0, "Sodium (mg/L)": 3400.0, "Potassium (mg/L)": 450.0,
    "Azoles (mg/L)": 700.0,
}  # fmt: skip
WORN = {"Iron (mg/L)": 5.0, "Copper (mg/L)": 4.0, "Glycolate (mg/L)": 120.0}
# Lost or gained in a quarter of a year, as shares or amounts.
LOSS = {"Nitrite NO2 (mg/L)": 0.06, "Azoles (mg/L)": 0.03}
GAIN = {"Iron (mg/L)": 0.5, "Copper (mg/L)": 0.4, "Glycolate (mg/L)": 12.0}


class Circuit:
    def __init__(self):
        self.grams = {k: c * VOLUME for k, c in {**FRESH, **WORN}.items()}

    def age(self):
        for name, share in LOSS.items():
            self.grams[name] *= 1 - share
        for name, amount in GAIN.items():
            self.grams[name] += amount * VOLUME

    def replace(self, litres, brought):
        for name in self.grams:
            self.grams[name] *= 1 - litres / VOLUME
            self.grams[name] += brought.get(name, 0.0) * litres

    def befall(self, event):
        if event == "water top-up":
            self.replace(25.0, {})
        elif event == "boil-off":
            # Water left: the same grams in less, topped up by nothing.
            self.grams = {k: g / 0.85 for k, g in self.grams.items()}
        elif event == "change":
            self.replace(97.0, FRESH)
        elif event == "partial change":
            self.replace(60.0, FRESH)
        elif event == "premix top-up":
            self.replace(22.0, FRESH)
        elif event == "dose":
            self.grams["Nitrite NO2 (mg/L)"] += 900.0 * VOLUME
            self.grams["Nitrate NO3 (mg/L)"] += 300.0 * VOLUME

    def read(self, random):
        return {
            k: f"{g / VOLUME * np.exp(random.normal(0, 0.02)):.5g}" for k, g in self.grams.items()
        }


def history(folder, stories, n=6, seed=1):
    """Write units of n samples; a story is the event before the fourth."""
    random = np.random.default_rng(seed)
    rows = [
        {
            "Unit ID": "", "Date Sampled": "2030-12-31", "Sample Type": "fresh fill",
            **{k: f"{c:g}" for k, c in FRESH.items()}, **dict.fromkeys(WORN, "<0.5"),
        }
    ]  # fmt: skip
    for unit, event in enumerate(stories):
        circuit = Circuit()
        for k in range(n):
            circuit.age()
            if k == 3:
                circuit.befall(event)
            day = pd.Timestamp("2031-01-01") + pd.DateOffset(months=3 * k)
            rows.append(
                {
                    "Unit ID": f"U{unit:02d}",
                    "Date Sampled": day.date(),
                    "Sample Type": "routine",
                    **circuit.read(random),
                }
            )
    frame = pd.DataFrame(rows)
    frame["Technology"] = "heavy duty with supplemental additive"
    frame["Material"] = "coolant"
    frame.to_csv(folder / "fleet.csv", index_label="Sample No")
    return read_results([str(folder / "fleet.csv")])


EVENTS = ("water top-up", "boil-off", "change", "partial change", "premix top-up", "dose")


@pytest.fixture(scope="module")
def found(tmp_path_factory):
    stories = [*EVENTS * 3, *["nothing"] * 22]
    readings = history(tmp_path_factory.mktemp("fleet"), stories)
    suggested = unlogged_events(readings, number_fills(readings.samples))
    return readings, stories, suggested


@pytest.mark.parametrize("event", EVENTS)
def test_an_event_is_found_where_it_happened_and_named(found, event):
    readings, stories, suggested = found
    taken = readings.samples["taken_on"]
    for unit in [f"U{k:02d}" for k, story in enumerate(stories) if story == event]:
        mine = suggested[suggested["unit_id"] == unit]
        assert mine["event"].tolist() == [event]
        # Between the third and the fourth sample: 2031-07 and 2031-10.
        assert taken.iloc[mine["before"].iloc[0]] == pd.Timestamp("2031-07-01")
        assert taken.iloc[mine["after"].iloc[0]] == pd.Timestamp("2031-10-01")
        assert mine["probability"].iloc[0] >= 0.5
        assert " x " in mine["evidence"].iloc[0]


@pytest.mark.parametrize(
    ("event", "share"),
    [("water top-up", 0.25), ("boil-off", 0.15), ("partial change", 0.6), ("premix top-up", 0.22)],
)
def test_the_share_exchanged_is_that_of_the_mass_balance(found, event, share):
    suggested = found[2]
    shares = suggested.loc[suggested["event"] == event, "share"].to_numpy()
    assert shares == pytest.approx(np.full(3, share), abs=0.05)


def test_quiet_units_raise_no_alarm(found):
    _, stories, suggested = found
    quiet = {f"U{k:02d}" for k, story in enumerate(stories) if story == "nothing"}
    assert not set(suggested["unit_id"]) & quiet


def test_what_was_logged_is_not_suggested(found):
    readings, stories, suggested = found
    unit = f"U{stories.index('water top-up'):02d}"
    log = pd.DataFrame(
        {
            "unit_id": [unit], "date": pd.to_datetime(["2031-08-15"]), "hours": [np.nan],
            "distance": [np.nan], "event": ["top-up"],
        }
    )  # fmt: skip
    again = unlogged_events(readings, number_fills(readings.samples, log), log)
    assert set(suggested["unit_id"]) - set(again["unit_id"]) == {unit}


def test_one_wild_reading_is_no_event(tmp_path):
    readings = history(tmp_path, ["nothing"] * 12, seed=3)
    readings.lower[4, readings.position("boron")] *= 3.0
    readings.upper[4, readings.position("boron")] *= 3.0
    assert unlogged_events(readings, number_fills(readings.samples)).empty


def test_too_few_analytes_tell_nothing(tmp_path):
    path = tmp_path / "few.csv"
    path.write_text(
        "Sample No,Unit ID,Date Sampled,Technology,Material,Glycol (vol%),Boron (mg/L)\n"
        "1,A,2031-01-01,hybrid,coolant,50,400\n2,A,2031-04-01,hybrid,coolant,25,200\n"
    )
    readings = read_results([str(path)])
    assert unlogged_events(readings, number_fills(readings.samples)).empty
