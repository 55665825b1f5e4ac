"""Amounts of all dissolved species, for those who want to see them: computed, never stored."""

import numpy as np
from numpy.typing import NDArray

from chemcheck.chemistry.activity import LN10, debye_huckel_terms
from chemcheck.chemistry.tableau import FREE_COUNT, FULL, Tableau
from chemcheck.chemistry.water_properties import debye_huckel_slopes
from chemcheck.chemistry.waters import Speciation, known_rows

_ABSENT = -1e3


def molalities(water: Speciation, tableau: Tableau = FULL) -> dict[str, NDArray[np.float64]]:
    """Amounts of all species of a speciation.

    Parameters
    ----------
    water : Speciation
        The speciation.
    tableau : Tableau
        The species it was made with.

    Returns
    -------
    dict of str to numpy.ndarray
        By formula with charge [mol/kg of water]. Chloride, which forms nothing, is left out.

    Examples
    --------
    >>> from chemcheck.chemistry.carbonate import speciate
    >>> moles = molalities(speciate(7.6, 120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0))
    >>> round(float(moles["CaSO4"] / (moles["Ca+2"] + moles["CaSO4"])), 3)
    0.038
    """
    shape = np.shape(water.ph)
    # What is absent has a logarithm of -inf, which a matrix product cannot carry.
    rows = np.maximum(known_rows(water).reshape(7, -1), _ABSENT)
    heat_now = rows[6]
    matrices = tableau.double
    columns = len(matrices.sizes) + 2
    known = np.empty((columns + 4, rows.shape[1]))
    slope_a, slope_b = debye_huckel_slopes(heat_now)
    debye_huckel_terms(rows[3], slope_a, slope_b, matrices.sizes, known[: columns - 1])
    known[columns - 1] = LN10 * rows[3]
    known[columns] = rows[4]
    known[columns + 1 :] = rows[:3]
    amounts = np.exp(matrices.weights @ known + tableau.log_constants(heat_now))
    logs = [LN10 * np.ravel(getattr(water, f"log_{p.partner}")) for p in tableau.partners]
    free = np.exp(np.array(logs) - matrices.partner_weights @ known[:columns])
    amounts[FREE_COUNT:] *= free[matrices.pair_partners]
    names = [s.name for s in (*tableau.species, *tableau.partners)]
    return {
        name: row.reshape(shape)[()]
        for name, row in zip(names, np.concatenate([amounts, free]), strict=True)
    }
