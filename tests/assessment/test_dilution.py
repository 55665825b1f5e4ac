"""Kinetics on dilution-corrected values, protection judged on uncorrected ones."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.corrected_bounds import CorrectedBounds
from chemcheck.assessment.dilution import LITRES
from chemcheck.assessment.forecast import forecast
from chemcheck.assessment.measure_dilution import measure_dilution, share_of_walk
from chemcheck.assessment.trend_rows import trend_rows
from chemcheck.chemistry.depletion import first_order_rate
from chemcheck.errors import NotEnoughDataError
from chemcheck.forecasting import FleetTrend
from chemcheck.intake.events import read_events
from chemcheck.intake.read import read_results

TECHNOLOGY = "heavy duty with supplemental additive"
NITRITE, GLYCOL, POTASSIUM = "Nitrite NO2 (mg/L)", "Glycol (vol%)", "Potassium (mg/L)"


@pytest.fixture
def read(tmp_path):
    """Return a function that writes samples and a log, and reads them."""

    def build(rows, log=None):
        frame = pd.DataFrame(rows).assign(Material="coolant", Technology=TECHNOLOGY)
        frame.to_csv(tmp_path / "fleet.csv", index=False)
        events = None
        if log is not None:
            (tmp_path / "log.csv").write_text("unit_id,date,event,litres,fluid\n" + log)
            events = read_events(tmp_path / "log.csv")
        return read_results([str(tmp_path / "fleet.csv")]), events

    return build


def sample(unit, hours, **values):
    day = pd.Timestamp("2031-01-01") + pd.Timedelta(hours / 10, "D")
    return {"Unit ID": unit, "Date Sampled": day.date(), "Hours": hours, **values}


def factor_of_nitrite(readings, events=None, tracer=None):
    rows = trend_rows(readings, events, None, None)
    dilution = measure_dilution(readings, rows, rows.usable, tracer)
    column = [c.analyte for c in readings.columns].index("nitrite")
    return dilution, np.exp(dilution.log_factor(readings, rows, column))


def test_a_third_of_the_loss_was_water(read):
    """Nitrite 1200 to 900 in 1,000 h, glycol 50 to 45 by water: k 2.88e-4 becomes 1.82e-4 / h.

    A worked example, computed by hand: ln(1200/900)/1000 and ln(1200/1000)/1000.
    """
    rows = [
        sample(f"U{k}", h, **{NITRITE: n, GLYCOL: g})
        for k in range(3)
        for h, n, g in ((0, 1200, 50), (1000, 900, 45))
    ]
    readings, _ = read(rows)
    dilution, factor = factor_of_nitrite(readings)
    assert set(dilution.reference) == {"glycol"}
    assert factor[:2] == pytest.approx([1.0, 0.9], rel=2e-3)
    assert first_order_rate(1200.0, 900.0, 1000.0) == pytest.approx(2.88e-4, rel=2e-3)
    assert first_order_rate(1200.0, 900.0 / factor[1], 1000.0) == pytest.approx(1.82e-4, rel=0.01)


def test_premix_moves_no_glycol_and_is_told_by_litres_over_the_system(read):
    """4 L of 40 L premix into 1,000 mg/L with 1,800 fresh: 1,080, a factor of 1.08 by mixing."""
    rows = [sample("F", 0, **{NITRITE: 1800, GLYCOL: 50, "Sample Type": "fresh fill"})]
    rows += [
        sample(f"U{k}", h, **{NITRITE: n, GLYCOL: 50, "System volume (L)": 40})
        for k in range(3)
        for h, n in ((0, 1000), (500, 1080))
    ]
    rows[0]["Unit ID"] = ""
    log = "".join(f"U{k},2031-01-20,top-up,4,premix 50/50\n" for k in range(3))
    readings, events = read(rows, log)
    dilution, factor = factor_of_nitrite(readings, events)
    assert factor[1:3] == pytest.approx([1.0, 1.08], rel=1e-3)
    # Going on: 10 % in 500 h, each time towards the fresh 1,800 from a level of 900.
    at = np.array([2])
    trend = trend_rows(readings, events, None, None)
    column = [c.analyte for c in readings.columns].index("nitrite")
    drift = dilution.drift(readings, trend, column, at, np.array([900.0]))
    assert drift["rate"].item() == pytest.approx(np.log(0.9) / 500 * (1800 / 900 - 1), rel=1e-2)


def test_an_inert_tracer_tells_premix_where_no_volume_is_known(read):
    rows = [sample("", 0, **{NITRITE: 1800, GLYCOL: 50, "Sample Type": "fresh fill"})]
    rows += [
        sample(f"U{k}", h, **{NITRITE: n, GLYCOL: 50, "Molybdenum (mg/L)": t})
        for k in range(4)
        for h, n, t in ((0, 1000, 20), (500, 1080, 18), (900, 1080, 18))
    ]
    log = "".join(f"U{k},2031-01-20,top-up,4,premix\n" for k in range(4))
    readings, events = read(rows, log)
    blind, factor = factor_of_nitrite(readings, events)
    assert factor[1:4] == pytest.approx([1, 1, 1], abs=1e-3)
    assert any("unknown share" in why for _, why in blind.remarks)
    traced, factor = factor_of_nitrite(readings, events, tracer="molybdenum")
    assert factor[1:4] == pytest.approx([1, 1.08, 1.08], rel=0.02)
    assert not any("unknown share" in why for _, why in traced.remarks)


def test_litres_stand_in_where_nothing_conserved_was_read(read):
    rows = [
        sample(f"U{k}", h, **{NITRITE: n, "System volume (L)": 40})
        for k in range(3)
        for h, n in ((0, 1200), (500, 1000), (1000, 900))
    ]
    log = "".join(f"U{k},2031-01-20,top-up,4,tap water\n" for k in range(3))
    readings, events = read(rows, log)
    dilution, factor = factor_of_nitrite(readings, events)
    assert set(dilution.reference) == {LITRES}
    assert factor[:3] == pytest.approx([1.0, 0.9, 0.9])


def test_a_tracer_that_disagrees_with_glycol_is_named(read):
    random = np.random.default_rng(0)
    rows = [
        sample(
            f"U{k}",
            h,
            **{
                NITRITE: 1800 - 0.3 * h,
                GLYCOL: 50 * np.exp(random.normal(0, 0.004)),
                POTASSIUM: 400 * (1 - (0.25 * h / 1200 if k == 3 else 0)),
            },
        )
        for k in range(8)
        for h in (0, 600, 1200)
    ]
    readings, _ = read(rows)
    result = forecast(readings)
    said = result.remarks[result.remarks["what"] == "unit U3"]["reason"]
    assert said.str.contains("potassium fell to 0.75 of its start, glycol to 1.0").any()
    assert not result.remarks["what"].isin([f"unit U{k}" for k in range(8) if k != 3]).any()


def test_the_crossing_is_of_the_value_itself_with_water_going_on(read):
    """Chemistry and water each take 1e-4 of what is there in an hour: 800 = 1800 exp(-2e-4 t)."""
    random = np.random.default_rng(1)
    rows = [
        sample(
            f"U{k}",
            h,
            **{
                NITRITE: 1800 * np.exp(-2e-4 * h) * np.exp(random.normal(0, 0.004)),
                GLYCOL: 50 * np.exp(-1e-4 * h) * np.exp(random.normal(0, 0.004)),
            },
        )
        for k in range(10)
        for h in range(0, 3001, 500)
    ]
    readings, _ = read(rows)
    result = forecast(readings, limits=["heavy_duty_additive_in_service"])
    columns = [c.analyte for c in readings.columns]
    nitrite = result.analytes[
        (result.analytes["column"] == columns.index("nitrite"))
        & (result.analytes["side"] == "lower")
    ]
    assert nitrite["bound"].unique().tolist() == [800.0]
    # Arithmetic: ln(1800/800) / 2e-4.
    assert nitrite["p50"].to_numpy() == pytest.approx(np.full(10, 4054.7), rel=0.03)
    # At 3,000 h the reading is 987.9; it falls by 2e-4 of that, half of it without water.
    assert nitrite["slope"].mean() == pytest.approx(-0.1976, rel=0.06)
    assert nitrite["slope_undiluted"].mean() == pytest.approx(-0.0988, rel=0.1)
    assert result.units["left"].to_numpy() == pytest.approx(np.full(10, np.exp(-0.3)), rel=0.02)


def test_corrected_forecasts_beat_uncorrected_ones_where_units_leak_unlike(read):
    """Fleets of known truth: half of the units are topped up with water by chance, late on."""
    size, held = {"corrected": [], "as read": []}, {"corrected": [], "as read": []}
    for seed in range(3):
        random = np.random.default_rng(seed)
        n, grid = 24, np.arange(0.0, 12_000.0, 20.0)
        leak = np.where(np.arange(n) % 2 == 0, 1.2e-4, 0.0)
        events = random.random((n, grid.size)) < (leak * 20.0 / 0.06)[:, None]
        events[:, grid < 900.0] = False
        left = np.exp(np.cumsum(events * np.log1p(-0.06), axis=1))
        k = 2.5e-4 * np.exp(random.normal(0, 0.1, (n, 1)))
        true = 1800 * np.exp(random.normal(0, 0.02, (n, 1))) * np.exp(-k * grid) * left
        rows = [
            sample(
                f"U{u:02d}",
                h,
                **{
                    NITRITE: true[u, h // 20] * np.exp(random.normal(0, 0.015)),
                    GLYCOL: 50 * left[u, h // 20] * np.exp(random.normal(0, 0.01)),
                },
            )
            for u in range(n)
            for h in range(0, 1801, 300)
        ]
        crossing = grid[(true < 800).argmax(axis=1)]
        readings, _ = read(rows)
        column = [c.analyte for c in readings.columns].index("nitrite")
        trend = trend_rows(readings, None, None, None)
        dilution = measure_dilution(readings, trend, trend.usable)
        age, fill = trend.usage.age[:, None], trend.fills.group
        value = readings.lower[:, column]
        last = trend.last_of_present_fill
        bound = np.full(n, 800.0)
        for name, factor in (
            ("corrected", np.exp(dilution.log_factor(readings, trend, column))),
            ("as read", np.ones(len(value))),
        ):
            model = FleetTrend().fit(age, value / factor, groups=fill)
            bounds = CorrectedBounds.of(readings, trend, dilution, column, last, bound)
            if name == "as read":
                bounds = CorrectedBounds(bounds.groups, bounds.last_axis, np.ones(n), None)
            table = bounds.crossing(model, bound, "below", 20_000.0, (0.1, 0.5, 0.9))
            ahead = crossing > 1800
            size[name] += np.abs(table["p50"] - crossing)[ahead].tolist()
            held[name] += ((crossing >= table["p10"]) & (crossing <= table["p90"]))[ahead].tolist()
    assert np.median(size["corrected"]) < 0.7 * np.median(size["as read"])
    assert np.mean(held["corrected"]) > np.mean(held["as read"]) + 0.1
    assert np.mean(held["corrected"]) > 0.68


def test_a_logged_dose_starts_its_components_anew_and_nothing_else(read):
    random = np.random.default_rng(2)
    rows = []
    for k in range(10):
        for h in range(0, 2001, 400):
            dosed = k < 5 and h > 1000
            rows.append(
                sample(
                    f"U{k}",
                    h,
                    **{
                        NITRITE: 1800 - 0.4 * h + (500 if dosed else 0) + random.normal(0, 5),
                        "Azoles (mg/L)": 700 - 0.05 * h + random.normal(0, 2),
                    },
                )
            )
    log = "".join(f"U{k},2031-04-11,dose,2,additive\n" for k in range(5))
    readings, events = read(rows, log)
    trend = trend_rows(readings, events, None, None)
    dilution = measure_dilution(readings, trend, trend.usable)
    names = [c.analyte for c in readings.columns]
    broken = dilution.breaks(readings, trend, names.index("nitrite"), trend.usable)
    hours = readings.samples["hours"].to_numpy()
    assert hours[broken].tolist() == [1200.0] * 5
    assert dilution.breaks(readings, trend, names.index("azoles"), trend.usable) is None
    result = forecast(readings, events, limits=["heavy_duty_additive_in_service"])
    nitrite = result.analytes[
        (result.analytes["column"] == names.index("nitrite")) & (result.analytes["side"] == "lower")
    ]
    # 1800 - 0.4 h meets 800 at 2500 h; with 500 more at 3750 h.
    assert nitrite["p50"].to_numpy() == pytest.approx([3750.0] * 5 + [2500.0] * 5, rel=0.05)


def test_a_tracer_that_nobody_read_is_one_clear_line(read):
    readings, _ = read([sample("A", h, **{NITRITE: 1800 - h}) for h in (0, 100, 200)])
    with pytest.raises(
        NotEnoughDataError,
        match="tracer 'lithium': nothing was read of it; expected one of: nitrite",
    ):
        forecast(readings, tracer="lithium")


def test_a_fill_that_loses_twice_as_fast_wanders_twice_as_much():
    # Top-ups of one share that come by chance: variance over mean is that share, however often.
    random = np.random.default_rng(8)
    rates = np.array([0.02, 0.1, 0.3])
    lost = 0.05 * random.poisson(rates / 0.05 * 4.0, (20_000, 3))
    assert lost.var(axis=0) / lost.mean(axis=0) == pytest.approx(0.05, rel=0.05)
    known = share_of_walk(pd.DataFrame({"rate": -rates, "variance": 1e-9}))
    assert known == pytest.approx(rates / rates.mean(), rel=1e-3)
    unsure = share_of_walk(pd.DataFrame({"rate": [0.0, -0.1], "variance": [0.05**2, 1e-9]}))
    assert 0.1 < unsure[0] / unsure[1] < 0.5
