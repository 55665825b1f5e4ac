"""How dense a coolant may be, for results in mg/kg and in ppm."""

import numpy as np
import numpy.typing as npt

_Values = npt.NDArray[np.float64]

# Share of glycol [vol%] and density [kg/L]. Upper ends: inhibited ethylene glycol at 21 C,
# handbook table of heat-transfer fluids (ASHRAE) as a service manual quotes it. Lower ends:
# inhibited propylene glycol at 20 C (library: CoolProp 8.0.0, APG). Water at 20 C is 0.998.
_SHARE = np.array([0.0, 10, 20, 30, 40, 50, 60])
_DENSEST = np.array([1.000, 1.0141, 1.0305, 1.0460, 1.0604, 1.0740, 1.0870])
_LIGHTEST = np.array([0.998, 1.0081, 1.0190, 1.0283, 1.0362, 1.0429, 1.0482])
# What a coolant of which nobody states the glycol may hold (common practice, no source).
_USUAL_SHARE = (30.0, 60.0)


def coolant_density(lower: npt.ArrayLike, upper: npt.ArrayLike) -> tuple[_Values, _Values]:
    """Return between which densities coolants of a share of glycol lie.

    Parameters
    ----------
    lower, upper : array-like of float, shape (n,)
        The ends of each share of glycol [vol%]; NaN where unknown is 30 to 60.

    Returns
    -------
    lower, upper : ndarray of float64, shape (n,)
        From propylene glycol at the lower share to ethylene glycol at the upper, at
        20 C [kg/L]. Above 60 vol% the density of 60 is used: the difference is below
        3 % to pure glycol.

    Examples
    --------
    >>> low, high = coolant_density([50.0], [50.0])
    >>> low.item(), high.item()
    (1.0429, 1.074)
    """
    low, high = np.asarray(lower, dtype=float), np.asarray(upper, dtype=float)
    low = np.where(np.isnan(low), _USUAL_SHARE[0], low)
    high = np.where(np.isnan(high), _USUAL_SHARE[1], high)
    return np.interp(low, _SHARE, _LIGHTEST), np.interp(high, _SHARE, _DENSEST)
