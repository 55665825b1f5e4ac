"""Laboratories and methods that read apart, from files to forecasts of fleets of known truth."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.backtest import backtest
from chemcheck.assessment.backtest_scores import MODEL
from chemcheck.assessment.forecast import forecast
from chemcheck.assessment.interval import change_intervals
from chemcheck.assessment.levelled_fleet import level_fleet, levelled_readings
from chemcheck.assessment.offset_priors import MethodLevel, offset_prior
from chemcheck.assessment.set_choices import default_choice
from chemcheck.assessment.trend_rows import trend_rows
from chemcheck.intake.read import read_results
from chemcheck.limit_library import methods, precision_of
from chemcheck.reports.forecast_json import forecast_document
from chemcheck.reports.forecast_text import forecast_text
from chemcheck.reports.interval_json import interval_document
from chemcheck.reports.interval_text import interval_text
from chemcheck.reports.offset_words import offset_lines

NITRITE, PH = "Nitrite NO2 (mg/L)", "pH"
# By what the second laboratory reads apart: nitrite by a factor, pH by an amount.
OFFSET = {NITRITE: np.log(1.08), PH: 0.25}


def made(seed=1, units=10, rounds=6, who="random", offset=OFFSET):
    """Return units that lose nitrite at 0.4 mg/L an hour, read by North, or South."""
    random = np.random.default_rng(seed)
    unit = np.repeat(np.arange(units), rounds)
    hours = 400.0 * np.tile(np.arange(rounds), units) + random.uniform(0, 100, unit.size)
    south = random.random(unit.size) < 0.4
    if who == "switch":
        south = hours >= 1_500
    nitrite = 1900 + random.normal(0, 60, units)[unit]
    nitrite = nitrite - 0.4 * np.exp(random.normal(0, 0.1, units))[unit] * hours
    nitrite = nitrite * (1 + random.normal(0, 0.01, unit.size))
    ph = 9.5 + random.normal(0, 0.05, units)[unit] - 3e-4 * hours
    ph = ph + random.normal(0, 0.03, unit.size)
    return pd.DataFrame(
        {
            "Unit ID": [f"U{k:02d}" for k in unit],
            "Date Sampled": (
                pd.Timestamp("2031-01-01") + pd.to_timedelta(hours / 10, unit="D")
            ).date,
            "Hours": hours.round(1),
            "Laboratory": np.where(south, "South", "North"),
            "Method": np.where(south, "titration", "lab"),
            NITRITE: (nitrite * np.where(south, np.exp(offset[NITRITE]), 1.0)).round(1),
            PH: (ph + np.where(south, offset[PH], 0.0)).round(3),
            "Material": "coolant",
            "Technology": "heavy duty with supplemental additive",
        }
    )


@pytest.fixture
def read(tmp_path):
    """Return a function that reads a table."""

    def call(frame):
        frame.to_csv(tmp_path / "fleet.csv", index=False)
        return read_results([str(tmp_path / "fleet.csv")])

    return call


def level(readings, known=None):
    rows = trend_rows(readings, None, None, None)
    return level_fleet(readings, rows, default_choice(readings.samples)[0].sets, known)


def by_analyte(readings, offsets):
    return {readings.columns[one.column].analyte: one for one in offsets}


def test_one_method_of_one_laboratory_changes_no_bit(read):
    frame = made(offset=dict.fromkeys(OFFSET, 0.0))
    alone = read(frame.drop(columns=["Laboratory", "Method"]))
    named = read(frame.assign(Laboratory="North", Method="lab"))
    rows = trend_rows(named, None, None, None)
    sets = default_choice(named.samples)[0].sets
    assert levelled_readings(named, rows, sets)[0] is named
    assert level_fleet(named, rows, sets).readings is named
    one, other = forecast(alone), forecast(named)
    pd.testing.assert_frame_equal(one.analytes, other.analytes, check_exact=True)
    pd.testing.assert_frame_equal(one.units, other.units, check_exact=True)
    assert forecast_document(other)["method_offsets"] == []
    assert "read apart" not in forecast_text(other)


def test_both_ends_of_what_a_second_laboratory_read_come_to_the_level_of_the_first(read):
    readings = read(made())
    found = level(readings)
    offsets = by_analyte(readings, found.offsets)
    assert offsets["nitrite"].prior.relative
    assert not offsets["ph"].prior.relative
    for name, title in (("nitrite", NITRITE), ("ph", PH)):
        one = offsets[name]
        assert one.levels[0].laboratory == "North"
        assert one.told.all()
        assert one.offset[0] == pytest.approx(OFFSET[title], abs=3 * one.deviation[0])
        assert one.deviation[0] < one.prior.deviation[0] / 3
        south = one.level == 1
        column = one.column
        before, after = readings.lower[south, column], found.readings.lower[south, column]
        moved = np.log(before / after) if name == "nitrite" else before - after
        assert moved == pytest.approx(one.offset[0], rel=1e-6)
        assert np.array_equal(found.readings.upper[south, column], after)
        assert np.array_equal(
            found.readings.lower[~south, column], readings.lower[~south, column], equal_nan=True
        )


def test_other_names_and_spellings_give_the_same(read):
    frame = made()
    frame.loc[frame.index[::3], "Laboratory"] = frame["Laboratory"].str.upper()
    renamed = made().assign(Laboratory=made()["Laboratory"].map({"North": "Zet", "South": "Alp"}))
    one, spelled, other = (level(read(each)) for each in (made(), frame, renamed))
    for each in (spelled, other):
        assert np.array_equal(each.readings.lower, one.readings.lower, equal_nan=True)
        assert [o.offset.tolist() for o in each.offsets] == [o.offset.tolist() for o in one.offsets]


def test_laboratories_that_never_worked_at_one_time_stay_at_the_prior(read):
    readings = read(made(who="switch"))
    found = level(readings)
    for one in found.offsets:
        assert not one.told.any()
        assert one.offset.tolist() == [0.0]
        assert one.deviation == pytest.approx(one.prior.deviation)
    assert np.array_equal(found.readings.lower, readings.lower, equal_nan=True)
    # And bands are wider by that: the same readings as of one laboratory have narrower ones.
    frame = made(who="switch")
    alone = forecast(read(frame.assign(Laboratory="North", Method="lab")))
    unsure = forecast(readings)
    widths = [
        (one.analytes["p90"] - one.analytes["p10"])[np.isfinite(one.analytes["p90"])].median()
        for one in (alone, unsure)
    ]
    assert widths[1] > 1.2 * widths[0]
    text = " ".join(forecast_text(unsure).split())
    assert "could not be compared with" in text
    assert forecast_document(unsure)["method_offsets"][0]["told"] is False


def test_a_laboratory_that_came_later_says_nothing_of_the_others(read):
    """North and South take turns; East has all from a day on: the first two are told as before."""
    frame = made(units=12, rounds=8)
    late = frame["Hours"] >= 2_000
    before = level(read(frame[~late]))
    frame.loc[late, "Laboratory"] = "East"
    found = level(read(frame))
    one, other = (by_analyte(each.readings, each.offsets)["nitrite"] for each in (before, found))
    place = [each.laboratory for each in other.levels].index("South") - 1
    assert other.told.tolist() == [name.laboratory == "South" for name in other.levels[1:]]
    assert other.offset[place] == pytest.approx(one.offset[0], abs=1e-6)
    assert other.covariance[place, place] == pytest.approx(one.covariance[0, 0], rel=1e-6)


@pytest.mark.parametrize(("people", "told"), [(25, range(1, 13)), (60, range(1))])
def test_many_names_are_no_laboratories(read, people, told):
    frame = made(units=20, rounds=10)
    frame["Laboratory"] = [f"Person {k % people:02d}" for k in range(len(frame))]
    readings = read(frame.assign(Method="lab"))
    offsets = level(readings).offsets
    one = by_analyte(readings, offsets)["nitrite"]
    assert len(one.levels) == people
    assert one.told.sum() in told
    lines = offset_lines(readings, offsets)
    assert len(lines) <= 21
    assert ("more: --format json lists all." in lines[-1]) == (people == 60)


def test_a_fresh_fill_moves_with_the_laboratory_that_read_it(read):
    """A bound that is a fraction of it stands at the level of the trend, too."""
    frame = made().assign(**{"Sample Type": "routine", "RA (mL)": 7.0})
    frame["RA (mL)"] = 7.0 - 4e-4 * frame["Hours"] + 0.6 * (frame["Laboratory"] == "South")
    frame["RA (mL)"] += np.random.default_rng(8).normal(0.0, 0.03, len(frame))
    fresh = frame.iloc[[0]].assign(
        **{"Unit ID": "", "Sample Type": "fresh fill", "Laboratory": "South", "Method": "titration"}
    )
    fresh = fresh.assign(**{"RA (mL)": 7.6, "Hours": np.nan, "Date Sampled": "2030-12-20"})
    readings = read(pd.concat([fresh, frame]))
    found = level(readings)
    one = by_analyte(readings, found.offsets)["reserve_alkalinity"]
    assert one.level[0] == 1
    assert found.readings.lower[0, one.column] == pytest.approx(7.6 - one.offset[0])
    assert one.offset[0] == pytest.approx(0.6, abs=3 * one.deviation[0])


def test_a_forecast_says_each_offset_with_its_size_and_what_it_rests_on(read):
    readings = read(made())
    shown = forecast(readings)
    entries = {one["analyte"]: one for one in forecast_document(shown)["method_offsets"]}
    said = entries["nitrite"]
    assert (said["laboratory"], said["method"]) == ("South", "titration")
    assert said["reference"]["laboratory"] == "North"
    assert said["unit"] == "%"
    assert said["offset"] == pytest.approx(8.0, abs=3 * said["deviation"])
    assert said["readings"] + said["reference_readings"] == 60
    assert entries["ph"]["unit"] == "pH"
    text = " ".join(forecast_text(shown).replace("\u00a0", " ").split())
    assert (
        "Laboratory South (titration) reads beside laboratory North (laboratory, coolant)" in text
    )
    assert f"({said['readings']} readings)" in text
    assert "Verdicts are of the readings as they came" in text


def test_small_offsets_stay_in_the_document_alone(read):
    shown = forecast(read(made(offset={NITRITE: 0.0, PH: 0.25}, seed=3)))
    entries = {one["analyte"]: one for one in forecast_document(shown)["method_offsets"]}
    text = forecast_text(shown)
    assert abs(entries["nitrite"]["offset"]) < entries["nitrite"]["deviation"]
    part = text[text.index("read apart") : text.index("What to do")]
    assert "pH +0.2" in part
    assert "nitrite" not in part


def test_crossings_and_past_forecasts_are_better_for_it(read):
    frame = made(units=14, rounds=7)
    apart = forecast(read(frame))
    blind = forecast(read(frame.drop(columns=["Laboratory", "Method"])))
    scores = [backtest(one).scores[MODEL] for one in (apart, blind)]
    assert scores[0].interval_score < 0.8 * scores[1].interval_score
    assert scores[0].coverage[0.80] > 0.70


def test_past_forecasts_know_only_the_offsets_of_their_day(read):
    readings = read(made())
    rows = trend_rows(readings, None, None, None)
    early = rows.usable & (rows.usage.age < 1_200)
    known = by_analyte(readings, level(readings, early).offsets)["nitrite"]
    whole = by_analyte(readings, level(readings).offsets)["nitrite"]
    assert known.counts.sum() == early.sum() < whole.counts.sum()
    assert known.deviation[0] > whole.deviation[0]
    later = ~early
    mean, deviation = known.reading_back(
        later, np.full(later.sum(), 1000.0), np.full(later.sum(), 9.0)
    )
    south = known.level[later] == 1
    assert mean[south] == pytest.approx(1000.0 * np.exp(known.offset[0]))
    assert (deviation[south] > 9.0).all()
    assert (mean[~south] == 1000.0).all()


def test_change_intervals_are_of_readings_at_one_level(read):
    """South reads nitrite 30 % high: by its readings fills seem to last longer."""
    offset = {NITRITE: np.log(1.3), PH: 0.0}
    truth, apart = (
        made(units=16, rounds=9, offset=o) for o in (dict.fromkeys(OFFSET, 0.0), offset)
    )
    right = change_intervals(read(truth))
    shown = change_intervals(read(apart))
    blind = change_intervals(read(apart.drop(columns=["Laboratory", "Method"])))
    medians = [one.groups[0].choice.lifetime.quantile(0.5) for one in (right, shown, blind)]
    assert abs(medians[1] / medians[0] - 1.0) < 0.05
    assert abs(medians[2] / medians[0] - 1.0) > abs(medians[1] / medians[0] - 1.0)
    assert interval_document(shown)["method_offsets"]
    assert "read apart" in interval_text(shown)
    assert interval_document(right)["method_offsets"] != []
    assert interval_document(blind)["method_offsets"] == []


def test_a_strip_beside_a_laboratory_keeps_its_pads(read):
    frame = made()
    frame["Method"] = np.where(frame["Laboratory"] == "South", "strip", "lab")
    frame["Laboratory"] = "Workshop"
    pads = np.array([0, 300, 600, 800, 1200, 1600, 2400, 3200])
    strip = frame["Method"] == "strip"
    nearest = pads[np.abs(frame[NITRITE].to_numpy()[:, None] - pads).argmin(axis=1)]
    frame[NITRITE] = np.where(strip, nearest, frame[NITRITE])
    readings = read(frame.drop(columns=PH))
    found = level(readings)
    one = by_analyte(readings, found.offsets)["nitrite"]
    here = one.level == 1
    width = [(each.upper - each.lower)[here, one.column] for each in (readings, found.readings)]
    assert (width[0] > 0).all()
    assert width[1] == pytest.approx(width[0] * np.exp(-one.offset[0]))
    # A strip of few steps says less of its offset than a laboratory does.
    exact = by_analyte(read(made()), level(read(made())).offsets)["nitrite"]
    assert one.deviation[0] > 2 * exact.deviation[0]


def test_silicon_by_plasma_emission_differs_between_laboratories_as_its_precision_says():
    """ASTM D6130: repeatability 6 %, reproducibility 9 %, both 2.8 standard deviations."""
    read = np.full(4, 60.0)
    levels = [MethodLevel("lab", "North"), MethodLevel("lab", "South")]
    prior = offset_prior("silicon", levels, np.array([0, 0, 1, 1]), read, read)
    between = np.sqrt(0.09**2 - 0.06**2) / 2.8
    assert prior.relative
    assert prior.deviation == pytest.approx([np.sqrt(2) * between], rel=2e-3)


@pytest.mark.parametrize("analyte", ["ph", "reserve_alkalinity", "freezing_point", "glycol"])
def test_what_is_stated_in_its_unit_is_off_by_amounts(analyte):
    read = np.array([5.0, 6.0, 7.0])
    levels = [MethodLevel("lab", None), MethodLevel("kit", None)]
    prior = offset_prior(analyte, levels, np.array([0, 1, 1]), read, read)
    assert not prior.relative
    kit = precision_of(methods()["drop_count_kit"], analyte)
    own = np.hypot(kit.absolute, kit.relative * 6.0)
    assert prior.deviation[0] > 0.7 * own


def test_readings_below_nothing_have_no_factor():
    read = np.array([-5.0, 6.0, 7.0])
    levels = [MethodLevel(None, "North"), MethodLevel(None, "South")]
    assert not offset_prior("chloride", levels, np.array([0, 0, 1]), read, read).relative
