"""Findings from a file of their own, put beside the readings of the samples they belong to."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.errors import Problem, shorten
from chemcheck.fills.event_order import as_number
from chemcheck.readings.problems import with_problems
from chemcheck.readings.record import ABSENT, BLANK, READ, Coded, Readings

Rows = npt.NDArray[np.int64]


def with_observations(readings: Readings, observed: Readings) -> Readings:
    """Put observations beside the samples they belong to.

    Parameters
    ----------
    readings : Readings
        The samples.
    observed : Readings
        Rows with findings: each names a sample, or a unit and perhaps a date.

    Returns
    -------
    Readings
        With the columns of the findings. A row that names a sample belongs to it; else to its
        unit's latest sample not after its date, or, without a date, to the latest of all. Where
        the sample states a finding itself, its own stays. What fits no sample, or stands
        twice, is among ``rejected``; what was not read in the file too.
    """
    at = _sample_of(readings.samples, observed.samples)
    answer = _with_columns(readings, observed)
    problems = []
    for j, column in enumerate(observed.columns):
        to = answer.columns.index(column)
        here = np.flatnonzero((observed.status[:, j] == READ) & (at >= 0))
        # The first row of several for one sample counts.
        first = here[np.unique(at[here], return_index=True)[1]]
        free = np.isin(answer.status[at[first], to], (BLANK, ABSENT))
        put = first[free]
        answer.lower[at[put], to] = observed.lower[put, j]
        answer.upper[at[put], to] = observed.upper[put, j]
        answer.status[at[put], to] = READ
        told = "the sample states this itself, or an earlier row does; that stays"
        for k in np.setdiff1d(here, put).tolist():
            problems.append(_problem(observed.samples, k, column.analyte, told))
    lost = "no sample of this id, nor of this unit by that date: expected one of the files checked"
    for k in np.flatnonzero(at < 0).tolist():
        problems.append(_problem(observed.samples, k, None, lost))
    rejected = [table for table in (readings.rejected, observed.rejected) if len(table)]
    if rejected:
        # Cells of the file of findings are no cells of the samples.
        rejected[-1] = rejected[-1].assign(cells=0) if len(observed.rejected) else rejected[-1]
        answer = replace(answer, rejected=pd.concat(rejected, ignore_index=True))
    return with_problems(answer, problems)


def _sample_of(samples: pd.DataFrame, observed: pd.DataFrame) -> Rows:
    """Return the sample that each observation belongs to; -1 where there is none."""
    answer = np.full(len(observed), -1, dtype=np.int64)
    ids = pd.Series(np.arange(len(samples)), index=samples["sample_id"].astype("object"))
    unique = ids[~ids.index.duplicated(keep=False) & ids.index.notna()]
    named = observed["sample_id"].astype("object")
    known = named.isin(unique.index).to_numpy()
    answer[known] = unique.reindex(named[known]).to_numpy(dtype=np.int64)
    # A row that names a sample which is not here belongs to none.
    of_unit = np.flatnonzero(named.isna().to_numpy() | (named == "").to_numpy())
    moment = as_number(samples["taken_on"])
    seen = as_number(observed["taken_on"])
    unit = samples["unit_id"].astype("object").to_numpy()
    for k in of_unit.tolist():
        name = observed["unit_id"].iloc[k]
        if pd.isna(name) or name == "":
            continue
        mine = np.flatnonzero(unit == name)
        if not np.isnan(seen[k]):
            mine = mine[~(moment[mine] > seen[k])]
        if mine.size:
            answer[k] = mine[np.argmax(np.nan_to_num(moment[mine], nan=-np.inf))]
    return answer


def _with_columns(readings: Readings, observed: Readings) -> Readings:
    """Return readings with an empty column for each finding that they do not have."""
    more = tuple(one for one in observed.columns if one not in readings.columns)
    n, width = len(readings.samples), len(more)

    def joined(array: npt.NDArray[np.generic], fill: object) -> npt.NDArray[np.generic]:
        added = np.full((n, width), fill, dtype=array.dtype)
        return np.asfortranarray(np.hstack([array, added]))

    def coded(one: Coded) -> Coded:
        return Coded(joined(one.codes, -1).astype(np.int16), one.names)

    return replace(
        readings,
        columns=(*readings.columns, *more),
        lower=joined(readings.lower, np.nan).astype(np.float64),
        upper=joined(readings.upper, np.nan).astype(np.float64),
        status=joined(readings.status, ABSENT).astype(np.int8),
        shared_factor=joined(readings.shared_factor, 1).astype(np.float32),
        method=coded(readings.method),
        laboratory=coded(readings.laboratory),
        lot=coded(readings.lot),
    )


def _problem(samples: pd.DataFrame, k: int, column: str | None, said: str) -> Problem:
    one = samples.iloc[k]
    text = " ".join(
        shorten(str(one[name]))
        for name in ("sample_id", "unit_id")
        if not pd.isna(one[name]) and one[name] != ""
    )
    return Problem(str(one["file"]), int(one["row"]), column, text, said)
