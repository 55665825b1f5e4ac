"""Reading property tables along a monotone curve, on invented tables."""

import numpy as np
import pytest

from chemcheck.chemistry.glycol_tables import PropertyTable, read_back, read_table


def invented(percent, values, **more):
    return PropertyTable(
        "freezing_point", "pure", np.array(percent), np.array(values), "deg C",
        "invented", "memory", **more,
    )  # fmt: skip


STRAIGHT = invented([0.0, 30.0, 60.0], [0.0, -15.0, -30.0])


def test_points_of_a_table_are_kept_and_nothing_is_carried_on():
    assert read_table(STRAIGHT, [0.0, 30.0, 60.0, 61.0, -1.0]) == pytest.approx(
        [0.0, -15.0, -30.0, np.nan, np.nan], nan_ok=True
    )


def test_between_points_the_curve_neither_overshoots_nor_turns():
    steps = invented([0.0, 10.0, 20.0, 30.0], [0.0, 0.0, -10.0, -10.0])
    found = read_table(steps, np.linspace(0.0, 30.0, 301))
    assert np.all(np.diff(found) <= 1e-12)
    assert found.min() >= -10.0


def test_a_table_that_turns_is_not_read_back():
    with pytest.raises(ValueError, match="does not only rise or only fall"):
        read_back(invented([0.0, 10.0, 20.0], [0.0, -5.0, -4.0]), -3.0)
