"""Causes of all samples, found in the readings and what they are held against."""

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.causes.record import STRETCH, Causes
from chemcheck.chemistry.range_record import Range
from chemcheck.judging.plan import material_codes
from chemcheck.judging.uncertainty import precision_table
from chemcheck.readings.record import Readings
from chemcheck.readings.text_codes import text_codes


def find_causes(
    readings: Readings,
    log: pd.DataFrame | None = None,
    uncertainty: npt.NDArray[np.float32] | None = None,
    top_up_water: Mapping[str, Range] | None = None,
) -> Causes | None:
    """Make ready to say what went wrong in each sample of coolant.

    Parameters
    ----------
    readings : Readings
        All samples, of units over time where there are several.
    log : DataFrame, optional
        Events: a change begins a new fill.
    uncertainty : ndarray of float32, shape (n_samples, n_columns), optional
        Standard uncertainty of each reading [canonical unit]; by default that of the methods.
    top_up_water : mapping of str to Range, optional
        What the tap water holds that units are topped up with [canonical unit]; what is not
        stated is taken from waters among the samples.

    Returns
    -------
    Causes or None
        None where no sample is of coolant. Nothing is weighed yet.

    Notes
    -----
    Evidence is log10 of a likelihood ratio, with explicit and bounded weights from
    ``limits/causes``; it adds up over the features of a cause. Every move is read after the
    one factor by which water alone changed the sample was taken out. A reading's own
    interval and its method's uncertainty count once: what laboratory, method and unit share
    with the reference moves both together.
    """
    _, names = text_codes(readings.samples["material"])
    if "coolant" not in names:
        return None
    if uncertainty is None:
        uncertainty = _of_methods(readings)
    return Causes(readings, log, uncertainty, top_up_water)


def _of_methods(readings: Readings) -> npt.NDArray[np.float32]:
    """Return the standard uncertainty of each reading by its method."""
    table = precision_table(readings.method.names, readings.columns)
    material = material_codes(readings)
    n, m = readings.lower.shape
    answer = np.empty((n, m), dtype=np.float32, order="F")
    # A stretch at a time, so that what is between does not leave the processor's cache.
    for start in range(0, n, STRETCH):
        rows = slice(start, start + STRETCH)
        for j in range(m):
            low, high = readings.lower[rows, j], readings.upper[rows, j]
            row = table.row(readings.method.codes[rows, j], material[rows])
            value = np.where(np.isfinite(high), high, low)
            # Mostly one laboratory reads a column by one method.
            which = int(row[0]) if (row == row[0]).all() else row
            answer[rows, j] = table.standard_uncertainty(value, j, which)
    return answer
