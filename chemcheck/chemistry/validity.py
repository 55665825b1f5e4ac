"""What happens outside the published range of a formula: NaN, and a warning that says why."""

import warnings

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.errors import OutsideValidityWarning


def keep_valid(
    values: ArrayLike, valid: ArrayLike, missing: ArrayLike, formula: str, validity: str
) -> NDArray[np.float64]:
    """Keep the values inside a formula's range and turn the others to NaN, with one warning.

    Parameters
    ----------
    values : float or array-like
        Results of the formula.
    valid : bool or array-like
        Where the inputs lie inside the published range.
    missing : bool or array-like
        Where an input is missing (NaN): NaN follows without a warning.
    formula : str
        What was computed, as the warning shall call it.
    validity : str
        The range, as the warning shall say it.

    Returns
    -------
    numpy.ndarray
        The values, NaN outside the range or where an input is missing.

    Examples
    --------
    >>> keep_valid([1.0, 2.0], [True, True], [False, True], "an index", "0 to 90 deg C")
    array([ 1., nan])
    """
    outside = ~np.asarray(valid, dtype=bool) & ~np.asarray(missing, dtype=bool)
    count = int(np.count_nonzero(outside))
    if count:
        warnings.warn(
            f"{formula}: {count} of {outside.size} outside its range ({validity}): left empty",
            OutsideValidityWarning,
            stacklevel=3,
        )
    kept = np.where(np.asarray(valid, dtype=bool), np.asarray(values, dtype=np.float64), np.nan)
    return np.where(np.asarray(missing, dtype=bool), np.nan, kept)[()]
