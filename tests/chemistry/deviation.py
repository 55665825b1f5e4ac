"""How far the figures of a set of waters are from a reference's, as shares of what is allowed."""

import numpy as np

from chemcheck.chemistry.carbonate import heat, speciate_totals
from chemcheck.chemistry.precipitation import precipitation_potential
from chemcheck.chemistry.saturation import SCALE_SOLIDS, saturation_index
from chemcheck.chemistry.tableau import FULL, Tableau
from chemcheck.chemistry.waters import Totals

# Allowed: saturation indices 0.01 to 25 deg C, 0.02 to 90; pH after heating 0.005; precipitation
# potential 1 mg/kg or 1 %.
INDEX_TOLERANCE = {10.0: 0.01, 25.0: 0.01, 60.0: 0.02, 90.0: 0.02}
PH_TOLERANCE = 0.005
POTENTIAL_TOLERANCE = (1.0, 0.01)


def worst_shares(
    totals: Totals,
    ph: np.ndarray,
    answers: dict[float, dict[str, np.ndarray]],
    tableau: Tableau = FULL,
) -> dict[str, float]:
    """Return the worst deviation of every figure, by figure and temperature, over its allowance."""
    sampled = speciate_totals(totals, ph, 25.0, tableau)
    worst = {}
    for temperature, expected in answers.items():
        at = heat(sampled, temperature, tableau)
        for solid in SCALE_SOLIDS:
            off = np.abs(saturation_index(at, solid) - expected[solid])
            worst[f"{solid} {temperature:g}"] = float(off.max() / INDEX_TOLERANCE[temperature])
        off = np.abs(at.ph - expected["ph"])
        worst[f"ph {temperature:g}"] = float(off.max() / PH_TOLERANCE)
        off = np.abs(precipitation_potential(at, tableau).potential - expected["ccpp"])
        most, share = POTENTIAL_TOLERANCE
        allowed = np.maximum(most, share * np.abs(expected["ccpp"]))
        worst[f"potential {temperature:g}"] = float((off / allowed).max())
    return worst
