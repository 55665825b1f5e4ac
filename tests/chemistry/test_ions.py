"""Sums over ions against published analyses and the definition of each sum."""

import math
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from chemcheck.chemistry import ions


def d1384_water() -> dict[str, float]:
    """Return the ions of the ASTM D1384 corrosive water, from its salts.

    Recipe (memory, its arithmetic agrees): 148 mg/L Na2SO4, 165 mg/L NaCl, 138 mg/L NaHCO3.
    """
    mass = {key: ion.molar_mass for key, ion in ions.IONS.items()}
    sulfate_moles = 148.0 / (2 * mass["sodium"] + mass["sulfate"])
    chloride_moles = 165.0 / (mass["sodium"] + mass["chloride"])
    bicarbonate_moles = 138.0 / (mass["sodium"] + mass["bicarbonate"])
    return {
        "sodium": mass["sodium"] * (2 * sulfate_moles + chloride_moles + bicarbonate_moles),
        "sulfate": mass["sulfate"] * sulfate_moles,
        "chloride": mass["chloride"] * chloride_moles,
        "bicarbonate": mass["bicarbonate"] * bicarbonate_moles,
    }


def test_d1384_water_has_about_100_of_each_anion() -> None:
    """ASTM D1384: nominal 100 ppm each of SO4, Cl and HCO3 (recipe from memory)."""
    water = d1384_water()
    assert water["sulfate"] == pytest.approx(100.0, abs=0.5)
    assert water["chloride"] == pytest.approx(100.0, abs=0.5)
    assert water["bicarbonate"] == pytest.approx(100.0, abs=0.5)


def test_d1384_water_is_neutral() -> None:
    """Salts are neutral: any imbalance is an error of a molar mass or of a charge."""
    cations, anions = ions.charge_sums(d1384_water())
    assert ions.charge_balance_percent(cations, anions) == pytest.approx(0.0, abs=1e-9)


def test_milliequivalent_of_calcium_carbonate() -> None:
    """1 meq/L = 50.043 mg/L as CaCO3 (arithmetic of the IUPAC 2021 weights)."""
    assert pytest.approx(50.043, abs=5e-4) == ions.CALCIUM_CARBONATE_MOLAR_MASS / 2
    assert ions.alkalinity_equivalents(50.043) == pytest.approx(1.0, rel=1e-5)


@pytest.mark.parametrize(
    ("key", "meq_per_mg"),
    [
        # Hem, USGS Water-Supply Paper 2254, table 9: milliequivalents per litre of 1 mg/L.
        # Memory: the figures; they go back to older atomic weights, hence the tolerance.
        ("calcium", 0.04990),
        ("magnesium", 0.08229),
        ("sodium", 0.04350),
        ("potassium", 0.02558),
        ("chloride", 0.02821),
        ("sulfate", 0.02082),
        ("bicarbonate", 0.01639),
        ("carbonate", 0.03333),
        ("nitrate", 0.01613),
        ("fluoride", 0.05264),
        ("ammonium", 0.05544),
    ],
)
def test_equivalents_against_hem(key: str, meq_per_mg: float) -> None:
    ion = ions.IONS[key]
    assert ions.equivalents(1.0, ion.molar_mass, ion.charge) == pytest.approx(meq_per_mg, rel=5e-4)


def test_charge_balance_against_usgs_answers(open_data: Path) -> None:
    """USGS smwrData IonBalance: 22 analyses in meq/L with sums and percent difference printed."""
    table = pd.read_csv(open_data / "water" / "IonBalance.csv")
    # Row 1 has no alkalinity, and its printed answer leaves it out: so does the comparison.
    cations, anions = table["Cation_sum"].to_numpy(), table["Anion_sum"].to_numpy()
    computed = ions.charge_balance_percent(cations, anions)
    # Sums are printed to 0.001 meq/L, answers to 0.01 %.
    rounding = 100.0 * 0.001 / (cations + anions) + 0.005
    assert np.all(np.abs(computed - table["Pct_Diff"].to_numpy()) < rounding)
    assert len(table) == 22


def test_charge_sums_of_hem_analyses(open_data: Path) -> None:
    """Hem's published analyses balance: within 2 % of the sum where nothing is missing."""
    table = pd.read_csv(open_data / "water" / "MiscGW.csv")
    columns = ["Calcium", "Magnesium", "Sodium", "Potassium", "Bicarbonate", "Sulfate"]
    columns += ["Chloride", "Fluoride"]
    cations, anions = ions.charge_sums({name.lower(): table[name] for name in columns})
    assert np.all(np.abs(ions.charge_balance_percent(cations, anions)) < 2.0)


def test_missing_ion_is_not_zero() -> None:
    cations, anions = ions.charge_sums({"calcium": [40.0, math.nan], "chloride": [70.0, 70.0]})
    assert np.isnan(cations).tolist() == [False, True]
    assert np.isnan(anions).tolist() == [False, False]
    assert np.isnan(ions.ionic_strength({"calcium": math.nan}))


def test_alkalinity_beside_bicarbonate_is_refused() -> None:
    with pytest.raises(ValueError, match="alkalinity and bicarbonate or carbonate are the same"):
        ions.charge_sums({"bicarbonate": 61.0}, alkalinity=50.0)


def test_ionic_strength_of_seawater() -> None:
    """Standard seawater of salinity 35: ionic strength about 0.72 mol/kg (memory: textbooks).

    Concentrations in mg/kg solution (memory: reference composition); per kg water they are 3.6 %
    more.
    """
    water = {
        "sodium": 10784.0,
        "magnesium": 1284.0,
        "calcium": 412.0,
        "potassium": 399.0,
        "chloride": 19353.0,
        "sulfate": 2712.0,
        "bicarbonate": 126.0,
    }
    assert ions.ionic_strength(water) / (1 - 0.035) == pytest.approx(0.72, abs=0.01)


def test_same_numbers_from_float_list_and_series() -> None:
    one = ions.equivalents(40.0, 40.078, 2)
    assert ions.equivalents([40.0], 40.078, 2)[0] == one
    assert ions.equivalents(pd.Series([40.0]), 40.078, 2)[0] == one
