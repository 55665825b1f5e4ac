"""Whether a bound is right for a fleet, on files whose truth is known."""

import json

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.bound_evidence import bound_evidence
from chemcheck.assessment.forecast import forecast
from chemcheck.intake.read import read_results
from chemcheck.reports.bound_evidence_words import evidence_table, evidence_text
from chemcheck.reports.forecast_json import forecast_document
from chemcheck.reports.json_text import json_document

# Nitrite falls by 0.5 mg/L an hour from 1800; its bound in service is 800, passed at 2000 h.
# Iron: 2 mg/L in 1000 h before, FAST after. Invented.
HOURS, SLOW, FAST = np.arange(0.0, 4001.0, 500.0), 2.0, 6.0


def write(path, fast, units=12, diluted=1.0, volume=None):
    """Write a fleet; ``diluted`` is what one water top-up at 1000 h leaves of everything."""
    rows = []
    for unit in range(units):
        rng = np.random.default_rng([unit, 5])
        left = np.where(HOURS >= 1000.0, diluted, 1.0)
        nitrite = (1800.0 - 0.5 * rng.normal(1.0, 0.03) * HOURS) * left
        iron = np.minimum(HOURS, 2000.0) * SLOW / 1000 + np.maximum(HOURS - 2000.0, 0) * fast / 1000
        iron = (1.0 + iron * rng.lognormal(0.0, 0.1) + rng.normal(0.0, 0.1, len(HOURS))) * left
        rows.append(
            pd.DataFrame(
                {
                    "Sample No": [f"U{unit}-{k}" for k in range(len(HOURS))],
                    "Unit ID": f"U{unit:02}",
                    "Date Sampled": pd.Timestamp("2031-01-01") + pd.to_timedelta(HOURS / 10, "D"),
                    "Hours": HOURS,
                    "Material": "coolant",
                    "Technology": "heavy duty with supplemental additive",
                    "Glycol (vol%)": 50.0 * left,
                    "Nitrite NO2 (mg/L)": nitrite.round(1),
                    "Iron (mg/L)": iron.round(2),
                }
            )
        )
    table = pd.concat(rows)
    if volume is not None:
        table["System volume (L)"] = volume
    table.to_csv(path, index=False)
    return forecast(read_results([path]))


def nitrite_row(fleet):
    evidence = bound_evidence(fleet)
    names = [fleet.readings.columns[k].analyte for k in evidence.bounds["column"]]
    lower = (np.array(names) == "nitrite") & (evidence.bounds["side"] == "lower").to_numpy()
    return evidence, evidence.bounds[lower].iloc[0]


@pytest.fixture(scope="module")
def faster(tmp_path_factory):
    return write(tmp_path_factory.mktemp("faster") / "fleet.csv", FAST)


@pytest.fixture(scope="module")
def steady(tmp_path_factory):
    return write(tmp_path_factory.mktemp("steady") / "fleet.csv", SLOW)


def test_metal_that_comes_faster_below_the_bound_is_found(faster):
    evidence, row = nitrite_row(faster)
    assert (evidence.unit, evidence.per, row["bound"]) == ("mg/L", 1000.0, 800.0)
    assert row["metals"] == ("iron",)
    assert row["inside_low"] <= SLOW <= row["inside_high"]
    assert row["outside_low"] <= FAST <= row["outside_high"]
    assert row["difference_low"] > 0
    # Samples stand about 250 mg/L apart: no place within such a step is better than another.
    assert 675 <= row["threshold"] <= 925
    assert row["threshold_low"] <= 800 <= row["threshold_high"]
    assert pd.isna(row["reason"])


def test_a_steady_release_shows_no_bound(steady):
    evidence, row = nitrite_row(steady)
    assert row["difference_low"] <= 0 <= row["difference_high"]
    assert np.isnan(row["threshold"])
    assert row["threshold_reason"].startswith("the data cannot tell")
    assert "the data cannot tell a difference" in " ".join(evidence_text(steady, evidence).split())


def test_water_added_does_not_pass_for_less_metal(tmp_path, steady):
    plain = nitrite_row(steady)[1]
    diluted = nitrite_row(write(tmp_path / "diluted.csv", SLOW, diluted=0.8))[1]
    assert diluted["inside_rate"] == pytest.approx(plain["inside_rate"], rel=0.15)


def test_with_every_volume_known_rates_are_of_mass(tmp_path, faster):
    per_litre = nitrite_row(faster)[1]
    evidence, of_mass = nitrite_row(write(tmp_path / "b.csv", FAST, volume=40.0))
    assert evidence.unit == "mg"
    assert of_mass["inside_rate"] == pytest.approx(40.0 * per_litre["inside_rate"], rel=1e-9)


def test_few_units_and_unread_metals_are_named(tmp_path):
    few = nitrite_row(write(tmp_path / "few.csv", FAST, units=4))[1]
    assert few["reason"] == "fewer than 5 units were followed within the bound"
    file = tmp_path / "unread.csv"
    write(file, FAST)
    pd.read_csv(file).drop(columns="Iron (mg/L)").to_csv(file, index=False)
    unread = nitrite_row(forecast(read_results([file])))[1]
    assert unread["reason"] == "no metal was read throughout"


def test_document_table_and_words_say_the_same(faster):
    evidence, row = nitrite_row(faster)
    document = json.loads(json_document(forecast_document(faster, None, evidence)))
    said = next(
        each
        for each in document["bound_evidence"]["bounds"]
        if (each["analyte"], each["side"]) == ("nitrite", "lower")
    )
    assert said["inside"]["rate"] == row["inside_rate"]
    assert said["difference"] == {"lower": row["difference_low"], "upper": row["difference_high"]}
    table = evidence_table(faster, evidence)
    assert set(table["rates_in"]) == {"mg/L per 1000 h"}
    text = " ".join(evidence_text(faster, evidence).split())
    assert "nitrite below 800 mg/L, heavy_duty_additive" in text
    assert "faster beyond it" in text
    assert "the rate changes at" in text
