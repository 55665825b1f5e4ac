"""The results that are furthest beyond their bounds, among the latest of each unit."""

import numpy as np
import numpy.typing as npt

from chemcheck.judging import Judged, result_values
from chemcheck.judging.record import OUTSIDE
from chemcheck.reports.fleet_document import MarginLine
from chemcheck.reports.result_lines import result_lines
from chemcheck.reports.sample_findings import sample_name

TOLD = 20


def worst_margins(
    judged: Judged, rows: npt.NDArray[np.intp], told: int = TOLD
) -> tuple[MarginLine, ...]:
    """Return the results furthest beyond their action bounds, the worst first.

    Parameters
    ----------
    judged : Judged
        All samples.
    rows : ndarray of int
        Positions of those that count.
    told : int
        So many at most.

    Notes
    -----
    How far is a share of the bound, so that quantities can be ranked together; by the end of
    the reading that is nearer to its bound.
    """
    at, quantity = np.nonzero(judged.state[rows] == OUTSIDE)
    sample = rows[at]
    values = result_values(judged, sample, quantity)
    with np.errstate(invalid="ignore", divide="ignore"):
        above = (values.lower - values.bound) / np.abs(values.bound)
        below = (values.bound - values.upper) / np.abs(values.bound)
    beyond = np.fmax(above, below)
    known = np.flatnonzero(np.isfinite(beyond))
    order = known[np.argsort(-beyond[known], kind="stable")][:told]
    lines = []
    for k in order.tolist():
        key = judged.quantities[int(quantity[k])]
        for line in result_lines(judged, int(sample[k])):
            numbers = line.numbers
            if numbers is not None and (numbers.key, numbers.basis) == (key.key, key.basis):
                lines.append(MarginLine(sample_name(judged.readings, int(sample[k])), line))
    return tuple(lines)
