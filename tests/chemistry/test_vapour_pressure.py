"""Vapour pressures and boiling points against the standard, libraries and printed tables."""

import CoolProp.CoolProp as coolprop
import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry.glycol_tables import read_table
from chemcheck.chemistry.vapour_pressure import (
    boiling_point,
    glycol_mole_fraction,
    glycol_vapour_pressure,
    mixture_vapour_pressure,
    water_boiling_point,
    water_vapour_pressure,
)
from chemcheck.errors import OutsideValidityWarning
from chemcheck.limit_library.glycol_properties import glycol_properties

ETHYLENE = glycol_properties("ethylene_glycol")
PROPYLENE = glycol_properties("propylene_glycol")
KELVIN = 273.15


@pytest.mark.parametrize(
    ("kelvin", "kilopascal"),
    # IAPWS R7-97(2012), table 35.
    [(300.0, 3.53658941), (500.0, 2638.89776), (600.0, 12344.3146)],
)
def test_water_against_the_release(kelvin, kilopascal):
    assert water_vapour_pressure(kelvin - KELVIN) == pytest.approx(kilopascal, rel=1e-8)


@pytest.mark.parametrize(
    ("kilopascal", "kelvin"),
    # IAPWS R7-97(2012), table 36.
    [(100.0, 372.755919), (1000.0, 453.035632), (10000.0, 584.149488)],
)
def test_boiling_water_against_the_release(kilopascal, kelvin):
    assert water_boiling_point(kilopascal) + KELVIN == pytest.approx(kelvin, abs=1e-6)


def test_boiling_water_within_a_hundredth_of_iapws95():
    pressures = np.geomspace(20.0, 500.0, 60)
    library = [coolprop.PropsSI("T", "P", 1e3 * p, "Q", 0, "Water") - KELVIN for p in pressures]
    assert np.abs(water_boiling_point(pressures) - library).max() < 0.01


@pytest.mark.parametrize(
    ("glycol", "normal"),
    # Normal boiling points: CRC Handbook of Chemistry and Physics, memory.
    [(ETHYLENE, 197.3), (PROPYLENE, 187.6)],
)
def test_glycol_boils_where_the_handbook_says(glycol, normal):
    assert glycol_vapour_pressure(normal, glycol.pure) == pytest.approx(101.325, rel=0.02)


@pytest.mark.parametrize(
    ("temperature", "pressure"),
    # Jones and Tamplin 1952, Antoine coefficients 4.97012, 1914.951, -84.996 (bar, K; 323 to
    # 473 K), memory.
    [(t, 100.0 * 10 ** (4.97012 - 1914.951 / (t + KELVIN - 84.996))) for t in (80, 110, 150, 190)],
)
def test_ethylene_glycol_against_another_correlation(temperature, pressure):
    assert glycol_vapour_pressure(temperature, ETHYLENE.pure) == pytest.approx(pressure, rel=0.02)


@pytest.mark.parametrize(
    ("properties", "percent", "open_air", "gauge_110"),
    [
        # library: thermo 0.6.1, modified Raoult's law, at 101.325 and 211.64 kPa.
        (ETHYLENE, 0, 99.97, 122.01),
        (ETHYLENE, 30, 103.57, 126.07),
        (ETHYLENE, 50, 107.80, 130.85),
        (ETHYLENE, 60, 111.10, 134.55),
        (ETHYLENE, 70, 115.93, 139.98),
        (PROPYLENE, 30, 102.71, 125.09),
        (PROPYLENE, 50, 106.01, 128.80),
        (PROPYLENE, 60, 108.64, 131.74),
        (PROPYLENE, 70, 112.56, 136.12),
    ],
)
def test_mixtures_against_a_library(properties, percent, open_air, gauge_110):
    found = boiling_point([101.325, 211.64], percent, properties.pure)
    assert found == pytest.approx([open_air, gauge_110], abs=0.05)


def test_raoult_keeps_to_the_ethylene_glycol_table_at_its_own_pressure():
    # The table is at 100.7 kPa, in whole degrees Fahrenheit (library: egasp 0.1.9).
    [table] = ETHYLENE.of("boiling_rise")
    percent = table.percent[table.percent <= 60.0]
    table_boils = 100.0 + read_table(table, percent)
    raoult = boiling_point(100.7, percent, ETHYLENE.pure)
    assert np.abs(raoult - table_boils).max() < 1.5


def test_models_of_propylene_glycol_lie_apart():
    # library: thermo 0.6.1: Raoult 106.01, UNIFAC 103.26, UNIFAC-Dortmund 101.53 C at 50 vol%.
    rises = [float(read_table(table, 50.0)) for table in PROPYLENE.of("boiling_rise", "pure")]
    assert np.sort(99.97 + np.array(rises)) == pytest.approx([101.53, 103.26], abs=0.01)
    raoult = float(boiling_point(101.325, 50.0, PROPYLENE.pure))
    assert raoult - 99.97 - min(rises) == pytest.approx(4.5, abs=0.1)


def test_mole_fraction_against_a_count_of_moles():
    # 500 mL of glycol at 1.11339 kg/L and 500 mL of water at 0.99821 kg/L.
    glycol, water = 500 * 1.11339 / 62.07, 500 * 0.99821 / 18.015
    expected = glycol / (glycol + water)
    assert glycol_mole_fraction(50.0, ETHYLENE.pure) == pytest.approx(expected, rel=1e-12)


def test_boiling_point_is_where_the_vapour_pressure_meets_the_pressure():
    pressure = np.geomspace(20.0, 500.0, 7)[:, np.newaxis]
    percent = np.array([0.0, 20.0, 50.0, 80.0])
    boils = boiling_point(pressure, percent, PROPYLENE.pure)
    assert boils.shape == (7, 4)
    back = mixture_vapour_pressure(boils, percent, PROPYLENE.pure)
    assert np.abs(back / pressure - 1.0).max() < 1e-6


def test_number_array_and_series_agree_and_missing_stays_missing():
    column = pd.Series([101.325, np.nan, 204.3])
    found = boiling_point(column, 50.0, ETHYLENE.pure)
    assert np.isnan(found).tolist() == [False, True, False]
    assert found[0] == pytest.approx(boiling_point(101.325, 50.0, ETHYLENE.pure), abs=1e-6)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: water_vapour_pressure(-5.0), "vapour pressure of water"),
        (lambda: water_boiling_point(0.1), "boiling point of water"),
        (lambda: glycol_vapour_pressure(500.0, ETHYLENE.pure), "vapour pressure of ethylene"),
        (lambda: mixture_vapour_pressure(90.0, 120.0, ETHYLENE.pure), "ethylene glycol with water"),
        (lambda: boiling_point(1.0, 50.0, ETHYLENE.pure), "boiling point of ethylene glycol"),
    ],
)
def test_outside_the_range_is_empty_and_said(call, said):
    with pytest.warns(OutsideValidityWarning, match=said):
        assert np.isnan(call())


@given(
    st.floats(20.0, 500.0), st.floats(0.0, 200.0), st.floats(0.0, 90.0), st.floats(0.0, 5.0),
    st.sampled_from([ETHYLENE, PROPYLENE]),
)  # fmt: skip
def test_more_pressure_and_more_glycol_never_boil_sooner(pressure, more, percent, extra, glycol):
    base = boiling_point(pressure, percent, glycol.pure)
    assert boiling_point(pressure + more, percent, glycol.pure) >= base - 1e-6
    assert boiling_point(pressure, percent + extra, glycol.pure) >= base - 1e-6
