"""Which results were measured between a failed check standard and its neighbours."""

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.judging.control_chart import FAILED, ControlResults
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import OF_THE_LABORATORY, rows_of_type

Places = npt.NDArray[np.intp]
Bools = npt.NDArray[np.bool_]


def bracketed_cells(readings: Readings, standards: ControlResults) -> Bools | None:
    """Return the results that stand next to a failed check standard.

    Parameters
    ----------
    readings : Readings
        What was measured.
    standards : ControlResults
        Its check standards.

    Returns
    -------
    ndarray of bool, shape (n_samples, n_columns), Fortran order, or None
        True where the standard before or the one after failed, of the same laboratory,
        method and analyte; None where no standard failed.

    Notes
    -----
    Bracketing: a result counts only if the standards either side of it are good. Where
    standards stand among the samples of a file, the order of its rows is the order in which
    they were run. Otherwise dates decide, a day with a failed standard counting as failed;
    a result without a date stands next to every failed standard. At the ends, where there
    is a standard on one side only, that one decides. Common practice, no source.
    """
    if not (standards.state == FAILED).any():
        return None
    samples = readings.samples
    answer = np.zeros(readings.lower.shape, dtype=np.bool_, order="F")
    of_unit = np.ones(len(samples), dtype=np.bool_)
    of_unit[rows_of_type(samples, OF_THE_LABORATORY)] = False
    file = np.asarray(pd.factorize(samples["file"])[0], dtype=np.int64)
    row = samples["row"].to_numpy(dtype=np.int64)
    day = samples["taken_on"].dt.floor("D").to_numpy("datetime64[s]").astype(np.int64)
    unknown = samples["taken_on"].isna().to_numpy()
    keys = np.column_stack([standards.column, standards.laboratory, standards.method])
    for column, laboratory, method in np.unique(keys[standards.state == FAILED], axis=0).tolist():
        mine = (keys == (column, laboratory, method)).all(axis=1)
        at, failed = standards.row[mine], standards.state[mine] == FAILED
        measured = of_unit & ~np.isnan(readings.lower[:, column])
        measured &= readings.laboratory.codes[:, column] == laboratory
        measured &= readings.method.codes[:, column] == method
        left = measured.copy()
        dated = bool((~unknown[at]).all())
        for each in np.unique(file[at]).tolist():
            standard = file[at] == each
            here = np.flatnonzero(measured & (file == each))
            if dated and not _stands_among(row[here], row[at[standard]]):
                continue
            answer[here, column] = _next_to_failed(row[here], row[at[standard]], failed[standard])
            left[here] = False
        rest = np.flatnonzero(left)
        if dated:
            next_to = _next_to_failed(day[rest], day[at], failed)
            answer[rest, column] = np.where(unknown[rest], True, next_to)
        else:
            answer[rest, column] = True
    return answer


def _stands_among(rows: npt.NDArray[np.int64], standards: npt.NDArray[np.int64]) -> bool:
    """Return whether any sample has a standard before it and one behind it, or one of two."""
    if standards.size == 1:
        return bool((rows < standards[0]).any() and (rows > standards[0]).any())
    return bool(((rows > standards.min()) & (rows < standards.max())).any())


def _next_to_failed(
    place: npt.NDArray[np.int64], standards: npt.NDArray[np.int64], failed: Bools
) -> Bools:
    """Return whether the nearest standard before or behind each place failed.

    Standards at one place count as one, failed if any of them is; at that place it alone
    decides.

    Examples
    --------
    >>> _next_to_failed(np.array([1, 3, 5, 7]), np.array([2, 4, 6]), np.array([False, False, True]))
    array([False, False,  True,  True])
    """
    places, which = np.unique(standards, return_inverse=True)
    bad = np.zeros(places.size, dtype=np.bool_)
    np.logical_or.at(bad, which, failed)
    before = np.searchsorted(places, place, side="right") - 1
    behind = np.searchsorted(places, place, side="left")
    answer = np.zeros(place.shape, dtype=np.bool_)
    answer[before >= 0] |= bad[before[before >= 0]]
    inside = behind < places.size
    answer[inside] |= bad[behind[inside]]
    return answer
