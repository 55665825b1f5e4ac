"""How long a unit ran between its last top-up and a sample."""

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.fills.event_order import as_number, events_before
from chemcheck.fills.fill_numbers import Fills

ADDED = ("top-up", "dose")


def hours_since_top_up(
    samples: pd.DataFrame, fills: Fills, events: pd.DataFrame | None
) -> npt.NDArray[np.float64] | None:
    """Return the hours each unit had run since the last logged top-up or dose.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``hours`` and ``sample_type``.
    fills : Fills
        Of the same samples.
    events : DataFrame or None
        The log, with ``unit_id``, ``hours`` and ``event``.

    Returns
    -------
    ndarray of float64, shape (n_samples,), or None
        [h]; NaN where no top-up with a meter reading comes before the sample; None where
        none is logged. A date alone does not say how long the unit ran.

    Examples
    --------
    >>> from chemcheck.fills.fill_numbers import number_fills
    >>> samples = pd.DataFrame({
    ...     "unit_id": ["A", "A"], "taken_on": pd.NaT, "hours": [100.0, 205.0],
    ...     "distance": np.nan, "sample_type": "routine",
    ... })
    >>> log = pd.DataFrame({
    ...     "unit_id": ["A"], "date": pd.NaT, "hours": [204.0], "distance": [np.nan],
    ...     "event": ["top-up"],
    ... })
    >>> hours_since_top_up(samples, number_fills(samples), log)
    array([nan,  1.])
    """
    if events is None:
        return None
    unit = fills.unit_ids.get_indexer(pd.Index(events["unit_id"]))
    hours = as_number(events["hours"])
    added = np.flatnonzero(events["event"].isin(ADDED).to_numpy() & (unit >= 0) & ~np.isnan(hours))
    if not added.size:
        return None
    _, last = events_before(samples, fills.unit, events.iloc[added], unit[added], keys=("hours",))
    since = as_number(samples["hours"]) - np.append(hours[added], np.nan)[last]
    return np.asarray(np.where(last >= 0, since, np.nan))
