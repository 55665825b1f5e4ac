"""Cell texts, of the kinds met in laboratory files and hand-kept logs."""

import math

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.analytes import Analyte
from chemcheck.intake.cells import (
    AMBIGUOUS,
    NOT_DETECTED,
    OVER_RANGE,
    ordered_words,
    parse_cells,
)
from chemcheck.readings.record import BLANK, READ, REJECTED

INF = math.inf


def one(text, decimal=".", **settings):
    cells = parse_cells([text], decimal, **settings)
    unit = cells.units[cells.unit[0]] if cells.unit[0] >= 0 else None
    return cells.kind[0], cells.lower[0], cells.upper[0], unit


def problem(text, decimal=".", **settings):
    cells = parse_cells([text], decimal, **settings)
    assert cells.kind[0] in (REJECTED, AMBIGUOUS)
    return cells.problems[cells.problem[0]]


# Common practice in laboratory files and logs, no source.
@pytest.mark.parametrize(
    ("text", "lower", "upper", "unit"),
    [
        ("7.8", 7.8, 7.8, None),
        ("0", 0.0, 0.0, None),
        ("<0.5", 0.0, 0.5, None),
        ("< 0.5 mg/L", 0.0, 0.5, "mg/L"),
        ("≤ 5", 0.0, 5.0, None),
        ("≥5", 5.0, INF, None),
        (">3000", 3000.0, INF, None),
        ("> 2419.6", 2419.6, INF, None),
        ("3200+", 3200.0, INF, None),
        ("less than 5", 0.0, 5.0, None),
        ("100-250", 100.0, 250.0, None),
        ("100 \u2013 250 mg/L", 100.0, 250.0, "mg/L"),
        ("between 100 and 250", 100.0, 250.0, None),
        ("5 bis 7 mg/L", 5.0, 7.0, "mg/L"),
        ("-37--34", -37.0, -34.0, None),
        ("-34 to -37 F", -37.0, -34.0, "F"),
        ("5 ± 1", 4.0, 6.0, None),
        ("45 ppm", 45.0, 45.0, "ppm"),
        ("-34 F", -34.0, -34.0, "F"),
        ("\u221234\u00a0°F", -34.0, -34.0, "°F"),
        ("34 below", -34.0, -34.0, None),
        ("12 %", 12.0, 12.0, "%"),
        ("12%", 12.0, 12.0, "%"),
        ("1.2E3", 1200.0, 1200.0, None),
        ("1.2×10³", 1200.0, 1200.0, None),
        ("1.2 x 10^-3 mg/L", 0.0012, 0.0012, "mg/L"),
        ("１２", 12.0, 12.0, None),
        ("1\u2009200", 1200.0, 1200.0, None),
        ("1\u00a0200\u202f500", 1200500.0, 1200500.0, None),
        ("1'200.5", 1200.5, 1200.5, None),
        ("1,200.5", 1200.5, 1200.5, None),
        ('="0.5"', 0.5, 0.5, None),
        ("pH 7.2", 7.2, 7.2, "pH"),
        ("5 mg/L as CaCO3", 5.0, 5.0, "mg/L as CaCO3"),
        ("600.7061 mmHG", 600.7061, 600.7061, "mmHG"),
        ("ND (0.5)", 0.0, 0.5, None),
        ("ND<0.5", 0.0, 0.5, None),
        ("<0.5 ND", 0.0, 0.5, None),
        ("0.5 U", 0.0, 0.5, None),
    ],
)
def test_a_cell_is_an_interval(text, lower, upper, unit):
    assert one(text) == (READ, lower, upper, unit)


@pytest.mark.parametrize(
    "text", ["ND", "N.D.", "nd", "BDL", "LLD", "<LOQ", "< LOD", "trace", "T", "neg", "nil", "n.n."]
)
def test_a_non_detect_without_a_limit_is_neither_zero_nor_half_of_anything(text):
    kind, lower, upper, _ = one(text)
    assert kind == NOT_DETECTED
    assert np.isnan(lower)
    assert np.isnan(upper)


@pytest.mark.parametrize(
    "text", ["", " ", "-", "--", "\u2014", "n/a", "N/A", "#N/A", "NaN", "k.A.", None]
)
def test_words_for_nothing_are_blank(text):
    assert one(text)[0] == BLANK


@pytest.mark.parametrize("text", ["OVER", "over range", ">Range", "off scale"])
def test_over_range_without_a_number(text):
    assert one(text)[0] == OVER_RANGE


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("250-100", "runs backwards"),
        ("lots of it", "expected a number, a range"),
        ("purple", "a colour; write the value that the strips' own chart gives it"),
        ("OK", "an opinion and no reading"),
        ("hard", "a class whose bounds differ"),
        ("inf", "expected a number, a range"),
        ("1e999", "too large"),
        ("7½", "expected a number, a range"),
        ("5¹", "expected a number, a range"),
        ("12 15", "expected a number, a range"),
        ("1:2", "a ratio"),
        ("60/40", "expected one of the two numbers"),
        ("< -5", "below what is possible"),
        ("12.5 R", "rejected this result itself"),
        ('"', "ditto"),
        ("#DIV/0!", "spreadsheet formula"),
        ("1.200,5", "decimal mark of this file is '.'"),
        ("7,8", "decimal mark of this file is '.'"),
    ],
)
def test_what_cannot_be_read_says_why(text, expected):
    assert expected in problem(text)


def test_below_starts_at_the_least_possible_value():
    assert one("< -34", floor=-INF) == (READ, -INF, -34.0, None)


def test_a_mix_in_equal_parts_is_half_concentrate():
    assert one("50/50", mix=True) == (READ, 50.0, 50.0, "%")
    assert one("1:1", mix=True) == (READ, 50.0, 50.0, "%")
    assert "concentrate or water first" in problem("2:1", mix=True)


def test_a_slash_between_two_steps_is_a_range_and_a_question():
    cells = parse_cells(["7/8", "0.5", "12*", "12.3 J"])
    assert (cells.lower[0], cells.upper[0]) == (7.0, 8.0)
    questions = [cells.questions[code] if code >= 0 else None for code in cells.question]
    assert questions[0] == "read as a range, 7 to 8"
    assert questions[1] is None
    assert "footnote" in questions[2]
    assert "estimated" in questions[3]


# Half a unit of the last digit that is not a zero: significant figures, common practice.
@pytest.mark.parametrize(
    ("text", "lower", "upper"),
    [
        ("~1200", 1150, 1250),
        ("1200-ish", 1150, 1250),
        ("ca. 30", 25, 35),
        ("about 7.5", 7.45, 7.55),
    ],
)
def test_about_is_read_to_its_last_digit(text, lower, upper):
    kind, low, high, _ = one(text)
    assert kind == READ
    assert (low, high) == pytest.approx((lower, upper))


def test_the_decimal_comma():
    cells = parse_cells(["7,8", "< 0,5", "1.200,5", "300,000", "1.200", "45,5 ppm", "7.8"], ",")
    assert cells.lower[:6].tolist() == [7.8, 0.0, 1200.5, 300.0, 1200.0, 45.5]
    assert cells.kind[6] == REJECTED


def test_undecided_sets_only_those_cells_aside_that_depend_on_it():
    texts = ["300,000", "1.200", "<300,000", "7,8", "7.8", "0,500", "12345.678", "1,200,000", "12"]
    cells = parse_cells(texts, None)
    assert cells.kind.tolist() == [AMBIGUOUS] * 3 + [READ] * 6
    assert cells.lower[3:].tolist() == [7.8, 7.8, 0.5, 12345.678, 1200000.0, 12.0]
    assert "--decimal" in cells.problems[cells.problem[0]]


def test_one_odd_text_among_many_plain_numbers():
    cells = parse_cells(pa.array(["1.5", "2.5", "ND", None, " 3.5 "]))
    assert cells.kind.tolist() == [READ, READ, NOT_DETECTED, BLANK, READ]
    assert cells.lower[[0, 1, 4]].tolist() == [1.5, 2.5, 3.5]


@given(st.lists(st.floats(-1e9, 1e9, allow_nan=False), min_size=1), st.sampled_from([".", ","]))
def test_every_plain_number_is_read_to_the_last_digit(values, decimal):
    cells = parse_cells([repr(value).replace(".", decimal) for value in values], decimal)
    assert cells.lower.tolist() == values
    assert cells.upper.tolist() == values


@given(st.lists(st.text(max_size=12), max_size=8), st.sampled_from([".", ",", None]))
def test_any_text_is_read_or_accounted_for(texts, decimal):
    cells = parse_cells(texts, decimal)
    read = cells.kind == READ
    assert (cells.lower[read] <= cells.upper[read]).all()
    assert np.isnan(cells.lower[~read]).all()
    refused = (cells.kind == REJECTED) | (cells.kind == AMBIGUOUS)
    assert ((cells.problem >= 0) == refused).all()


@given(st.integers(1, 999), st.integers(0, 999), st.sampled_from(["", "<", ">", "~"]))
def test_spaced_thousands_read_as_without(thousands, rest, mark):
    spaced, closed = f"{mark}{thousands}\u202f{rest:03d}", f"{mark}{thousands}{rest:03d}"
    assert one(spaced) == one(closed)


def test_ordered_words_are_ranks():
    foam = Analyte(
        "foam", "foam", "rank", "rank", words=(("none", "nil"), ("slight",), ("heavy", "strong"))
    )
    cells = ordered_words(["None", "STRONG", "slight to heavy", "-", "3", "ND"], foam)
    assert cells.kind.tolist() == [READ, READ, READ, BLANK, REJECTED, READ]
    assert cells.lower[[0, 1, 2, 5]].tolist() == [0.0, 2.0, 1.0, 0.0]
    assert cells.upper[2] == 2.0
    assert cells.problems[cells.problem[4]] == "expected one of: none, slight, heavy"
