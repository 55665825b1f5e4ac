"""Waters to compare, and what PHREEQC (phreeqpython, phreeqc.dat) answers for them.

All waters are invented. Amounts are in mmol/kg of water, alkalinity in meq/kg.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from phreeqpython import PhreeqPython, Solution

VERSION = "1.6.2"
DATABASE = "phreeqc.dat"
DATABASE_SHA256 = "6bb5ebc1d0ecca0e921c13a2241d05d3a3333b142d1d740b2ed03a786442bdf5"
ANSWERS = Path(__file__).parent.parent / "published" / f"water_phreeqpython_{VERSION}.csv"

SAMPLING_TEMPERATURE = 25.0
TEMPERATURES = (10.0, 25.0, 60.0, 90.0)
AMOUNTS = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate")
INPUTS = ("ph", "alkalinity", *AMOUNTS)
FIGURES = ("ph", "calcite", "aragonite", "gypsum", "anhydrite", "ccpp")
# Molar mass of CaCO3 of the database, for its own moles of calcite [g/mol].
CALCITE_MOLAR_MASS = 100.0911

# Kind of water: total charge (meq/kg), pH, shares of Ca, Mg, Na, K, shares of alkalinity, Cl, SO4.
KINDS = {
    "deionised": ((0.005, 0.1), (6.0, 7.5), (1, 1, 2, 0.3), (2, 1, 1)),
    "soft": ((0.3, 2.0), (6.3, 8.5), (2, 1, 2, 0.3), (3, 1, 1)),
    "hard": ((4.0, 15.0), (6.8, 8.2), (6, 2, 1, 0.2), (5, 1, 1)),
    "magnesium-rich": ((10.0, 120.0), (7.0, 9.2), (1, 8, 1, 0.2), (1, 2, 2)),
    "sodium bicarbonate": ((20.0, 120.0), (7.5, 9.4), (0.3, 0.3, 12, 0.3), (6, 1, 1)),
    "gypsum": ((15.0, 60.0), (6.8, 8.4), (8, 2, 1, 0.3), (1, 1, 8)),
    "potassium sulfate": ((20.0, 120.0), (6.8, 8.4), (2, 0.5, 1, 10), (1, 1, 8)),
    "brackish": ((60.0, 190.0), (7.0, 8.4), (1, 1, 8, 0.3), (0.3, 10, 1)),
    "lime-softened": ((2.0, 60.0), (8.8, 9.6), (6, 1, 1, 0.2), (0.4, 4, 1)),
}
EACH = 8
SEED = 20251


def generate() -> tuple[list[str], np.ndarray]:
    """Return the kind of every water and its inputs, shape (n, 8), columns `INPUTS`."""
    rng = np.random.default_rng(SEED)
    kinds, rows = [], []
    for kind, (charge, ph, cations, anions) in KINDS.items():
        for total in np.geomspace(*charge, EACH):
            share = rng.dirichlet(np.asarray(cations) * 2.0)
            calcium, magnesium, sodium, potassium = total * share
            # Charge balance within 5 %, as of a fair analysis.
            share = rng.dirichlet(np.asarray(anions) * 2.0)
            alkalinity, chloride, sulfate = total * rng.uniform(0.95, 1.05) * share
            at = rng.uniform(*ph)
            # Enough alkalinity for the hydroxide of an alkaline water.
            alkalinity = max(alkalinity, 4.0 * 10.0 ** (at - 11.0))
            amounts = (calcium / 2, magnesium / 2, sodium, potassium, chloride, sulfate / 2)
            rows.append([at, alkalinity, *amounts])
            kinds.append(kind)
    return kinds, np.round(np.array(rows), 7)


def engine() -> PhreeqPython:
    """Return PHREEQC with the database whose checksum is pinned."""
    import phreeqpython

    path = Path(phreeqpython.__file__).parent / "database" / DATABASE
    found = hashlib.sha256(path.read_bytes()).hexdigest()
    if found != DATABASE_SHA256:
        message = f"{DATABASE} is not the one the answers are for: sha256 {found}"
        raise RuntimeError(message)
    return phreeqpython.PhreeqPython(database=DATABASE)


def solution(phreeqc: PhreeqPython, water: np.ndarray) -> Solution:
    """Return one water as sampled."""
    ph, alkalinity, *amounts = water
    elements = zip(("Ca", "Mg", "Na", "K", "Cl", "S(6)"), amounts, strict=True)
    return phreeqc.add_solution(
        {
            "units": "mmol/kgw",
            "temp": SAMPLING_TEMPERATURE,
            "pH": ph,
            "Alkalinity": alkalinity,
            **dict(elements),
        }
    )


def answers(phreeqc: PhreeqPython, waters: np.ndarray) -> np.ndarray:
    """Return the figures of the waters, shape (waters, temperatures, figures).

    Closed heating from the sampling temperature; the precipitation potential brings calcite to
    saturation in either direction, positive where it precipitates [mg CaCO3 per kg of water].
    """
    found = np.empty((len(waters), len(TEMPERATURES), len(FIGURES)))
    for row, water in zip(found, waters, strict=True):
        sampled = solution(phreeqc, water)
        for figures, temperature in zip(row, TEMPERATURES, strict=True):
            at = sampled.copy()
            at.change_temperature(temperature)
            figures[0] = at.pH
            for place, phase in enumerate(("Calcite", "Aragonite", "Gypsum", "Anhydrite")):
                figures[1 + place] = at.si(phase)
            before = at.total_element("Ca")
            at.equalize(["Calcite"], [0.0], [10.0])
            figures[5] = (before - at.total_element("Ca")) * CALCITE_MOLAR_MASS
            at.forget()
        sampled.forget()
    return found
