"""Which of the rinses must be of deionised water, so that the finished fill's water passes.

What stays inside after the last rinse becomes water of the finished fill. Its salts are those
of the rinses, not of the old fill's coolant, which is counted as residue.
"""

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.remedies.estimate import Column

_ROUNDING = 1e-9
# Beyond it the rinses never wash the tap water out.
_MOST = 1000


def water_phase(
    last_rinses: ArrayLike,
    tap: ArrayLike,
    deionised: ArrayLike,
    held: ArrayLike,
    added: ArrayLike,
    kept: ArrayLike,
) -> Column:
    """Concentration in the finished fill's water.

    Parameters
    ----------
    last_rinses : float or array-like
        How many of the last rinses are of deionised water.
    tap, deionised : float or array-like
        Of the two waters [any unit that mixes in proportion].
    held : float or array-like
        Rinse water that stays inside when the last rinse is drained [L].
    added : float or array-like
        Deionised water filled with the concentrate [L].
    kept : float or array-like
        Share that one rinse leaves of what was inside (`share_kept`) [1].

    Returns
    -------
    numpy.ndarray
        (H c_k + W d) / (H + W) with c_k = d + (T - d) f^k [as the waters]; NaN where there
        is no water.

    Examples
    --------
    >>> water_phase([0, 1], 310.0, 0.0, 4.0, 2.0, 1 / 3).round(0)
    array([207.,  69.])
    """
    pure = np.asarray(deionised, dtype=np.float64)
    count = np.asarray(last_rinses, dtype=np.float64)
    inside = pure + (np.asarray(tap, dtype=np.float64) - pure) * np.power(kept, count)
    volume, fresh = np.asarray(held, dtype=np.float64), np.asarray(added, dtype=np.float64)
    total = np.where(volume + fresh > 0.0, volume + fresh, np.nan)
    return np.asarray((volume * inside + fresh * pure) / total)[()]


def last_rinses_needed(
    tap: ArrayLike,
    deionised: ArrayLike,
    bound: ArrayLike,
    held: ArrayLike,
    added: ArrayLike,
    kept: ArrayLike,
) -> Column:
    """How many of the last rinses must be of deionised water to meet an upper bound.

    Parameters
    ----------
    tap, deionised, held, added, kept : float or array-like
        As for `water_phase`; the upper ends where they are intervals.
    bound : float or array-like
        The most that the finished fill's water may hold [as the waters].

    Returns
    -------
    numpy.ndarray
        Smallest whole number; NaN where no number will do.

    Examples
    --------
    >>> last_rinses_needed([310.0, 100.0], 2.0, 170.0, 4.0, 2.0, 1 / 3)
    array([1., 0.])
    """
    limit, pure = np.asarray(bound, dtype=np.float64), np.asarray(deionised, dtype=np.float64)
    first = water_phase(0.0, tap, deionised, held, added, kept)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (limit - pure) / (first - pure)
        count = np.ceil(np.log(share) / np.log(np.asarray(kept, dtype=np.float64)) - _ROUNDING)
    count = np.where(np.asarray(kept) <= _ROUNDING, 1.0, count)
    count = np.where(first <= limit, 0.0, count)
    possible = (first <= limit) | ((limit > pure) & (count <= _MOST))
    return np.where(possible & ~np.isnan(first), count, np.nan)[()]
