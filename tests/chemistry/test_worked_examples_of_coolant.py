"""Worked examples of boiling, suction, scale, acid, depletion and chloride: computed here.

Every expected number is marked `computed here` in the worked examples it is from. The same
examples are simulated step by step, without the code that is tested here, in
`test_worked_examples_simulated.py`.
"""

import numpy as np
import pytest

from chemcheck.chemistry.acid_load import (
    EQUIVALENT_MASS,
    acid_equivalents,
    ionised_fraction,
    reserve_alkalinity_used,
)
from chemcheck.chemistry.depletion import (
    dilution_corrected,
    first_order_rate,
    first_order_time,
    share_of_chemistry,
    zero_order_time,
)
from chemcheck.chemistry.scale_deposit import metal_temperature_rise, scale_mass, scale_thickness
from chemcheck.chemistry.standard_atmosphere import air_pressure
from chemcheck.chemistry.suction_head import cavitation_number, suction_head, tip_speed
from chemcheck.chemistry.top_up import (
    after_evaporation,
    after_leak,
    salt_of_chloride,
    seawater_of_chloride,
)
from chemcheck.chemistry.vapour_pressure import boiling_point, mixture_vapour_pressure
from chemcheck.limit_library.glycol_properties import glycol_properties

GLYCOL = glycol_properties("ethylene_glycol").pure


def density(percent, temperature):
    """Ideal mix of the liquids' own densities, as the worked examples took it."""
    # Pure ethylene glycol and water at 90 and 95 C [kg/m3] (library: chemicals 1.5.2, the
    # equation of Perry's Handbook; CoolProp 8.0.0).
    pure = {90.0: (1062.2, 965.4), 95.0: (1058.4, 961.9)}[temperature]
    return percent / 100 * pure[0] + (1 - percent / 100) * pure[1]


@pytest.mark.parametrize(
    ("percent", "altitude", "cap", "boils"),
    [(50, 0, 0, 107.8), (50, 2500, 0, 99.1), (50, 0, 103, 129.7), (50, 2500, 103, 125.1),
     (0, 2500, 0, 91.6)],
)  # fmt: skip
def test_8_boiling_point(percent, altitude, cap, boils):
    found = boiling_point(air_pressure(altitude) + cap, percent, GLYCOL)
    assert found == pytest.approx(boils, abs=0.06)


@pytest.mark.parametrize(
    ("percent", "altitude", "cap", "metres"),
    [(50, 0, 103, 12.1), (50, 2500, 103, 9.4), (50, 0, 0, 1.7), (50, 2500, 0, -1.0),
     (0, 0, 0, -0.35)],
)  # fmt: skip
def test_9_suction_margin(percent, altitude, cap, metres):
    vapour = mixture_vapour_pressure(95.0, percent, GLYCOL)
    inlet = air_pressure(altitude) + cap - 20.0
    found = suction_head(inlet, vapour, density(percent, 95.0))
    assert found == pytest.approx(metres, abs=0.06)


@pytest.mark.parametrize(("cap", "number"), [(103, 1.04), (0, 0.22)])
def test_10_cavitation_number(cap, number):
    speed = tip_speed(0.060, 5000.0)
    assert speed == pytest.approx(15.7, abs=0.05)
    vapour = mixture_vapour_pressure(90.0, 50.0, GLYCOL)
    inlet = air_pressure(0.0) + cap - 20.0
    found = cavitation_number(inlet, vapour, density(50.0, 90.0), speed)
    assert found == pytest.approx(number, abs=0.011)


def test_11_scale_of_a_year():
    assert scale_mass(300.0, 0.5 * 40.0) == pytest.approx(6.0)
    assert scale_mass(300.0, 26.0) == pytest.approx(7.8)
    thickness = scale_thickness(13.8, 500.0)
    assert thickness == pytest.approx(0.10, abs=0.003)
    assert metal_temperature_rise(200.0, thickness, [2.0, 1.0]) == pytest.approx([10, 20], abs=0.5)


def test_12_acids():
    glycolate, sulfate = acid_equivalents("glycolate", 1000.0), acid_equivalents("sulfate", 500.0)
    assert glycolate == pytest.approx(13.3, abs=0.05)
    assert reserve_alkalinity_used(glycolate) == pytest.approx(1.3, abs=0.05)
    assert sulfate == pytest.approx(10.4, abs=0.05)
    assert reserve_alkalinity_used(sulfate) == pytest.approx(1.0, abs=0.05)
    # 17 % of a buffer of pKa 4.8 is titrated at pH 5.5 (computed here).
    assert 1 - ionised_fraction(4.8, 5.5) == pytest.approx(0.17, abs=0.005)


def test_12_equivalent_masses_are_molar_mass_over_charge():
    # Standard atomic weights 2021, abridged (IUPAC).
    weight = {"C": 12.011, "H": 1.008, "O": 15.999, "S": 32.06, "N": 14.007}
    anions = {
        "glycolate": ("CCHHHOOO", 1), "formate": ("CHOO", 1), "acetate": ("CCHHHOO", 1),
        "lactate": ("CCCHHHHHOOO", 1), "oxalate": ("CCOOOO", 2), "sulfate": ("SOOOO", 2),
        "nitrate": ("NOOO", 1),
    }  # fmt: skip
    for anion, (atoms, charge) in anions.items():
        expected = sum(weight[atom] for atom in atoms) / charge
        assert EQUIVALENT_MASS[anion] == pytest.approx(expected, rel=2e-4)


def test_13_depletion():
    rate = first_order_rate(1200.0, 900.0, 1000.0)
    assert rate == pytest.approx(2.88e-4, rel=0.005)
    assert first_order_time(1200.0, 800.0, rate) == pytest.approx(1409, abs=1)
    assert zero_order_time(1200.0, 900.0, 1000.0, 800.0) == pytest.approx(1333, abs=1)
    corrected = dilution_corrected(900.0, 50.0, 45.0)
    assert corrected == pytest.approx(1000.0)
    assert first_order_rate(1200.0, corrected, 1000.0) == pytest.approx(1.82e-4, rel=0.005)
    assert share_of_chemistry(1200.0, 900.0, 50.0, 45.0) == pytest.approx(2 / 3)
    assert np.isnan(first_order_time(1200.0, 1300.0, rate))


def test_14_chloride_that_nothing_explains():
    by_evaporation = float(after_evaporation(0.0, 85.0, 1.0, 12.0, 2))
    assert by_evaporation == pytest.approx(14.2, abs=0.05)
    unexplained = 60.0 - 8.0 - by_evaporation
    assert unexplained == pytest.approx(37.8, abs=0.05)
    assert unexplained * 12.0 == pytest.approx(454, abs=1)
    assert seawater_of_chloride(unexplained, 12.0) == pytest.approx(23, abs=0.5)
    assert salt_of_chloride(unexplained, 12.0) == pytest.approx(0.75, abs=0.005)
    # By leak, by hand: 85 - 77 (11/12)^2 = 20.3 mg/L, so that 39.7 are not explained.
    left = 60.0 - float(after_leak(8.0, 85.0, 1.0, 12.0, 2))
    assert left == pytest.approx(39.7, abs=0.05)
    assert salt_of_chloride(left, 12.0) == pytest.approx(0.785, abs=0.005)
    assert seawater_of_chloride(left, 12.0) == pytest.approx(24.6, abs=0.5)


def test_15_ten_top_ups():
    assert after_evaporation(5.0, 85.0, 1.0, 12.0, 10) == pytest.approx(75.8, abs=0.05)
    assert after_leak(5.0, 85.0, 1.0, 12.0, 10) == pytest.approx(51.5, abs=0.05)
    assert after_leak(100.0, 0.0, 1.0, 12.0, 10) == pytest.approx(42.0, abs=0.5)
