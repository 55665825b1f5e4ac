"""pH through the remaining reserve: a plateau that ends, against a line through the plateau."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.backtest import backtest
from chemcheck.assessment.backtest_baselines import OWN_LINE
from chemcheck.assessment.backtest_scores import MODEL
from chemcheck.assessment.forecast import forecast
from chemcheck.assessment.measure_dilution import measure_dilution
from chemcheck.assessment.ph_crossing import THROUGH_RESERVE, PhThroughReserve, reserve_column
from chemcheck.assessment.trend_rows import trend_rows
from chemcheck.forecasting import FleetTrend
from chemcheck.forecasting.buffer_curve import BufferCurve, buffer_curves
from chemcheck.intake.read import read_results

BOUND = 7.5
# A buffer of one weak acid: pH = pKa + log10(base / acid), Henderson-Hasselbalch; the base left
# is the reserve. Half of it left gives the pKa.
PKA, TOTAL = 8.8, 10.5


def buffered(reserve):
    left = np.clip(reserve, 0.02, TOTAL - 0.02)
    return PKA + np.log10(left / (TOTAL - left))


# pH 7.5 at 10^-1.3 base to acid: 10.5 / (1 + 10^1.3).
SPENT = TOTAL / (1.0 + 10.0 ** (PKA - BOUND))


def simulate(seed, units=24, share=0.62):
    """Return samples of a fleet that uses up its reserve steadily, and each true crossing."""
    random = np.random.default_rng(seed)
    rate = 2.4e-3 * np.exp(random.normal(0, 0.15, units))
    start = 9.8 + random.normal(0, 0.15, units)
    crossing = (start - SPENT) / rate
    rows = []
    for unit in range(units):
        # A third of the fleet is old enough to show how the plateau ends.
        until = 1.02 * crossing[unit] if unit % 3 == 0 else share * crossing[unit]
        for hours in np.linspace(0.0, until, 6):
            reserve = start[unit] - rate[unit] * hours
            rows.append(
                {
                    "Unit ID": f"U{unit:02d}",
                    "Date Sampled": (
                        pd.Timestamp("2031-01-01") + pd.Timedelta(hours / 10, "D")
                    ).date(),
                    "Hours": round(hours, 1),
                    "pH": round(buffered(reserve) + random.normal(0, 0.05), 2),
                    "RA (mL)": round(max(reserve + random.normal(0, 0.1), 0.05), 2),
                }
            )
    frame = pd.DataFrame(rows).assign(
        Material="coolant", Technology="heavy duty with supplemental additive"
    )
    return frame, crossing


@pytest.fixture
def write(tmp_path):
    def build(frame):
        frame.to_csv(tmp_path / "fleet.csv", index=False)
        return read_results([str(tmp_path / "fleet.csv")])

    return build


def test_the_curve_rises_from_the_exhausted_buffer():
    reserve = np.linspace(0.3, 9.5, 200)
    curve = BufferCurve.through(reserve, buffered(reserve))
    assert (np.diff(curve.ph) > 0).all()
    # The end of the titration by ASTM D1121.
    assert curve.ph_at(np.array([0.0])).item() == 5.5
    assert curve.reserve_at(np.array([BOUND]), 0.5).item() == pytest.approx(SPENT, rel=0.02)
    assert curve.reserve_at(np.array([5.0, 13.0]), 0.5).tolist() == [0.0, np.inf]


def test_below_the_lowest_ph_seen_little_tells_where_the_plateau_ends():
    reserve = np.linspace(4.0, 9.5, 60)
    fill = np.repeat(np.arange(6), 10)
    curves = buffer_curves(reserve, buffered(reserve), fill, 8)
    found = [
        curve.reserve_at(np.array([BOUND]), share).item()
        for share in (0.1, 0.9)
        for curve in curves[:1]
    ]
    # By hand: between 4 and 8 the pH rises by 0.716, 1.033 for a unit of ln(reserve); to fall by
    # 1.089 to 7.5 takes (1 - 10^-1.089) / (2.303 * 1.033) = 0.386 of the 4 at the least.
    assert found == pytest.approx([0.1 * 0.614 * 4, 0.9 * 0.614 * 4], rel=2e-3)
    assert min(found) < SPENT < max(found)


@pytest.mark.parametrize("lowest", [0.6, 1.0, 2.0, 4.0, 7.0])
def test_no_buffer_is_said_to_end_before_it_does(lowest):
    """However little of a buffer was seen, its end is not above the greatest reserve told."""
    reserve = np.linspace(lowest, 9.5, 80)
    curve = BufferCurve.through(reserve, buffered(reserve))
    assert curve.reserve_at(np.array([BOUND]), 1.0).item() >= SPENT * (1 - 1e-9)


def test_a_noisy_plateau_goes_on_to_the_lowest_reserve_seen():
    random = np.random.default_rng(8)
    reserve = np.linspace(3.5, 7.0, 40)
    curve = BufferCurve.through(reserve, 9.8 + random.normal(0, 0.05, 40))
    assert curve.reserve[1] == 3.5
    assert curve.ph_at(np.array([3.6])).item() == pytest.approx(9.8, abs=0.1)
    # A level plateau has a capacity that does not end at once.
    assert curve.ph_at(np.array([3.0]), 0.9).item() > 9.5


def test_ph_at_a_reserve_and_reserve_at_a_ph_are_each_other_s_inverse():
    reserve = np.linspace(3.0, 9.5, 60)
    curve = BufferCurve.through(reserve, buffered(reserve))
    for place in (0.2, 0.5, 1.0):
        ph = np.array([5.8, 6.5, 7.5, 8.2, 8.8, 9.2])
        there = curve.reserve_at(ph, place)
        known = there > 0.0
        assert curve.ph_at(there, place)[known] == pytest.approx(ph[known], abs=1e-6)
        assert (np.diff(there) >= 0.0).all()


def test_what_is_tested_is_what_is_told(write):
    """Foreseen from earlier days, pH goes through the reserve, too: half the error of a line."""
    frame, _ = simulate(9, units=30, share=1.02)
    # A third of the fleet had its fills a year before the others: it shows how the plateau ends.
    first = frame["Unit ID"].str[1:].astype(int) % 3 == 0
    dates = pd.to_datetime(frame["Date Sampled"])
    frame["Date Sampled"] = dates.where(~first, dates - pd.Timedelta(400, "D")).dt.date
    readings = write(frame)
    tested = backtest(forecast(readings, limits=["heavy_duty_additive_in_service"]))
    ph = [column.analyte for column in readings.columns].index("ph")
    cases = tested.cases[tested.cases["column"] == ph]
    late = cases[cases["found"] < 8.5]  # behind the plateau, which ends at about pH 9
    assert len(late) >= 20
    error = {way: (late[f"{way} mean"] - late["found"]).abs().median() for way in (MODEL, OWN_LINE)}
    assert error[MODEL] < 0.5 * error[OWN_LINE]
    held = (cases["found"] >= cases["model low 80"]) & (cases["found"] <= cases["model high 80"])
    assert held.mean() > 0.65


def test_reserve_foresees_the_end_of_the_plateau_and_a_line_does_not(write):
    """Fleets of known truth: the median error is less than half of that of a line through pH."""
    by_reserve, by_line, held = [], [], []
    for seed in range(3):
        frame, truth = simulate(seed)
        readings = write(frame)
        answer = forecast(readings, limits=["heavy_duty_additive_in_service"])
        ph = [column.analyte for column in readings.columns].index("ph")
        mine = answer.analytes[
            (answer.analytes["column"] == ph) & (answer.analytes["side"] == "lower")
        ]
        assert (mine["bound"] == BOUND).all()
        assert (mine["curve"] == THROUGH_RESERVE).all()
        ahead = np.arange(len(truth)) % 3 != 0
        line = FleetTrend().fit(
            frame[["Hours"]].to_numpy(), frame["pH"].to_numpy(), groups=frame["Unit ID"].to_numpy()
        )
        straight = line.first_crossing(BOUND, "below", horizon=20_000.0)["p50"].to_numpy()
        by_line += (np.minimum(straight, 20_000.0) - truth)[ahead].tolist()
        by_reserve += (np.minimum(mine["p50"].to_numpy(), 20_000.0) - truth)[ahead].tolist()
        low, high = mine["p10"].to_numpy(), mine["p90"].to_numpy()
        held += ((truth >= low) & (truth <= high))[ahead].tolist()
    assert np.median(np.abs(by_reserve)) < 0.5 * np.median(np.abs(by_line))
    assert np.mean(held) > 0.65


def test_a_ph_below_the_bound_now_is_outside_now(write):
    frame, _ = simulate(5)
    last = frame["Unit ID"].eq("U01").to_numpy().nonzero()[0][-1]
    frame.loc[last, "pH"] = 6.9
    readings = write(frame)
    answer = forecast(readings, limits=["heavy_duty_additive_in_service"])
    ph = [column.analyte for column in readings.columns].index("ph")
    unit = answer.units.set_index("unit_id").index.get_loc("U01")
    row = answer.analytes[
        (answer.analytes["unit"] == unit)
        & (answer.analytes["column"] == ph)
        & (answer.analytes["side"] == "lower")
    ].iloc[0]
    assert row["status"] == "outside now"
    assert row["probability_outside_now"] > 0.99
    assert row["p50"] <= answer.units["last_axis"].iloc[unit]


def test_water_takes_reserve_and_not_the_ph_of_a_buffer(write):
    """Reserve halved by water is worth what it was: the curve is of corrected reserve."""
    frame, _ = simulate(6)
    left = np.exp(-2e-4 * frame["Hours"])
    frame["Glycol (vol%)"] = (50 * left).round(2)
    frame["RA (mL)"] = (frame["RA (mL)"] * left).round(3)
    readings = write(frame)
    rows = trend_rows(readings, None, None, None)
    dilution = measure_dilution(readings, rows, rows.usable)
    ph = [column.analyte for column in readings.columns].index("ph")
    buffer = PhThroughReserve.of(readings, rows, dilution, ph, rows.usable)
    found = buffer.curves[0].reserve_at(np.array([BOUND]), 0.5).item()
    assert found == pytest.approx(SPENT, rel=0.35)
    assert buffer.scatter < 0.12


def test_without_reserve_or_with_few_pairs_there_is_no_curve(write):
    frame, _ = simulate(7)
    readings = write(frame.drop(columns="RA (mL)"))
    assert reserve_column(readings) == -1
    rows = trend_rows(readings, None, None, None)
    dilution = measure_dilution(readings, rows, rows.usable)
    assert PhThroughReserve.of(readings, rows, dilution, 0, rows.usable) is None
    few = write(frame.head(12))
    rows = trend_rows(few, None, None, None)
    dilution = measure_dilution(few, rows, rows.usable)
    assert PhThroughReserve.of(few, rows, dilution, 0, rows.usable) is None
