"""Readings against bounds: intervals look like intervals, and nothing unseen is drawn as zero."""

import xml.etree.ElementTree as ET
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.reports.charts import picture, svg_in_page
from chemcheck.reports.charts.readings_chart import Row, readings_chart, scale_of

SVG = "{http://www.w3.org/2000/svg}"


def row(lower: float, upper: float, *, least: float = nan, most: float = nan, **more) -> Row:
    words = {
        "title": "iron",
        "reading": "r",
        "unit": "mg/L",
        "state": "inside",
        "reach": nan,
    } | more
    return Row(lower=lower, upper=upper, least=least, most=most, **words)


def shapes(one: Row) -> list[tuple[str, list[float]]]:
    """Return style and the places from left to right of the filled or hollow bars."""
    root = ET.fromstring(svg_in_page(readings_chart("x", "x", [one])))
    paths = {node.get("id"): node for node in root.iter(f"{SVG}path")}
    found = []
    for use in root.iter(f"{SVG}use"):
        path = paths[use.get("{http://www.w3.org/1999/xlink}href").removeprefix("#")]
        if "stroke-width: 1.3" in path.get("style", ""):
            numbers = path.get("d").replace("M", "").replace("L", "").replace("z", "").split()
            moved = float(use.get("x", "0"))
            places = sorted(float(x) + moved for x in numbers[::2])
            found.append((use.get("style") + path.get("style"), places))
    return found


def test_a_non_detect_is_a_hollow_bar_from_zero_to_its_limit():
    ((style, places),) = shapes(row(0.0, 10.0, most=20.0))
    assert "fill: #ffffff" in style
    half = shapes(row(0.0, 5.0, most=20.0))[0][1]
    # Twice the limit is twice the bar, whose open end stands at zero.
    assert places[0] == pytest.approx(half[0])
    assert places[-1] - places[0] == pytest.approx(2 * (half[-1] - half[0]), rel=1e-6)


def test_a_reading_between_two_pads_is_a_filled_bar_between_them():
    ((style, places),) = shapes(row(120.0, 250.0, most=170.0))
    assert "fill: #ffffff" not in style
    scale = scale_of(row(120.0, 250.0, most=170.0))
    width = (scale.place(250.0) - scale.place(120.0)) * (68.0 - 30.0) / 100 * 5.4 * 72
    assert places[-1] - places[0] == pytest.approx(width, rel=1e-3)


def test_a_reading_above_its_range_goes_on_to_the_end_of_the_scale():
    ((style, places),) = shapes(row(15.0, inf, most=20.0))
    assert "fill: #ffffff" in style
    assert places[-1] == pytest.approx(0.68 * 5.4 * 72, rel=1e-6)


def test_a_state_is_said_in_words_besides_its_colour():
    drawn = svg_in_page(readings_chart("x", "x", [row(30.0, 30.0, most=20.0, state="outside")]))
    assert "outside" in drawn.partition("<desc")[2].partition("</desc>")[2]


@given(
    st.floats(-1e6, 1e6), st.floats(0, 1e6), st.floats(-1e6, 1e6), st.floats(1e-6, 1e6),
    st.sampled_from(["least", "most", "both"]),
)  # fmt: skip
def test_bounds_always_stand_on_the_scale_in_their_order(lower, width, bound, apart, which):
    ends = {"least": (bound, nan), "most": (nan, bound), "both": (bound, bound + apart)}[which]
    scale = scale_of(row(lower, lower + width, least=ends[0], most=ends[1]))
    assert scale.span > 0
    places = [scale.place(end) for end in ends if end == end]
    assert all(0 < place < 1 for place in places)
    assert places == sorted(places)


def test_the_picture_grows_with_its_rows():
    one = [row(1.0, 2.0, most=3.0)]
    assert len(picture(readings_chart("x", "x", one * 3))) > len(
        picture(readings_chart("x", "x", one))
    )
