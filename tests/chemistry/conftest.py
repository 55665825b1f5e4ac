"""Waters with answers of PHREEQC, as committed in tests/published."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest

from chemcheck.chemistry.waters import Totals
from tests.reference.phreeqc import AMOUNTS, ANSWERS, FIGURES, TEMPERATURES


@dataclass(frozen=True)
class ComparedWaters:
    """Inputs of invented waters and the answers of the reference library for them."""

    kinds: list[str]
    ph: np.ndarray
    totals: Totals
    answers: dict[float, dict[str, np.ndarray]]


@pytest.fixture(scope="session")
def compared() -> ComparedWaters:
    """Return the waters of tests/published, answered by phreeqpython 1.6.2 (phreeqc.dat)."""
    table = pd.read_csv(ANSWERS)
    inputs = table[table["temperature"] == TEMPERATURES[0]]
    amounts = {name: inputs[f"input_{name}"].to_numpy() * 1e-3 for name in AMOUNTS}
    return ComparedWaters(
        kinds=inputs["kind"].tolist(),
        ph=inputs["input_ph"].to_numpy(),
        totals=Totals(
            **amounts,
            alkalinity=inputs["input_alkalinity"].to_numpy() * 1e-3,
            carbonate=np.full(len(inputs), np.nan),
            silica=np.zeros(len(inputs)),
        ),
        answers={
            temperature: {
                figure: table.loc[table["temperature"] == temperature, figure].to_numpy()
                for figure in FIGURES
            }
            for temperature in TEMPERATURES
        },
    )
