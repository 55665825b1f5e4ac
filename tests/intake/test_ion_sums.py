"""Ions whose unit the sums beside them prove."""

import numpy as np
import pytest

from chemcheck.chemistry.ions import IONS, alkalinity_equivalents, equivalents
from chemcheck.intake.read import read_results

HEAD = "Sample No,Ca,Mg,Na,Alk,Cl,SO4,{},{}\n"
# In meq/L; the sums are plain sums.
ROWS = [(4.0, 2.0, 1.0, 5.0, 1.2, 0.7), (3.0, 1.0, 0.5, 3.5, 0.6, 0.4), (2.0, 1.5, 2.5, 4.0, 1, 1)]


def table(cations="Cation sum", anions="Anion sum", factor=1.0) -> str:
    lines = [
        ",".join([f"W{k}", *(f"{x * factor:g}" for x in (*row, sum(row[:3]), sum(row[3:])))])
        for k, row in enumerate(ROWS)
    ]
    return HEAD.format(cations, anions) + "\n".join(lines) + "\n"


def test_plain_sums_prove_equivalents(read_text_of):
    readings = read_text_of(table())
    # One meq is half a mole of calcium, 20.039 mg, and 50.043 mg of alkalinity as CaCO3
    # (IUPAC abridged atomic weights 2021).
    np.testing.assert_allclose(readings.lower[:, 0], 20.039 * np.array([4, 3, 2]), rtol=1e-4)
    alkalinity = readings.lower[:, readings.position("total_alkalinity")]
    np.testing.assert_allclose(alkalinity, 50.043 * np.array([5, 3.5, 4]), rtol=1e-4)
    said = readings.assumptions.set_index("assumption")["column"]
    line = "no unit stated: in meq/L, because their plain sums are Cation sum and Anion sum"
    assert said[line] == "Ca, Mg, Na, Alk, Cl, SO4"


@pytest.mark.parametrize("unit", ["ueq/L", "µeq/L"])
def test_unit_of_the_sum_is_the_ions_(read_text_of, unit):
    readings = read_text_of(table(f"Cation sum ({unit})", f"Anion sum ({unit})", 1000.0))
    np.testing.assert_allclose(readings.lower[:, 0], 20.039 * np.array([4, 3, 2]), rtol=1e-4)


def test_sums_of_something_else_prove_nothing(read_text_of):
    text = table().replace("4,2,1,", "80.2,24.3,23,").replace("3,1,0.5,", "60,12,11.5,")
    text = text.replace("2,1.5,2.5,", "40,18.2,57.5,")
    readings = read_text_of(text)
    assert readings.lower[0, 0] == 80.2  # mg/L: the sum is in meq/L, and is no plain sum
    titled = read_text_of(table().replace("Ca,Mg", "Ca (mg/L),Mg (mg/L)"))
    assert titled.lower[0, 0] == 4.0  # the title's own word comes first


def test_answers_of_the_open_file(open_data):
    """USGS smwrData IonBalance: cation sum, anion sum and 100 (C - A)/(C + A) are printed."""
    readings = read_results(open_data / "water" / "IonBalance.csv")
    assert len(readings.rejected) == 0
    cations, anions = np.zeros(22), np.zeros(22)
    for key in ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "fluoride"):
        ion = IONS[key]
        values = np.nan_to_num(readings.lower[:, readings.position(key)])
        charge = equivalents(values, ion.molar_mass, ion.charge)
        if ion.charge > 0:
            cations += charge
        else:
            anions += charge
    alkalinity = readings.lower[:, readings.position("total_alkalinity")]
    assert np.flatnonzero(np.isnan(alkalinity)).tolist() == [0]  # the row that seems so far off
    anions += np.nan_to_num(alkalinity_equivalents(alkalinity))
    free = readings.samples  # nitrate with nitrite has no analyte
    anions += free["NO2NO3"].astype(float).fillna(0).to_numpy()
    cations += free["H_ion"].astype(float).fillna(0).to_numpy()
    stated = free[["Cation_sum", "Anion_sum", "Pct_Diff"]].astype(float).to_numpy()
    # The file's columns are rounded to 0.001 meq/L, and up to ten are added.
    np.testing.assert_allclose(cations, stated[:, 0], atol=0.006)
    np.testing.assert_allclose(anions, stated[:, 1], atol=0.006)
    balance = 100 * (cations - anions) / (cations + anions)
    np.testing.assert_allclose(balance, stated[:, 2], atol=0.15)
