"""What blanks raise, and how much of a spike is found."""

import numpy as np
import pytest

from chemcheck.judging.blanks import raise_by_blanks
from chemcheck.judging.spikes import spike_recoveries
from tests.readings.build import coded, readings_of


def batch(found, kinds, analyte="nitrite", upper=None, **more):
    lower = np.array(found, dtype=float)[:, None]
    upper = lower if upper is None else np.array(upper, dtype=float)[:, None]
    n = len(found)
    coding = {name: more.pop(name) for name in ("laboratory", "method") if name in more}
    samples = {
        "sample_id": [f"R{k}" for k in range(n)], "sample_type": kinds, "material": "water",
        "taken_on": "2031-05-01",
    }  # fmt: skip
    return readings_of(samples | more, [analyte], lower, upper, **coding)


def test_a_reading_below_its_blank_may_be_nothing():
    levels = raise_by_blanks(batch([2.0, 1.5, 3.0], ["blank", "routine", "routine"]))
    assert levels.readings.lower[:, 0].tolist() == [2.0, 0.0, 3.0]
    assert levels.readings.upper[:, 0].tolist() == [2.0, 2.0, 3.0]
    assert levels.questions[["row", "column", "text"]].values.tolist() == [[2, "nitrite", "2"]]
    [line] = levels.assumptions
    assert line.startswith("nitrite: 1 readings no higher than the blank")


def test_a_blank_within_the_detection_limit_is_clean():
    kinds = ["blank", "routine", "routine"]
    clean = batch([2.0, 1.5, 0.0], kinds, upper=[2.0, 1.5, 2.5])  # the laboratory writes <2.5
    levels = raise_by_blanks(clean)
    assert levels.readings.lower is clean.lower
    assert not len(levels.questions)
    # Chloride by the library's laboratory method has a limit of 8 mg/L.
    named = batch(
        [5.0, 4.0], ["blank", "routine"], "chloride", method=coded(["laboratory"], [0, 0], 1)
    )
    assert not len(raise_by_blanks(named).questions)


def test_a_blank_stands_for_its_day_and_laboratory():
    readings = batch(
        [2.0, 1.0, 1.0, 1.0],
        ["blank", "routine", "routine", "routine"],
        taken_on=["2031-05-01", "2031-05-01", "2031-05-02", "2031-05-01"],
        laboratory=coded(["Alpha", "Beta"], [0, 0, 0, 1], 1),
    )
    assert raise_by_blanks(readings).readings.upper[:, 0].tolist() == [2.0, 2.0, 1.0, 1.0]


def test_the_ph_of_a_blank_says_nothing():
    levels = raise_by_blanks(batch([6.9, 6.8], ["blank", "routine"], "ph"))
    assert levels.readings.lower[:, 0].tolist() == [6.9, 6.8]


def test_no_blank_is_nothing():
    assert raise_by_blanks(batch([1.0], ["routine"])) is None


def spiked(first, spike, added, **more):
    samples = {
        "sample_id": ["A", "A"], "sample_type": ["routine", "spike"], "material": "water",
        "Nitrite added (mg/L)": [None, added],
    }  # fmt: skip
    return spike_recoveries(readings_of(samples | more, ["nitrite"], [[first], [spike]]))


def test_recovery():
    found = spiked(20.0, 69.0, "50")
    assert found.recovery.tolist() == pytest.approx(np.array([[0.98, 0.98]]))
    assert not len(found.questions)
    assert found.problems == ()


def test_a_poor_recovery_is_asked_about():
    asked = spiked(20.0, 51.0, "50").questions
    assert asked["question"][0].startswith("62 % of what was added is found, usual is 80% to 120%")


def test_a_small_addition_says_nothing():
    assert "repeat with more" in spiked(400.0, 401.0, "50").questions["question"][0]


def test_an_addition_in_another_form():
    samples = {
        "sample_id": ["A", "A"], "sample_type": ["routine", "spike"], "material": "water",
        "NO2-N added (mg/L)": [None, "10"],
    }  # fmt: skip
    found = spike_recoveries(readings_of(samples, ["nitrite"], [[0.0], [32.844]]))
    assert found.recovery[0] == pytest.approx([1.0, 1.0], rel=1e-4)


def test_a_spike_that_says_too_little_is_one_line():
    assert "the addition is not stated" in str(spiked(20.0, 60.0, None).problems[0])
    alone = spiked(20.0, 60.0, "40", sample_id=["A", "B"])
    assert "a spike of which sample" in str(alone.problems[0])
