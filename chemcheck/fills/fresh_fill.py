"""Which sample shows how a fill was when it was fresh."""

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.fills.event_order import FRESH_SAMPLES
from chemcheck.fills.fill_numbers import Fills
from chemcheck.readings.sample_types import EXPECTED_FILL


def fresh_fill_rows(samples: pd.DataFrame, fills: Fills) -> npt.NDArray[np.int64]:
    """Find the fresh-fill reference of every sample.

    A fill's own fresh-fill sample comes first. Otherwise a fresh-fill sample that names no
    unit serves every fill of its technology. Where neither is given there is no reference,
    and a bound that is a fraction of the fresh fill is not judged. Of several the first
    by date counts, and one that was measured before one that was reckoned.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``sample_type``, ``technology`` and ``taken_on``.
    fills : Fills
        Of the same samples.

    Returns
    -------
    ndarray of int64, shape (n_samples,)
        Row of the reference, -1 where there is none. The reference itself is its own.

    Examples
    --------
    >>> from chemcheck.fills.fill_numbers import number_fills
    >>> samples = pd.DataFrame({
    ...     "unit_id": ["A", "A", "B"], "sample_type": ["fresh fill", "routine", "routine"],
    ...     "taken_on": pd.to_datetime(["2031-01-01", "2031-05-01", "2031-05-01"]),
    ...     "technology": "hybrid",
    ... })
    >>> fresh_fill_rows(samples, number_fills(samples))
    array([ 0,  0, -1])
    """
    answer = np.full(len(samples), -1, dtype=np.int64)
    is_fresh = samples["sample_type"].isin(FRESH_SAMPLES).to_numpy()
    if not is_fresh.any():
        return answer
    fresh = np.flatnonzero(is_fresh)
    # Latest first, so that the earliest is written last and stays; reckoned ones before all.
    taken_on = samples["taken_on"].iloc[fresh]
    fresh = fresh[np.argsort(taken_on.to_numpy(), kind="stable")[::-1]]
    measured = (samples["sample_type"].iloc[fresh] != EXPECTED_FILL).to_numpy()
    fresh = np.concatenate([fresh[~measured], fresh[measured]])
    technology = pd.factorize(samples["technology"])[0]
    by_technology = np.full(technology.max(initial=-1) + 2, -1, dtype=np.int64)
    for_all = fresh[(fills.unit[fresh] < 0) & (technology[fresh] >= 0)]
    by_technology[technology[for_all]] = for_all
    by_fill = np.full(fills.group.max(initial=-1) + 2, -1, dtype=np.int64)
    of_fill = fresh[fills.unit[fresh] >= 0]
    by_fill[fills.group[of_fill]] = of_fill
    answer = by_fill[fills.group]
    return np.asarray(np.where(answer >= 0, answer, by_technology[technology]))
