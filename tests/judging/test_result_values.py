"""The numbers behind single results."""

import numpy as np
import pytest

from chemcheck.judging import probability_outside, result_values
from chemcheck.limit_library.records import Comparison
from tests.builders import bound, limit, limit_set, readings
from tests.judging.conftest import SetPrecision
from tests.judging.judged import by_one
from tests.judging.test_rules import rule

SET = limit_set(limit("chloride", bound("upper", 40.0)), limit("glycol", bound("lower", 33.0)))


def places(*pairs: tuple[int, int]) -> tuple[np.ndarray, np.ndarray]:
    rows, quantities = np.array(pairs).T
    return rows, quantities


def test_reading_uncertainty_and_bound(precision: SetPrecision) -> None:
    precision(absolute=2.0)
    judged = by_one(readings({"chloride": [38.0, (0.0, 10.0)], "glycol": [30.0, None]}), SET)
    values = result_values(judged, *places((0, 0), (1, 0), (0, 1), (1, 1)))
    assert values.lower.tolist() == pytest.approx([38, 0, 30, np.nan], nan_ok=True)
    assert values.upper.tolist() == pytest.approx([38, 10, 30, np.nan], nan_ok=True)
    assert values.u.tolist() == pytest.approx([2, 2, 2, np.nan], nan_ok=True)
    assert values.bound.tolist() == pytest.approx([40, 40, 33, np.nan], nan_ok=True)


# Areas under the normal curve from the table of any textbook (memory): beyond 1 standard
# deviation 0.1587, beyond 1.5 0.0668, beyond 2 0.0228.
def test_probability_over_the_interval_of_a_reading(precision: SetPrecision) -> None:
    precision(absolute=2.0)
    read = readings(
        {"chloride": [38.0, (36.0, 43.0), (36.0, np.inf)], "glycol": [30.0, 36.0, 33.0]}
    )
    judged = by_one(read, SET)
    least, greatest = probability_outside(
        judged, *places((0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (2, 1))
    )
    assert least == pytest.approx([0.1587, 0.0228, 0.0228, 0.9332, 0.0668, 0.5], abs=5e-5)
    assert greatest == pytest.approx([0.1587, 0.9332, 1.0, 0.9332, 0.0668, 0.5], abs=5e-5)


def test_without_uncertainty_the_probability_is_a_step(precision: SetPrecision) -> None:
    judged = by_one(readings({"chloride": [39.0, 40.0, 41.0, (39.0, 41.0)]}), SET)
    least, greatest = probability_outside(judged, np.arange(4), np.zeros(4, dtype=int))
    assert least.tolist() == [0, 0, 1, 0]
    assert greatest.tolist() == [0, 0, 1, 1]


def test_a_result_without_a_bound_has_no_probability(precision: SetPrecision) -> None:
    judged = by_one(readings({"sodium": [5.0]}), SET)
    least, greatest = probability_outside(judged, *places((0, 0)))
    assert np.isnan(least).all()
    assert np.isnan(greatest).all()


def test_the_value_of_a_rule(precision: SetPrecision) -> None:
    total = Comparison("sum", (("chloride", 1.0), ("sulfate", 2.0)), "upper", 200.0)
    read = readings({"chloride": [100.0, 100.0], "sulfate": [(10.0, 20.0), None]})
    judged = by_one(read, limit_set(rules=[rule(total)]))
    values = result_values(judged, *places((0, 2), (1, 2)))
    assert values.lower.tolist() == pytest.approx([120, np.nan], nan_ok=True)
    assert values.upper.tolist() == pytest.approx([140, np.nan], nan_ok=True)
    assert values.bound.tolist() == [200, 200]
    ratio = Comparison("ratio", (("chloride", 1.0), ("sulfate", 1.0)), "upper", 8.0)
    judged = by_one(read, limit_set(rules=[rule(ratio)]))
    values = result_values(judged, *places((0, 2)))
    assert (values.lower[0], values.upper[0]) == (5.0, 10.0)
