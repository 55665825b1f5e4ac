"""The decimal mark of a file, from everything in it."""

import math

import pytest

from chemcheck.intake.decimal_mark import decimal_evidence, read_number


# Common practice, no source; the last two comma cases are reported failures of other
# readers (readr issues 351 and 174): a lost decimal point, and 300,000 next to 11,18.
@pytest.mark.parametrize(
    ("texts", "mark"),
    [
        (["7,8"], ","),
        (["1.200,5"], ","),
        (["<0,5"], ","),
        (["0,500"], ","),
        (["1.200.000"], ","),
        (["100,5-250 mg/L"], ","),
        (["300,000", "11,18"], ","),
        (["235.780", "1,5"], ","),
        (["7.8"], "."),
        (["1,200.5"], "."),
        (["1,200,000"], "."),
        (["300,000", "7.8"], "."),
        (["12", "ND"], "."),
        (["300,000"], None),
        (["1.200"], None),
        (["7.8", "7,8"], None),
    ],
)
def test_the_whole_file_decides(texts, mark):
    assert decimal_evidence({"a": texts[:1], "b": texts[1:]}).mark == mark


def test_where_commas_separate_columns_a_point_is_the_decimal_mark():
    assert decimal_evidence({"SG": ["1.073"]}, ",").mark == "."
    assert decimal_evidence({"SG": ["1.073"]}, ";").mark is None
    assert decimal_evidence({"Cl": ["300,000"]}, ",").mark is None


def test_the_reason_names_a_number_and_its_column():
    assert decimal_evidence({"pH": ["7,8"]}).why == "decimal comma, as in '7,8' (pH)"
    assert "'300,000' (Cl)" in decimal_evidence({"Cl": ["300,000"]}).why


def test_remarks_decide_nothing():
    assert decimal_evidence({"note": ["added 7,8 L", "see 3,5"]}).mark == "."


def test_evidence_far_down_the_file_counts():
    assert decimal_evidence({"Cl": [*("300,000" for _ in range(3000)), "7,8"]}).mark == ","


@pytest.mark.parametrize(
    ("text", "undecided", "point", "comma"),
    [
        ("1.200,5", 1200.5, None, 1200.5),
        ("1,200.5", 1200.5, 1200.5, None),
        ("1 200,5", 1200.5, None, 1200.5),
        ("300,000", math.nan, 300000.0, 300.0),
        ("1.200", math.nan, 1.2, 1200.0),
        ("0,500", 0.5, None, 0.5),
        ("1,2E3", 1200.0, None, 1200.0),
        ("1,200E3", 1200.0, None, 1200.0),
        ("1.2.3", None, None, None),
        ("1,20,000", None, None, None),
        ("1 20", None, None, None),
    ],
)
def test_thousands_and_decimals(text, undecided, point, comma):
    read = [read_number(text, decimal) for decimal in (None, ".", ",")]
    assert read == pytest.approx([undecided, point, comma], nan_ok=True)
