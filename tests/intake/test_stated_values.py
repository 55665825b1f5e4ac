"""Certified values and additions in free columns."""

import numpy as np
import pytest

from chemcheck.intake.headers import read_header
from chemcheck.intake.sample_facts import fact_dates, fact_numbers, fact_texts
from chemcheck.intake.stated_values import stated_values
from chemcheck.intake.word_lists import word_list
from chemcheck.readings.record import ReadingColumn
from tests.readings.build import readings_of, samples_of


def stated(columns, lower, kind="certified", **free):
    readings = readings_of({"material": "water"} | free, columns, lower)
    found = stated_values(readings, np.arange(len(lower)), kind)
    return dict(
        zip(zip(found.row.tolist(), found.column.tolist(), strict=True), found.value, strict=True)
    ), [str(problem) for problem in found.problems]


@pytest.mark.parametrize(
    ("title", "text", "value"),
    [
        ("Certified chloride (mg/L)", "100", 100.0),
        ("Cl, certified value [mg/L]", "0,5", 0.5),
        ("chloride true value", "100 mg/L", 100.0),
        ("Chloride nominal (meq/L)", "1", 35.45),
        ("Cl Sollwert mg/L", "100", 100.0),
        ("Certified value", "100", 100.0),
    ],
)
def test_titles_and_units(title, text, value):
    found, problems = stated(["chloride"], [[99.0]], **{title: [text]})
    assert found == {(0, 0): pytest.approx(value)}
    assert problems == []


def test_other_titles_state_nothing():
    for title in ("Chloride again", "Certificate number", "Shelf", "Certified by"):
        assert stated(["chloride"], [[99.0]], **{title: ["100"]}) == ({}, [])


def test_a_value_without_an_analyte_needs_a_single_reading():
    found, _ = stated(
        ["chloride", "ph"], [[99.0, np.nan], [98.0, 7.0]], **{"Certified": ["100", "7"]}
    )
    assert found == {(0, 0): 100.0}


def test_a_form_is_converted():
    found, _ = stated(["nitrite"], [[33.0]], **{"Certified NO2-N (mg/L)": ["10"]})
    assert found[0, 0] == pytest.approx(32.844, rel=1e-4)


def test_a_basis_is_kept_apart():
    columns = [ReadingColumn("iron", "dissolved"), ReadingColumn("iron", "digested")]
    found, _ = stated(columns, [[1.0, 2.0]], **{"Certified iron total (mg/L)": ["2"]})
    assert found == {(0, 1): 2.0}


@pytest.mark.parametrize("text", ["about 100", "<5", "100 furlongs"])
def test_what_cannot_be_read_is_one_line(text):
    found, [problem] = stated(["chloride"], [[99.0]], **{"Certified chloride": [text]})
    assert found == {}
    assert problem.startswith(f"a.csv, row 2, column 'Certified chloride': '{text}': ")


def test_facts_of_samples():
    samples = samples_of(
        3,
        {
            "Depot": ["North", None, "North"],
            "Hours since top-up (h)": ["1,5", "30 min", "soon"],
            "Received": ["2031-05-02", "28.05.2031", None],
        },
    )
    codes, texts = fact_texts(samples, "depot")
    assert (codes.tolist(), texts) == ([0, -1, 0], ("North",))
    assert fact_numbers(samples, "hours_since_top_up", "h").tolist()[:2] == [1.5, 0.5]
    assert np.isnan(fact_numbers(samples, "hours_since_top_up", "h")[2])
    assert fact_dates(samples, "received_on").astype("M8[D]").astype(str).tolist() == [
        "2031-05-02", "2031-05-28", "NaT",
    ]  # fmt: skip
    assert fact_texts(samples, "bulk_tank") is None
    assert fact_numbers(samples, "container", "h") is None


def test_no_title_of_a_fact_is_a_reading():
    for fact, names in word_list("sample_facts")["titles"].items():
        for name in (fact, *names):
            assert read_header(str(name)).analyte is None, name
