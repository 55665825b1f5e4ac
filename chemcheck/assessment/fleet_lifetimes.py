"""How long the fills of a fleet lasted until they passed a bound."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.errors import NotEnoughDataError
from chemcheck.judging.record import OUTSIDE, UNDECIDED, Judged
from chemcheck.planning import FillLifetimes, lifetimes_from_samples

Floats = npt.NDArray[np.float64]
TECHNOLOGY = "technology"
# Titles that a file may give the other ways of grouping.
KNOWN_GROUPINGS = ("duty", "water source")


@dataclass(frozen=True, slots=True)
class FleetLifetimes:
    """Lifetimes of the fills, and what the fills can be grouped by.

    Parameters
    ----------
    seen : FillLifetimes
        One interval a fill.
    unit : ndarray of int64, shape (m,)
        Unit of each lifetime.
    labels : mapping of str to ndarray of object, shape (m,)
        By grouping, the label of each lifetime; None where it has none.
    """

    seen: FillLifetimes
    unit: npt.NDArray[np.int64]
    labels: dict[str, npt.NDArray[np.object_]]


def fleet_lifetimes(
    samples: pd.DataFrame, rows: TrendRows, judged: Judged, grouping: str
) -> FleetLifetimes:
    """Find the interval in which each fill first passed an action bound.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With the free columns of the files.
    rows : TrendRows
        Where the samples stand.
    judged : Judged
        Their states by the headline set.
    grouping : str
        ``technology`` or the title of a column.

    Returns
    -------
    FleetLifetimes
        Of every fill with a sample that was judged.

    Raises
    ------
    NotEnoughDataError
        If no fill gives a lifetime.
    ValueError
        If no column has the title of the grouping.
    """
    group, usable = rows.fills.group, rows.usable
    planned = rows.fills.number < np.append(rows.fills.last_number, 0)[rows.fills.unit]
    last_age = np.full(len(rows.technology), -np.inf)
    np.maximum.at(last_age, group[usable], rows.usage.age[usable])
    changed = np.where(planned, last_age[group], np.nan)[usable]
    seen = lifetimes_from_samples(
        rows.usage.age[usable], outside_states(judged)[usable], group[usable], changed
    )
    if not seen.fill.size:
        problem = "no fill has a sample that is surely inside or outside its bounds"
        raise NotEnoughDataError(problem)
    unit_of_fill = np.empty(len(rows.technology), dtype=np.int64)
    unit_of_fill[group[usable]] = rows.fills.unit[usable]
    labels = {TECHNOLOGY: rows.technology[seen.fill]}
    for name in dict.fromkeys((grouping, *KNOWN_GROUPINGS)):
        title = column_titled(samples, name)
        if title is not None and name != TECHNOLOGY:
            labels[name] = labels_of_fills(samples[title], rows)[seen.fill]
    if grouping not in labels:
        problem = (
            f"--group {grouping}: no column has this title; expected technology or the title of "
            "a column of the files"
        )
        raise ValueError(problem)
    return FleetLifetimes(seen, unit_of_fill[seen.fill], labels)


def outside_states(judged: Judged) -> Floats:
    """Say of each sample whether an action bound is passed.

    Parameters
    ----------
    judged : Judged
        States of its results.

    Returns
    -------
    ndarray, shape (n_samples,)
        1 outside, 0 inside, NaN undecided or nothing judged. A doubt about a warning bound
        alone is no doubt.
    """
    action = np.array([*(bound.kind == "action" for bound in judged.bounds), True])
    outside = (judged.state == OUTSIDE).any(axis=1)
    doubtful = ((judged.state == UNDECIDED) & action[judged.decisive]).any(axis=1)
    judged_at_all = ((judged.state >= 0) & (judged.state <= OUTSIDE)).any(axis=1)
    return np.where(outside, 1.0, np.where(doubtful | ~judged_at_all, np.nan, 0.0))


def column_titled(samples: pd.DataFrame, title: str) -> str | None:
    """Return the column of a title, whatever its case; None where there is none.

    Examples
    --------
    >>> column_titled(pd.DataFrame({"Water Source": ["tap"]}), "water source")
    'Water Source'
    """
    wanted = title.casefold().replace("_", " ").strip()
    for name in samples.columns:
        if str(name).casefold().replace("_", " ").strip() == wanted:
            return str(name)
    return None


def labels_of_fills(column: pd.Series, rows: TrendRows) -> npt.NDArray[np.object_]:
    """Return what the last labelled sample of each fill says, None where none does."""
    answer = np.full(len(rows.technology), None, dtype=object)
    text = column.astype("str").str.strip()
    known = rows.usable & column.notna().to_numpy() & (text != "").to_numpy()
    answer[rows.fills.group[known]] = text.to_numpy(dtype=object)[known]
    return answer
