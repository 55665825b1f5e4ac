"""Slips put into a thousand clean rows: how many are found, how many clean rows are asked about."""

from collections import Counter

import numpy as np
import pytest

from chemcheck.errors import LimitFileError
from chemcheck.fills import number_fills
from chemcheck.fills.history_checks import check_histories
from chemcheck.fills.own_history import own_history
from chemcheck.fills.slip_factors import read_slip_library, slip_library
from chemcheck.fills.unit_slips import slip_questions, unit_slips
from tests.fills.injected_slips import inject
from tests.fills.invented_fleet import clean_fleet
from tests.readings.build import readings_of


@pytest.mark.parametrize(("units", "each"), [(80, 10), (200, 4)])
def test_nine_in_ten_slips_are_found_and_few_clean_rows_asked_about(units, each):
    there, found = Counter(), Counter()
    clean = asked = 0
    for seed in (7, 8):
        fleet = clean_fleet(seed, units=units, each=each)
        slipped = inject(fleet, 100 + seed)
        readings = fleet.readings()
        questions = check_histories(readings).questions
        rows = set((questions["row"].dropna().astype(int) - 2).tolist())
        there.update(slipped.values())
        found.update(kind for row, kind in slipped.items() if row in rows)
        clean += len(readings.samples) - len(slipped)
        asked += len(rows - set(slipped))
    assert len(there) == 21  # 15 factors, Fahrenheit, columns, cells, rows, two kinds of date
    assert found.total() >= 0.9 * there.total()
    assert asked <= 0.02 * clean


def test_a_clean_fleet_is_left_alone():
    fleet = clean_fleet(11)
    questions = check_histories(fleet.readings()).questions
    assert questions["row"].nunique() <= 0.02 * len(fleet.samples)


def history(values, analyte="nitrite", **more):
    """One unit's readings, a month apart."""
    n = len(values)
    dates = [f"2031-{month:02}-05" for month in range(1, n + 1)]
    samples = {"unit_id": "A", "technology": "hybrid", "taken_on": dates}
    lower = np.array(values, dtype=float)[:, None]
    return readings_of(samples | more, [analyte], lower)


def asked(readings):
    found = own_history(readings, number_fills(readings.samples))
    return slip_questions(readings, found, unit_slips(readings, found))


STEADY = [1200, 1190, 1210, 1185, 1195, 1205, 1180, 1190]


@pytest.mark.parametrize(
    ("factor", "says"),
    [
        (10, "10 times as much: a decimal point in the wrong place?"),
        (0.001, "1/1000 times as much: µg for mg"),
        (1 / 3.2844, "1/3.284 times as much: nitrogen for nitrite?"),
        (1.4997, "1.5 times as much: sodium nitrite for nitrite?"),
    ],
)
def test_what_is_asked(factor, says):
    values = np.array(STEADY, dtype=float)
    values[4] *= factor
    questions = asked(history(values))
    assert questions["row"].tolist() == [6]
    assert "by the unit's own history" in questions["question"][0]
    assert says in questions["question"][0]


def test_only_factors_that_make_sense():
    values = np.array(STEADY, dtype=float)
    values[4] *= 17.848  # degrees of hardness mean nothing for nitrite
    assert not len(asked(history(values)))


def test_a_step_that_stays_is_no_slip():
    assert not len(asked(history([1200, 1190, 1210, 1205, 1800, 1790, 1810, 1795])))


def test_fahrenheit_for_celsius():
    values = [-25.0, -25.3, -24.8, -13.1, -25.2, -24.9, -25.1]  # -25 C is -13 F
    [question] = asked(history(values, "freezing_point"))["question"]
    assert (
        question == "about -25.05 deg C by the unit's own history; degrees Fahrenheit for Celsius?"
    )


def test_a_changed_coolant_is_no_slip():
    # Everything moves at once, nitrite by what sodium nitrite would do.
    columns = ["nitrite", "chloride", "sodium", "boron", "azoles", "glycolate"]
    rows = np.tile([1200.0, 10.0, 3000.0, 400.0, 600.0, 500.0], (8, 1))
    rows *= 1 + 0.01 * np.random.default_rng(5).standard_normal(rows.shape)
    rows[7] = [1800.0, 4.0, 4300.0, 590.0, 300.0, 40.0]
    readings = history([1.0] * 8)
    whole = readings_of(readings.samples.to_dict("list"), columns, rows)
    assert not len(asked(whole))


def test_a_new_unit_is_held_against_its_technology():
    rows, samples = [], {"unit_id": [], "technology": "hybrid", "taken_on": []}
    for unit in range(8):
        for month in (1, 2):
            samples["unit_id"].append(f"U{unit}")
            samples["taken_on"].append(f"2031-{month:02}-03")
            rows.append([400 + 8 * unit + month])
    samples["unit_id"].append("new")
    samples["taken_on"].append("2031-03-03")
    rows.append([43.0])
    [question] = asked(readings_of(samples, ["boron"], rows))["question"]
    assert question.startswith("about 425.5 mg/L by others of its technology; 1/10 times")


def test_every_factor_says_what_was_misread():
    for slips in slip_library().factors.values():
        for slip in slips:
            assert slip.factor > 1
            assert slip.says


def test_factors_are_those_of_chemistry():
    # NIST/IUPAC 2021 atomic weights, worked by hand: N 14.007, O 15.999, Na 22.990, Si 28.085,
    # P 30.974, Mo 95.95, Ca 40.078, Mg 24.305, C 12.011, H 1.008.
    n, o, ca = 14.007, 15.999, 40.078
    caco3 = ca + 12.011 + 3 * o
    expected = {
        "nitrite": {(n + 2 * o) / n, (22.990 + n + 2 * o) / (n + 2 * o)},
        "nitrate": {(n + 3 * o) / n},
        "silicon": {(28.085 + 2 * o) / 28.085},
        "phosphate": {(30.974 + 4 * o) / 30.974},
        "molybdenum": {(95.95 + 4 * o) / 95.95},
        "calcium": {caco3 / ca},
        "magnesium": {caco3 / 24.305},
        "bicarbonate": {2 * (1.008 + 12.011 + 3 * o) / caco3},
        # 10 mg CaO a litre; a grain in a US gallon (definitions).
        "total_hardness": {10 * caco3 / (ca + o), 64.79891 / 3.785411784},
    }
    for analyte, factors in expected.items():
        known = {slip.factor for slip in slip_library().factors[analyte]}
        for factor in factors:
            assert min(abs(k / factor - 1) for k in known) < 2e-4, (analyte, factor)


def test_a_factor_below_one_is_refused(tmp_path):
    file = tmp_path / "slips.yaml"
    file.write_text(
        'version: "1"\nvalues: {}\namounts: [iron]\nfahrenheit: [freezing_point]\n'
        "factors:\n  - {factor: 0.1, of: amounts, says: a tenth}\n",
        encoding="utf-8",
    )
    with pytest.raises(LimitFileError, match=r"expected a factor above 1, found 0\.1"):
        read_slip_library(file)
