"""Charts over time and use, of crossings, costs, calibration and lifetimes."""

import re
import xml.etree.ElementTree as ET
from math import inf, nan

import numpy as np
import pytest

from chemcheck.assessment.trend_curve import TrendCurve
from chemcheck.planning import Lifetime, best_interval, fit_lifetime
from chemcheck.planning.fit_plot import fit_plot
from chemcheck.planning.turnbull import turnbull
from chemcheck.reports.charts import svg_in_page
from chemcheck.reports.charts.axis_ticks import Axis, date_marks
from chemcheck.reports.charts.calibration_chart import (
    SHARES,
    Calibration,
    calibration_chart,
    covered_shares,
)
from chemcheck.reports.charts.cost_chart import cost_chart
from chemcheck.reports.charts.crossings_chart import Crossing, crossings_chart
from chemcheck.reports.charts.history_chart import History, history_chart
from chemcheck.reports.charts.lifetime_chart import lifetime_chart

SVG = "{http://www.w3.org/2000/svg}"
USE = Axis("use [h]")


def history(lower, upper, **more) -> History:
    n = len(lower)
    known = {
        "quantity": "nitrite", "unit": "mg/L", "place": np.arange(float(n)),
        "lower": np.array(lower, float), "upper": np.array(upper, float), "reach": np.full(n, nan),
        "least": 300.0, "most": nan, "changes": np.empty(0),
    }  # fmt: skip
    return History(**known | more)


def points(svg: str) -> int:
    """Count the marks of exact readings; those of the axes are not clipped."""
    clipped = re.findall(r'<g clip-path="[^"]*">(.*?)</g>', svg)
    return sum(group.count("<use ") for group in clipped)


def test_an_exact_reading_is_a_point_and_a_non_detect_is_none():
    exact = svg_in_page(history_chart("a", "a", USE, history([900, 800, 700], [900, 800, 700])))
    unseen = svg_in_page(history_chart("a", "a", USE, history([900, 800, 0], [900, 800, 50])))
    assert points(exact) - points(unseen) == 1


def test_a_crossing_is_a_band_in_the_picture_and_in_words():
    plain = history([900, 800], [900, 800])
    crossing = history([900, 800], [900, 800], crossing=(3.0, 5.0, inf))
    drawn = svg_in_page(history_chart("a", "a", USE, crossing))
    assert "#a2c8ec" in drawn
    assert "#a2c8ec" not in svg_in_page(history_chart("a", "a", USE, plain))
    assert "10, 50 and 90 % by 3, 5 and later" in drawn


def test_readings_at_one_place_and_of_one_value_can_be_drawn():
    same = history([5.0, 5.0], [5.0, 5.0], place=np.zeros(2), least=nan, most=5.0)
    ET.fromstring(svg_in_page(history_chart("a", "a", USE, same)))


def test_crossings_name_units_bounds_and_what_is_beyond_now():
    rows = [
        Crossing("HT-07", "nitrite below 300 mg/L", nan, nan, nan, 5.0, 5.0, True),
        Crossing("<b>", "iron above 30 mg/L", 7.0, 9.0, inf, 6.0, 5.0, False),
    ]
    drawn = svg_in_page(crossings_chart("c", "c", USE, rows))
    root = ET.fromstring(drawn)
    assert {"HT-07", "<b>"} <= {node.text for node in root.iter(f"{SVG}text")}
    assert "HT-07 nitrite below 300 mg/L: beyond it now" in drawn
    assert "7 to later" in drawn


def test_least_cost_and_its_flat_range_are_said():
    # Example in the trade: beta 2.5, eta 6000 h, cost ratio 8 gives about 2350 h (computed).
    best = best_interval(Lifetime.stated("weibull", scale=6000, shape=2.5), 1, 8)
    drawn = svg_in_page(cost_chart("k", "k", best, "h"))
    found = re.search(r"at (\d+) h; at most 5 % more from (\d+) to (\d+) h", drawn)
    assert found is not None
    at, first, last = map(int, found.groups())
    assert first < 2350 < last
    assert at == pytest.approx(2350, rel=0.01)


def test_without_an_interval_the_reason_stands_beside_the_curve():
    best = best_interval(Lifetime.stated("exponential", 6000), 1, 8)
    assert "hazard does not rise" in svg_in_page(cost_chart("k", "k", best, "h"))


def test_bands_of_a_normal_forecast_that_is_right_hold_what_they_promise():
    error = np.random.default_rng(7).normal(size=20_000)
    assert covered_shares(error, np.ones(20_000)) == pytest.approx(SHARES, abs=0.015)
    wide = covered_shares(error, np.full(20_000, 2.0))
    assert (wide > SHARES).all()


def test_calibration_names_every_way_and_says_what_bands_held():
    error = np.random.default_rng(7).normal(size=50)
    ways = {name: covered_shares(error, np.ones(50)) for name in ("model", "last reading")}
    chart = calibration_chart("q", "q", Calibration(50, ways, {0.8: 0.76}))
    drawn = svg_in_page(chart)
    assert "the 80 % band held 76 %" in drawn
    assert {"model", "last reading"} <= {n.text for n in ET.fromstring(drawn).iter(f"{SVG}text")}


def test_a_lifetime_plot_draws_a_step_for_each_point():
    seen = [100, 200, 300, 400], [200, 300, 400, 500]
    life = fit_lifetime(*seen)
    chart = lifetime_chart("l", "l", fit_plot(life, turnbull(*seen)), life, "h")
    assert chart.description.startswith("4 steps of the estimate without a family")
    ET.fromstring(svg_in_page(chart))


@pytest.mark.parametrize("days", [0.5, 3, 20, 45, 200, 900, 5000, 40_000])
def test_marks_of_dates_are_few_and_within(days):
    places, names = date_marks(20_000.0, 20_000.0 + days)
    assert len(places) == len(names) <= 6
    assert all(20_000 <= place <= 20_000 + days for place in places)
    assert len(set(names)) == len(names)


def test_a_fitted_curve_is_a_line_in_a_band_and_in_words():
    place = np.linspace(0.0, 4.0, 5)
    middle = 900 - 100 * place
    trend = TrendCurve(place, middle, middle - 20, middle + 20)
    chart = history_chart("a", "a", USE, history([900, 800], [900, 800], trend=trend))
    drawn = svg_in_page(chart)
    assert "comes to 500 by 4, with a chance of 80 % to 480 to 520" in chart.description
    # The band has the corners of both its ends; nothing else is so pale.
    band = re.search(r'<path d="([^"]*)"[^>]*style="fill: #cfcfcf', drawn)
    assert band is not None
    assert band.group(1).count("L") >= 2 * place.size - 1
    plain = svg_in_page(history_chart("a", "a", USE, history([900, 800], [900, 800])))
    assert "#cfcfcf" not in plain
    assert "fitted" not in plain
