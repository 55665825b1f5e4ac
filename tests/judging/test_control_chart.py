"""Check standards: the chart against a published example, failures and what they bracket."""

import numpy as np
import pytest

from chemcheck.errors import NotEnoughDataError
from chemcheck.judging.bracketing import bracketed_cells
from chemcheck.judging.control_chart import FAILED, IN_CONTROL, TO_WATCH, check_standards
from chemcheck.judging.individuals_chart import individuals_chart
from tests.readings.build import coded, readings_of

# Flow rates of ten batches with their chart: centre 50.81, mean moving range 1.8778, limits
# 45.8159 and 55.8041. NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, individuals
# control charts, public domain (memory; the figures agree with each other).
FLOWRATE = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)


def test_the_chart_of_the_e_handbook():
    chart = individuals_chart(FLOWRATE)
    assert chart.centre == pytest.approx(50.81, abs=0.00005)
    assert chart.moving_range == pytest.approx(1.8778, abs=0.00005)
    assert (chart.lower, chart.upper) == pytest.approx((45.8159, 55.8041), abs=0.00006)
    assert not chart.outside.any()


def test_a_failure_does_not_hide_itself():
    values = [*FLOWRATE, 62.0, 50.0]
    plain, revised = individuals_chart(values), individuals_chart(values, revise=True)
    assert revised.outside.tolist() == [False] * 10 + [True, False]
    assert revised.upper < plain.upper
    assert revised.centre == pytest.approx(np.mean([*FLOWRATE, 50.0]))


def test_one_result_is_no_chart():
    with pytest.raises(NotEnoughDataError, match="needs two results at least, found 1"):
        individuals_chart([1.0])


def batch(found, certified=100.0, *, kinds=None, material="water", analyte="chloride", **more):
    """Standards and samples of one analyte in the order of their rows."""
    n = len(found)
    kinds = kinds or ["check standard"] * n
    stated = [str(certified) if k == "check standard" and certified else None for k in kinds]
    samples = {
        "sample_id": [f"R{k}" for k in range(n)], "sample_type": kinds, "material": material,
        f"Certified {analyte} (mg/L)": stated,
    }  # fmt: skip
    coding = {name: more.pop(name) for name in ("laboratory", "method") if name in more}
    return readings_of(samples | more, [analyte], np.array(found)[:, None], **coding)


def test_within_three_uncertainties_of_the_certified_value():
    # The library's uncertainty of chloride in water is 5 %: 3 times that is 15 %.
    standards = check_standards(batch([100, 114, 86, 116, 84]))
    assert standards.state.tolist() == [IN_CONTROL] * 3 + [FAILED] * 2


def test_elements_by_plasma_within_five_percent():
    # ASTM D6130: check standards within 5 %.
    standards = check_standards(batch([104, 106], material="coolant", analyte="silicon"))
    assert standards.state.tolist() == [IN_CONTROL, FAILED]


def test_an_interval_fails_only_as_a_whole():
    readings = batch([84, 84])
    readings = readings_of(
        readings.samples.to_dict("list"), ["chloride"], [[70.0], [70.0]], [[84.0], [90.0]]
    )
    assert check_standards(readings).state.tolist() == [FAILED, IN_CONTROL]


def test_a_laboratorys_own_chart_is_stricter():
    random = np.random.default_rng(2)
    good = 100 + 0.5 * random.standard_normal(14)
    standards = check_standards(batch([*good, 104.0, 108.0]))
    # 4 % off is within the method's uncertainty of 5 %, and to watch; 8 % is not.
    assert standards.state.tolist()[-2:] == [TO_WATCH, FAILED]
    assert set(standards.state.tolist()[:-2]) == {IN_CONTROL}


def test_few_results_have_no_chart():
    standards = check_standards(batch([100, 100.1, 99.9, 108]))
    assert np.isnan(standards.chart).all()
    assert standards.state.tolist() == [IN_CONTROL] * 4


def test_ph_is_compared_by_difference():
    readings = batch([7.0, 7.6], 7.0, analyte="ph")
    samples = readings.samples.rename(columns={"Certified ph (mg/L)": "pH certified"})
    readings = readings_of(samples.to_dict("list"), ["ph"], readings.lower)
    standards = check_standards(readings)
    assert standards.deviation[:, 0] == pytest.approx([0.0, 0.6])
    assert standards.state.tolist() == [IN_CONTROL, FAILED]


def test_a_standard_without_a_value_is_one_clear_line():
    standards = check_standards(batch([100.0, 99.0], None))
    assert [str(problem) for problem in standards.problems] == [
        f"a.csv, row {row}: 'R{row - 2}': a check standard without a certified value controls "
        "nothing: give it in a column 'certified chloride (mg/L)' or under 'standards:' of a "
        "columns file (--columns)"
        for row in (2, 3)
    ]
    assert not standards.row.size


def test_no_standard_is_nothing():
    assert check_standards(batch([100.0], kinds=["routine"])) is None


S, R = "check standard", "routine"


def flagged(readings) -> list[bool]:
    cells = bracketed_cells(readings, check_standards(readings))
    return [False] * len(readings.samples) if cells is None else cells[:, 0].tolist()


def test_bracketed_by_row():
    kinds = [S, R, R, S, R, R, S, R]
    found = [100, 50, 51, 130, 52, 53, 101, 54]
    assert flagged(batch(found, kinds=kinds)) == [
        False, True, True, False, True, True, False, False,
    ]  # fmt: skip
    found[3] = 103
    assert flagged(batch(found, kinds=kinds)) == [False] * 8


def test_the_ends_hang_on_one_standard():
    kinds = [R, S, R, S, R]
    assert flagged(batch([50, 130, 51, 100, 52], kinds=kinds)) == [True, False, True, False, False]
    assert flagged(batch([50, 100, 51, 130, 52], kinds=kinds)) == [False, False, True, False, True]


def test_standards_in_a_block_go_by_date():
    kinds = [S, S, S, R, R, R]
    dates = ["2031-01-01", "2031-02-01", "2031-03-01", "2031-01-20", "2031-02-20", "2031-03-20"]
    found = [100, 100, 130, 50, 51, 52]
    assert flagged(batch(found, kinds=kinds, taken_on=dates)) == [False] * 4 + [True, True]
    found = [130, 100, 100, 50, 51, 52]
    assert flagged(batch(found, kinds=kinds, taken_on=dates)) == [False] * 3 + [True, False, False]


def test_an_undated_sample_stands_next_to_every_failure():
    kinds = [S, S, R, R]
    dates = ["2031-01-01", "2031-02-01", None, "2031-02-03"]
    assert flagged(batch([130, 100, 50, 51], kinds=kinds, taken_on=dates)) == [
        False, False, True, False,
    ]  # fmt: skip


def test_only_the_same_laboratory_and_method():
    kinds = [S, R, R, R, S]
    readings = batch(
        [130, 50, 51, 52, 130],
        kinds=kinds,
        laboratory=coded(["Alpha", "Beta"], [0, 0, 1, 0, 0], 1),
        method=coded(["meter"], [-1, -1, -1, 0, -1], 1),
    )
    assert flagged(readings) == [False, True, False, False, False]


def test_only_the_same_analyte():
    readings = batch([130, 50, 130], kinds=[S, R, S])
    samples = readings.samples.to_dict("list") | {"Certified sulfate (mg/L)": ["100", None, "100"]}
    both = readings_of(samples, ["chloride", "sulfate"], [[130, 100], [50, 60], [130, 101]])
    cells = bracketed_cells(both, check_standards(both))
    assert cells.tolist() == [[False, False], [True, False], [False, False]]


def test_standards_of_another_file_go_by_date():
    kinds = [R, R, S, S]
    readings = batch(
        [50, 51, 100, 130], kinds=kinds, file=["a.csv", "a.csv", "qc.csv", "qc.csv"],
        taken_on=["2031-01-05", "2031-03-05", "2031-01-10", "2031-03-01"],
    )  # fmt: skip
    assert flagged(readings) == [False, True, False, False]
