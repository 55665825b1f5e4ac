"""Bottles and readings that do not fit the others of their fill: asked about, never corrected."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.forecast import forecast
from chemcheck.assessment.measure_dilution import measure_dilution
from chemcheck.assessment.odd_samples import FACTOR, SWAP, UNLIKE, odd_samples
from chemcheck.assessment.trend_rows import trend_rows
from chemcheck.errors import NotEnoughDataError
from chemcheck.intake.read import read_results
from chemcheck.reports.forecast_json import forecast_document
from chemcheck.reports.forecast_text import forecast_text

FRESH = {"Nitrite NO2 (mg/L)": 1800.0, "Boron (mg/L)": 400.0, "Sodium (mg/L)": 3400.0,
         "Potassium (mg/L)": 450.0, "Azoles (mg/L)": 700.0}  # fmt: skip
UNITS, ROUNDS = 14, 6


def fleet(seed):
    """Return units whose fills differ by a tenth or two, six rounds of samples each."""
    random = np.random.default_rng(seed)
    level = np.exp(random.normal(0.0, 0.15, (UNITS, len(FRESH))))
    rows = []
    for unit in range(UNITS):
        for k in range(ROUNDS):
            fresh = np.array(list(FRESH.values())) * level[unit]
            fresh = fresh * np.exp([-1e-4 * 300 * k, 0, 0, 0, -2e-5 * 300 * k])
            rows.append(
                {
                    "Unit ID": f"U{unit:02d}",
                    "Date Sampled": (pd.Timestamp("2031-01-01") + pd.Timedelta(30 * k, "D")).date(),
                    "Hours": 300.0 * k,
                    **dict(
                        zip(FRESH, fresh * np.exp(random.normal(0, 0.02, len(FRESH))), strict=True)
                    ),
                }
            )
    return pd.DataFrame(rows).assign(
        Material="coolant", Technology="heavy duty with supplemental additive"
    )


@pytest.fixture
def find(tmp_path):
    """Return a function that reads a fleet and finds what does not belong."""

    def call(frame):
        frame.to_csv(tmp_path / "fleet.csv", index=False, float_format="%.5g")
        readings = read_results([str(tmp_path / "fleet.csv")])
        rows = trend_rows(readings, None, None, None)
        return readings, odd_samples(readings, rows, measure_dilution(readings, rows, rows.usable))

    return call


def swapped(frame, one, other):
    frame = frame.copy()
    names = list(FRESH)
    frame.loc[[one, other], names] = frame.loc[[other, one], names].to_numpy()
    return frame


def test_a_fleet_without_mistakes_raises_hardly_a_question(find):
    asked = [len(find(fleet(seed))[1]) for seed in range(4)]
    # One in ten thousand of 336 samples is none.
    assert sum(asked) <= 1


@pytest.mark.parametrize("seed", range(4))
def test_two_bottles_of_one_round_are_proposed_as_a_pair(find, seed):
    # Round 3 of the third and of the ninth unit.
    one, other = 2 * ROUNDS + 3, 8 * ROUNDS + 3
    _, found = find(swapped(fleet(seed), one, other))
    pair = found[found["kind"] == SWAP]
    assert pair[["row", "other"]].to_numpy().tolist() == [[one, other]]
    assert "were the bottles swapped?" in pair["question"].iloc[0]


def test_a_bottle_that_fits_no_other_unit_is_no_pair(find):
    frame = fleet(1)
    frame.loc[15, list(FRESH)] *= np.array([1.4, 0.7, 1.3, 0.75, 1.35])
    _, found = find(frame)
    assert found["kind"].tolist() == [UNLIKE]
    assert found["row"].tolist() == [15]


@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_readings_off_by_one_factor_are_asked_about(find, factor):
    frame = fleet(2)
    frame.loc[33, list(FRESH)] *= factor
    _, found = find(frame)
    assert found["kind"].tolist() == [FACTOR]
    assert found["row"].tolist() == [33]
    assert found["factor"].item() == pytest.approx(factor, rel=0.1)


def test_they_are_used_unless_held_out(find):
    readings, _ = find(swapped(fleet(3), 15, 51))
    sets = ["heavy_duty_additive_in_service"]
    shown = forecast(readings, limits=sets)
    text = " ".join(forecast_text(shown).split())
    assert "were the bottles swapped?" in text
    assert "--hold-out" in text
    (asked,) = forecast_document(shown)["odd_samples"]
    assert (asked["row"], asked["swapped_with"], asked["kind"]) == (17, 53, SWAP)
    without = forecast(readings, limits=sets, hold_out=["17", "fleet.csv:53"])
    assert not len(without.odd_samples)
    said = dict(zip(without.remarks["reason"], without.remarks["what"], strict=True))
    assert said["held out as asked"] == "2 samples"
    used = shown.units["samples_used"].sum() - without.units["samples_used"].sum()
    assert used == 2


def test_accepting_suggestions_holds_out_both_bottles_and_says_so(find):
    readings, _ = find(swapped(fleet(3), 15, 51))
    sets = ["heavy_duty_additive_in_service"]
    used, accepted = (forecast(readings, limits=sets, accept_suggestions=yes) for yes in (0, 1))
    by_hand = forecast(readings, limits=sets, hold_out=["17", "53"], accept_suggestions=True)
    assert np.flatnonzero(accepted.held_out).tolist() == [15, 51]
    assert not used.held_out.any()
    pd.testing.assert_frame_equal(accepted.analytes, by_hand.analytes)
    said = [forecast_document(one)["odd_samples"][0]["held_out"] for one in (used, accepted)]
    assert said == [False, True]
    text = " ".join(forecast_text(accepted).split())
    assert "These samples were held out of all trends" in text
    assert "These samples were used" not in text
    assert "all with --accept-suggestions" in " ".join(forecast_text(used).split())


@pytest.mark.parametrize("row", ["999", "other.csv:17", "many"])
def test_a_row_to_hold_out_that_is_none_is_one_clear_line(find, row):
    readings, _ = find(fleet(0))
    with pytest.raises(NotEnoughDataError, match=f"--hold-out {row}: no sample; expected one row"):
        forecast(readings, hold_out=[row])
