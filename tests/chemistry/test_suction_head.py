"""Suction head and cavitation number, worked by hand."""

import numpy as np
import pytest

from chemcheck.chemistry.suction_head import (
    cavitation_number,
    suction_head,
    tip_speed,
    vapour_pressure_left,
)


def test_ten_metres_of_water_are_one_atmosphere():
    # 101.325 kPa over 998.2 kg/m3 and 9.80665 m/s2, by definition of the metre of water: 10.35.
    assert suction_head(101.325, 0.0, 998.2) == pytest.approx(10.351, abs=0.001)


def test_boiling_at_the_inlet_leaves_less_than_nothing():
    assert suction_head(80.0, 84.6, 962.0) < 0.0


def test_tip_speed_is_the_rim_of_a_wheel():
    # A wheel of 1 m that turns once a second.
    assert tip_speed(1.0, 60.0) == pytest.approx(np.pi)


def test_cavitation_number_is_pressure_over_dynamic_pressure():
    # 50 kPa above the vapour pressure, 1000 kg/m3 at 10 m/s: dynamic pressure 50 kPa.
    assert cavitation_number(60.0, 10.0, 1000.0, 10.0) == pytest.approx(1.0)


def test_vapour_pressure_left_undoes_the_suction_head():
    head = suction_head([150.0, 90.0], [60.0, 70.0], 1020.0)
    assert vapour_pressure_left([150.0, 90.0], head, 1020.0) == pytest.approx([60.0, 70.0])
