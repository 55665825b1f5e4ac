"""Every constant against the line of the database that the reference library ships."""

import re
from pathlib import Path

import numpy as np
import pytest

from chemcheck.chemistry import constants
from chemcheck.chemistry.constants import LogK, from_enthalpy, log_k

pytestmark = pytest.mark.reference

phreeqpython = pytest.importorskip(
    "phreeqpython",
    reason="phreeqpython is not installed: run in an environment with the extra 'reference'",
)

# Our constant, the line of its reaction in phreeqc.dat, and how much may lie between them.
LINES: dict[str, tuple[LogK, str, float]] = {
    "bicarbonate": (constants.BICARBONATE, "CO3-2 + H+ = HCO3-", 1e-9),
    "carbon dioxide": (constants.CARBON_DIOXIDE, "CO3-2 + 2 H+ = CO2 + H2O", 1e-9),
    "carbon dioxide gas": (constants.CARBON_DIOXIDE_GAS, "CO2 = CO2", 4e-4),
    "water": (constants.WATER, "H2O = OH- + H+", 1e-9),
    "bisulfate": (constants.BISULFATE, "SO4-2 + H+ = HSO4-", 1e-9),
    "silicate": (constants.SILICATE, "H4SiO4 = H3SiO4- + H+", 1e-9),
    "CaOH+": (constants.ION_PAIRS["CaOH+"], "Ca+2 + H2O = CaOH+ + H+", 1e-9),
    "MgOH+": (constants.ION_PAIRS["MgOH+"], "Mg+2 + H2O = MgOH+ + H+", 1e-3),
    "CaHCO3+": (constants.ION_PAIRS["CaHCO3+"], "Ca+2 + CO3-2 + H+ = CaHCO3+", 3e-4),
    "MgHCO3+": (constants.ION_PAIRS["MgHCO3+"], "Mg+2 + H+ + CO3-2 = MgHCO3+", 1e-9),
    "CaCO3": (constants.ION_PAIRS["CaCO3"], "Ca+2 + CO3-2 = CaCO3", 1.7e-3),
    "MgCO3": (constants.ION_PAIRS["MgCO3"], "Mg+2 + CO3-2 = MgCO3", 1e-9),
    "NaCO3-": (constants.ION_PAIRS["NaCO3-"], "Na+ + CO3-2 = NaCO3-", 1e-3),
    "CaSO4": (constants.ION_PAIRS["CaSO4"], "Ca+2 + SO4-2 = CaSO4", 1e-3),
    "MgSO4": (constants.ION_PAIRS["MgSO4"], "Mg+2 + SO4-2 = MgSO4", 1e-3),
    "NaSO4-": (constants.ION_PAIRS["NaSO4-"], "Na+ + SO4-2 = NaSO4-", 1e-3),
    "KSO4-": (constants.ION_PAIRS["KSO4-"], "K+ + SO4-2 = KSO4-", 1e-9),
    "calcite": (constants.SOLIDS["calcite"], "Calcite", 1e-9),
    "aragonite": (constants.SOLIDS["aragonite"], "Aragonite", 1e-9),
    "gypsum": (constants.SOLIDS["gypsum"], "Gypsum", 1e-9),
    "anhydrite": (constants.SOLIDS["anhydrite"], "Anhydrite", 1e-9),
    "amorphous silica": (constants.SOLIDS["amorphous silica"], "SiO2(a)", 1e-9),
    "hydroxyapatite": (constants.SOLIDS["hydroxyapatite"], "Hydroxyapatite", 3e-3),
}


def database_constant(heading: str) -> LogK:
    """Read the constant under a line of phreeqc.dat: the expression, else van 't Hoff."""
    path = Path(phreeqpython.__file__).parent / "database" / "phreeqc.dat"
    lines = path.read_text(encoding="latin-1").splitlines()
    start = next(i for i, line in enumerate(lines) if line.split("#")[0].strip() == heading)
    found: dict[str, list[float]] = {}
    for line in lines[start + 1 : start + 8]:
        if line and not line[0].isspace():
            break
        match = re.match(r"\s+-?(log_k|delta_h|analytic)\w*\s+(.*)", line.split("#")[0])
        if match:
            numbers = [word for word in match[2].split() if word not in ("kcal", "kJ")]
            found.setdefault(match[1], [float(number) for number in numbers])
    if "analytic" in found:
        return LogK(heading, *found["analytic"])
    return from_enthalpy(heading, found["log_k"][0], found.get("delta_h", [0.0])[0], "database")


@pytest.mark.parametrize("name", sorted(LINES))
def test_constant(name: str) -> None:
    own, heading, allowed = LINES[name]
    temperatures = np.linspace(0.0, 130.0, 14)
    off = log_k(own, temperatures) - log_k(database_constant(heading), temperatures)
    assert np.abs(off).max() <= allowed
    assert bool(own.database) == (np.abs(off).max() > 1e-5)
