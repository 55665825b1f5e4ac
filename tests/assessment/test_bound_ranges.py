"""Crossings repeated at what sources give for a bound."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.bound_ranges import choice_outweighs, range_of, range_table
from chemcheck.assessment.forecast import forecast
from chemcheck.intake.read import read_results
from chemcheck.judging.bound_tables import LOWER_ACTION, UPPER_ACTION
from chemcheck.judging.strata import Stratum
from chemcheck.limit_library import load_set
from chemcheck.limit_library.records import Bound
from chemcheck.readings.record import ReadingColumn
from chemcheck.reports.bound_choice_words import choice_of_bound
from chemcheck.reports.forecast_json import forecast_document
from chemcheck.reports.forecast_text import forecast_text


def bound(value, quoted=None, spread=None):
    return Bound("lower", "action", value, False, quoted, "", "", "memory", spread)


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        (bound(300.0), None),
        (bound(300.0, quoted=(200.0, 300.0)), (200.0, 300.0)),
        (bound(800.0, spread=(500.0, 1200.0)), (500.0, 1200.0)),
        (bound(200.0, quoted=(100.0, 200.0), spread=(50.0, 150.0)), (50.0, 200.0)),
        (bound(300.0, quoted=(300.0, 300.0)), None),
    ],
)
def test_a_range_holds_the_bound_and_all_that_sources_give(given, expected):
    assert range_of(given) == expected


def test_the_table_holds_what_the_file_of_the_set_says():
    sets = [load_set("heavy_duty_additive_in_service")]
    column = ReadingColumn("nitrite")
    # As written in the set's file beside its bound of 800 mg/L.
    lower = range_table(column, sets, [Stratum(0, None, None)], LOWER_ACTION)
    assert lower[:, 0].tolist() == [500.0, 1200.0]
    assert np.isnan(lower[:, 1]).all()
    upper = range_table(ReadingColumn("chloride"), sets, [Stratum(0, None, None)], UPPER_ACTION)
    assert upper.shape == (2, 2)


def test_only_a_choice_wider_than_the_band_is_named():
    table = pd.DataFrame(
        {
            "p10": [900.0, 900.0, np.inf, 900.0],
            "p90": [1100.0, 1100.0, np.inf, 1100.0],
            "p50_at_low": [1500.0, np.nan, np.inf, np.inf],
            "p50_at_high": [800.0, np.nan, np.inf, 800.0],
        }
    )
    assert choice_outweighs(table).tolist() == [True, False, False, True]


@pytest.fixture(scope="module")
def straight(tmp_path_factory):
    """Return the forecast of units that lose nitrite at half a mg/L an hour from 1800 mg/L."""
    rows = [
        {
            "Unit ID": f"U{k}",
            "Date Sampled": (pd.Timestamp("2031-01-01") + pd.Timedelta(days=h / 10)).date(),
            "Hours": h,
            "Technology": "heavy duty with supplemental additive",
            "Material": "coolant",
            "Nitrite NO2 (mg/L)": 1800 - 0.5 * h + (3 * k + h // 100) % 7 - 3,
        }
        for k in range(8)
        for h in (0, 300, 600, 900)
    ]
    path = tmp_path_factory.mktemp("fleet") / "fleet.csv"
    pd.DataFrame(rows).to_csv(path, index_label="Sample No")
    return forecast(read_results([str(path)]))


def test_crossings_are_repeated_where_the_line_meets_both_ends(straight):
    nitrite = straight.analytes[straight.analytes["side"] == "lower"]
    # (1800 - 1200) / 0.5 = 1200 h and (1800 - 500) / 0.5 = 2600 h: arithmetic.
    assert nitrite["p50_at_high"].to_numpy() == pytest.approx(np.full(8, 1200.0), rel=0.03)
    assert nitrite["p50_at_low"].to_numpy() == pytest.approx(np.full(8, 2600.0), rel=0.03)
    assert nitrite["choice_outweighs"].all()


def test_it_is_said_before_the_forecast_itself(straight):
    (line, *_) = choice_of_bound(straight)
    assert "500 to 1200" in line
    text = " ".join(forecast_text(straight).split())
    assert text.index("choice of bound is worth more") < text.index("change by")
    document = forecast_document(straight)
    assert document["choice_of_bound"]
    assert list(document).index("choice_of_bound") < list(document).index("units")
    faced = document["units"][0]["analytes"][0]
    assert faced["bound_range"] == {"lower": 500.0, "upper": 1200.0}
    assert faced["crossing_at_bound_range"]["upper"] < faced["crossing_at_bound_range"]["lower"]
