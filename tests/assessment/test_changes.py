"""What changed between two samples: intervals subtracted, and only like with like."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.assessment.changes import FALLEN, NO_CHANGE, OTHER_METHOD, RISEN, changes
from chemcheck.assessment.check import check
from tests.builders import bound, limit, limit_set, readings

SET = limit_set(limit("chloride", bound("upper", 4000.0)), limit("iron", bound("upper", 400.0)))


def compared(cells, u=None, **more):
    judged = check(readings(cells, **more), [SET]).headline
    if u is not None:
        judged = replace(judged, uncertainty=np.full_like(judged.uncertainty, u))
    return changes(judged, 0, 1)


@pytest.mark.parametrize(("now", "found"), [(114.0, NO_CHANGE), (116.0, RISEN), (84.0, FALLEN)])
def test_the_reference_change_value_decides(now, found):
    # 1.96 sqrt(2) sqrt(2.1^2 + 5^2) = 15.0: formula of Harris and Yasaka 1983; memory.
    (one,) = compared({"chloride": [100.0, now]}, u=np.hypot(2.1, 5.0))
    assert one.found == found


def test_two_non_detects_show_no_change_whatever_their_limits():
    (one,) = compared({"iron": [(0.0, 5.0), (0.0, 0.5)]})
    assert one.found == NO_CHANGE
    assert one.lower <= -5.0 <= 0.0 <= 0.5 <= one.upper


def test_a_strip_is_not_subtracted_from_a_laboratory_result():
    read = readings({"chloride": [100.0, 900.0]}, method="strip")
    method = replace(
        read.method, codes=np.array([[0], [1]], dtype=np.int16), names=("strip", "laboratory")
    )
    judged = check(replace(read, method=method), [SET]).headline
    (one,) = changes(judged, 0, 1)
    assert one.found == OTHER_METHOD
    assert np.isnan(one.lower)


def test_what_ppm_means_does_not_widen_a_difference():
    cells = {"chloride": [(100.0, 107.0), (200.0, 214.0)]}
    (one,) = compared(cells, u=0.0, shared={"chloride": [1.07, 1.07]})
    assert (one.lower, one.upper) == pytest.approx((100.0, 100.0))


def test_what_rose_or_fell_comes_first_and_what_is_missing_is_left_out():
    found = compared({"iron": [5.0, 5.0], "chloride": [10.0, 900.0], "ph": [8.0, None]})
    assert [one.found for one in found] == [RISEN, NO_CHANGE]


@given(st.floats(0, 1e3), st.floats(0, 1e3), st.floats(0, 50))
def test_more_uncertainty_never_shows_more(before, now, u):
    (sure,) = compared({"chloride": [before, now]}, u=u)
    (less,) = compared({"chloride": [before, now]}, u=2 * u)
    assert less.found in (sure.found, NO_CHANGE)
