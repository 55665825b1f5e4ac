"""How dense a coolant may be, for results in mg/kg and in ppm."""

import numpy as np
import numpy.typing as npt

from chemcheck.limit_library.coolant_density import density_range

_Values = npt.NDArray[np.float64]


def coolant_density(lower: npt.ArrayLike, upper: npt.ArrayLike) -> tuple[_Values, _Values]:
    """Return between which densities coolants of a share of glycol lie.

    Parameters
    ----------
    lower, upper : array-like of float, shape (n,)
        The ends of each share of glycol [vol%]; NaN where unknown is what is usual, 30 to 60.

    Returns
    -------
    lower, upper : ndarray of float64, shape (n,)
        From propylene glycol at the lower share to ethylene glycol at the upper, at
        20 C [kg/L]. Above 60 vol% the density of 60 is used: the difference is below
        3 % to pure glycol.

    Notes
    -----
    The table, with its sources, is ``limits/properties/coolant_density.yaml``.

    Examples
    --------
    >>> low, high = coolant_density([50.0], [50.0])
    >>> low.item(), high.item()
    (1.0429, 1.074)
    """
    table = density_range()
    low, high = np.asarray(lower, dtype=float), np.asarray(upper, dtype=float)
    low = np.where(np.isnan(low), table.usual_share.lower, low)
    high = np.where(np.isnan(high), table.usual_share.upper, high)
    return (
        np.interp(low, table.percent, table.lightest.values),
        np.interp(high, table.percent, table.heaviest.values),
    )
