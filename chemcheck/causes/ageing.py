"""What time alone makes of a reference."""

import numpy as np
import numpy.typing as npt

from chemcheck.limit_library.ageing import ageing

Singles = npt.NDArray[np.float32]


def grown_old(
    analyte: str, low: Singles, high: Singles, share: Singles | np.float32
) -> tuple[Singles, Singles]:
    """Return what time alone makes of a range in a share of a service life.

    Parameters
    ----------
    analyte : str
        Its key.
    low, high : ndarray of float32, shape (n,)
        The range [canonical unit].
    share : ndarray of float32, shape (n,), or float32
        Of a whole life.

    Examples
    --------
    >>> low, high = grown_old("nitrite", np.array([1000.0]), np.array([1000.0]), np.float32(0.5))
    >>> float(low[0]), float(high[0])
    (750.0, 1000.0)
    """
    known = ageing()
    least, most = low, high
    if analyte in known.keeps:
        least = low * (1 - np.float32(1 - known.keeps[analyte]) * share)
    if analyte in known.may_fall:
        least = low - np.float32(known.may_fall[analyte]) * share
    if analyte in known.may_gain:
        most = high + np.float32(known.may_gain[analyte]) * share
    if analyte in known.may_hold:
        most = np.maximum(high, high + (np.float32(known.may_hold[analyte]) - high) * share)
    return least, most
