"""What other readings of a water say of one that is missing."""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.dissolved_solids import conductivity_from_dissolved_solids
from chemcheck.chemistry.ions import IONS, alkalinity_equivalents, equivalents

Floats = npt.NDArray[np.float64]
# An analyte's readings in the rows in question; NaN where there is none.
Ends = Callable[[str], tuple[Floats, Floats]]

# Least conductivity of a milliequivalent of salt per litre [uS/cm at 25 C]: sodium
# bicarbonate conducts least of the common ones, 50.1 + 44.5 at infinite dilution (CRC
# Handbook, Ionic conductivity and diffusion at infinite dilution; memory) and some 3 % less
# at 1 meq/L. Beyond 5 meq/L ions hinder each other more, so that no more is counted.
LEAST_PER_EQUIVALENT = 90.0
_COUNTED_EQUIVALENTS = 5.0

_CATIONS = ("calcium", "magnesium", "sodium", "potassium")
_ANIONS = ("chloride", "sulfate", "nitrate")
IMPLY_CONDUCTIVITY = (
    *_CATIONS,
    *_ANIONS,
    "total_hardness",
    "total_alkalinity",
    "total_dissolved_solids",
)
"""Analytes whose readings bound the conductivity."""


def implied_conductivity(ends: Ends, n: int) -> tuple[Floats, Floats]:
    """Bound the conductivity of waters by their ions and dissolved solids.

    Parameters
    ----------
    ends : callable
        Takes an analyte; returns the lower and upper ends of its readings, shape (n,)
        [canonical unit], NaN where there is none.
    n : int
        How many waters.

    Returns
    -------
    lower, upper : ndarray of float64, shape (n,)
        [uS/cm at 25 C]; 0 and infinity where nothing is known.

    Notes
    -----
    Charges balance, so there are at least as many equivalents of salt as of the cations
    read, or of the anions read; hardness stands for calcium and magnesium. Each conducts at
    least as well as sodium bicarbonate. Dissolved solids are 0.5 to 0.9 times the
    conductivity.

    Examples
    --------
    Water of 100 mg/L hardness conducts far more than deionised water:

    >>> hard = {"total_hardness": (np.array([100.0]), np.array([100.0]))}
    >>> nothing = (np.array([np.nan]), np.array([np.nan]))
    >>> lower, upper = implied_conductivity(lambda key: hard.get(key, nothing), 1)
    >>> lower.round(), upper
    (array([180.]), array([inf]))
    """
    cations, anions = np.zeros(n), np.zeros(n)
    for keys, total in ((_CATIONS, cations), (_ANIONS, anions)):
        for key in keys:
            ion = IONS[key]
            total += _or_zero(equivalents(_at_least_zero(ends(key)[0]), ion.molar_mass, ion.charge))
    anions += _or_zero(alkalinity_equivalents(_at_least_zero(ends("total_alkalinity")[0])))
    hardness = _or_zero(alkalinity_equivalents(_at_least_zero(ends("total_hardness")[0])))
    salt = np.minimum(np.maximum(np.maximum(cations, hardness), anions), _COUNTED_EQUIVALENTS)
    solids = ends("total_dissolved_solids")
    from_solids, to_solids = conductivity_from_dissolved_solids(*solids)
    lower = np.fmax(LEAST_PER_EQUIVALENT * salt, from_solids)
    return lower, np.where(np.isnan(to_solids), np.inf, to_solids)


def _at_least_zero(values: Floats) -> Floats:
    return np.maximum(values, 0.0)


def _or_zero(values: Floats) -> Floats:
    return np.nan_to_num(values, nan=0.0)
