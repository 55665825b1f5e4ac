"""Molar masses and form factors against published constants."""

import pytest

from chemcheck.analytes import analyte, molar_mass, to_canonical
from chemcheck.errors import UnitError

# Ratios computed from the IUPAC abridged atomic weights 2021 (Pure Appl. Chem. 94 (2022) 573)
# apart from this code; each column rounded to the digits shown.
RATIOS = [
    ("nitrate", "N", 4.4266, 0.22590),
    ("nitrite", "N", 3.2844, 0.30447),
    ("phosphate", "P", 3.0661, 0.32614),
    ("sulfate", "S", 2.9961, 0.33376),
    ("ammonium", "N", 1.2879, 0.77648),
    ("silicon", "SiO2", 0.46744, 2.1393),
    ("nitrite", "NaNO2", 0.66679, 1.4997),
    ("molybdenum", "MoO4", 0.59989, 1.6670),
    ("molybdenum", "Na2MoO4.2H2O", 0.39656, 2.5217),
    ("chloride", "NaCl", 0.60661, 1.6485),
    ("boron", "Na2B4O7.5H2O", 0.14844, 6.7365),
    ("total_hardness", "Ca", 2.4973, 0.40043),
    ("magnesium_hardness", "Mg", 4.1179, 0.24284),
    ("calcium_hardness", "Ca", 2.4973, 0.40043),
    ("total_alkalinity", "HCO3", 0.82016, 1.21927),
]


@pytest.mark.parametrize(("key", "form", "factor", "inverse"), RATIOS)
def test_form_factors(key: str, form: str, factor: float, inverse: float) -> None:
    found = analyte(key).forms[form]
    assert found == pytest.approx(factor, abs=10.0 ** -(5 if factor < 1 else 4))
    assert 1 / found == pytest.approx(inverse, abs=10.0 ** -(5 if inverse < 1 else 4))


def test_pentoxide_holds_two_phosphates() -> None:
    forms = analyte("phosphate").forms
    assert forms["P"] / forms["P2O5"] == pytest.approx(2.2913, abs=5e-5)
    assert forms["P2O5"] / forms["P"] == pytest.approx(0.43643, abs=5e-6)


@pytest.mark.parametrize(
    ("formula", "mass"),
    # CRC Handbook of Chemistry and Physics, physical constants of inorganic compounds
    # (memory; rounded to 0.01).
    [
        ("CaCO3", 100.09),
        ("NaCl", 58.44),
        ("Na2SO4", 142.04),
        ("NaHCO3", 84.01),
        ("Na2B4O7.10H2O", 381.37),
        ("KMnO4", 158.03),
        ("C7H7N3", 133.15),
    ],
)
def test_molar_masses(formula: str, mass: float) -> None:
    assert molar_mass(formula) == pytest.approx(mass, abs=0.01)


@pytest.mark.parametrize(
    ("formula", "match"),
    [("caco3", "is no formula"), ("", "is no formula"), ("Xy2", "'Xy' is no element")],
)
def test_what_is_no_formula(formula: str, match: str) -> None:
    with pytest.raises(UnitError, match=match):
        molar_mass(formula)


@pytest.mark.parametrize(
    ("key", "unit", "value", "canonical"),
    [
        ("total_hardness", "gpg", 1, 17.1181),
        ("total_hardness", "Clark", 1, 14.2538),
        ("total_hardness", "dH", 1, 17.8480),
        ("total_hardness", "fH", 1, 10.0),
        ("total_hardness", "mmol/L", 1, 100.086),
        ("total_hardness", "meq/L", 1, 50.043),
        ("total_alkalinity", "meq/L", 1, 50.043),
        ("total_alkalinity", "mmol/L", 1, 50.043),  # of acid (memory: ISO 9963-1)
        # A maker's marine manual: 5 kg of sodium nitrite in a cubic metre.
        ("nitrite", "kg/m3 NaNO2", 5, 3334.0),
        # Worked examples of reserve alkalinity: 13.3 meq/L are 1.3 units.
        ("reserve_alkalinity", "meq/L", 13.3, 1.33),
        ("cap_rating", "psi", 15, 103.42),
        ("fan_tip_play", "in", 0.25, 6.35),
        ("freezing_point", "°F", -34, -36.67),
        ("conductivity", "mS/cm", 3, 3000),
        # The same limit of drinking water: 2500 uS/cm at 20 C and 2790 at 25 C (memory).
        ("conductivity", "µS/cm at 20 °C", 2500, 2790),
        ("calcium", "mg/L as CaCO3", 100, 40.04),
    ],
)
def test_units_of_analytes(key: str, unit: str, value: float, canonical: float) -> None:
    assert to_canonical(key, unit)(value) == pytest.approx(canonical, rel=2e-4)


def test_corrosive_water_of_astm_d1384_from_its_salts() -> None:
    # ASTM D1384: 148 mg/L Na2SO4, 165 mg/L NaCl, 138 mg/L NaHCO3 make about 100 mg/L each of
    # sulfate, chloride and bicarbonate (memory for the recipe).
    sodium = analyte("sodium").molar_mass
    moles = {
        "sulfate": 148 / molar_mass("Na2SO4"),
        "chloride": 165 / molar_mass("NaCl"),
        "bicarbonate": 138 / molar_mass("NaHCO3"),
    }
    for key, amount in moles.items():
        assert amount * analyte(key).molar_mass == pytest.approx(100, abs=0.3)
    total = 2 * moles["sulfate"] + moles["chloride"] + moles["bicarbonate"]
    assert total * sodium == pytest.approx(150.6, abs=0.05)
    alkalinity = to_canonical("total_alkalinity", "mmol/L")(moles["bicarbonate"])
    assert alkalinity == pytest.approx(82.2, abs=0.05)
