"""What each sample is held against: its fill's first sample, the one before, the fresh fill."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.fills import fresh_fill_rows, number_fills
from chemcheck.fills.event_order import FRESH_SAMPLES, as_number
from chemcheck.limit_library.ageing import ageing
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import NOT_OF_A_UNIT, rows_of_type
from chemcheck.readings.text_codes import text_codes

Rows = npt.NDArray[np.int64]
# Above so many samples the sample before is not looked for: the first of the fill stands in.
MOST_ORDERED = 50_000
_MOMENTS = {"taken_on": "days", "hours": "hours", "distance": "distance"}
# A fresh-fill sample comes before a routine one of the same moment [d, h or km].
_EARLIER = 1e-3


@dataclass(frozen=True, slots=True)
class ReferenceRows:
    """Rows that samples are held against; -1 where there is none.

    Parameters
    ----------
    baseline : ndarray of int64, shape (n_samples,)
        The first sample of the same fill, where it is an earlier one.
    before : ndarray of int64, shape (n_samples,)
        The sample of the same fill just before.
    previous : ndarray of int64, shape (n_samples,)
        The sample of the same unit just before, whatever its fill.
    fresh : ndarray of int64, shape (n_samples,)
        The sample that shows the fresh fill.
    since_first, since_before : ndarray of float32, shape (n_samples,)
        Shares of a service life gone by since the first sample of the fill, and since the
        one before; 1 where nobody knows.
    use : ndarray of bool, shape (n_samples,)
        Coolants of units: of others no cause is looked for.
    technology : ndarray of int64, shape (n_samples,)
        Position in ``technologies``; -1 where unknown.
    technologies : tuple of str
        Those stated.
    glycol : ndarray of int64, shape (n_samples,)
        Position in ``glycols``; -1 where unknown.
    glycols : tuple of str
        Those stated.
    """

    baseline: Rows
    before: Rows
    previous: Rows
    fresh: Rows
    since_first: npt.NDArray[np.float32]
    since_before: npt.NDArray[np.float32]
    use: npt.NDArray[np.bool_]
    technology: Rows
    technologies: tuple[str, ...]
    glycol: Rows
    glycols: tuple[str, ...]


def find_references(readings: Readings, log: pd.DataFrame | None = None) -> ReferenceRows:
    """Find what each sample is held against.

    Parameters
    ----------
    readings : Readings
        All samples.
    log : DataFrame, optional
        Events: a change begins a new fill.

    Returns
    -------
    ReferenceRows
        Samples are put in order by date where most have one, else by hours or distance,
        else as they stand.
    """
    samples = readings.samples
    n = len(samples)
    use = (samples["material"] == "coolant").to_numpy(dtype=np.bool_, na_value=False, copy=True)
    use[rows_of_type(samples, NOT_OF_A_UNIT)] = False
    is_fresh = _fresh(samples)
    none = np.full(n, -1, dtype=np.int64)
    ordered = n <= MOST_ORDERED
    fresh = none
    if log is None and not ordered:
        unit = group = text_codes(samples["unit_id"])[0]
    else:
        fills = number_fills(samples, log)
        unit, group = fills.unit, fills.group
        fresh = fresh_fill_rows(samples, fills) if is_fresh.any() else none
    if log is None and not ordered and is_fresh.any():
        fresh = fresh_fill_rows(samples, number_fills(samples))
    moment, life = _moments(samples)
    moment = moment - _EARLIER * is_fresh
    baseline = _first(np.where(use, group, -1), moment)
    before = _before(np.where(use, group, -1), moment) if ordered else baseline
    previous = _before(np.where(use, unit, -1), moment) if ordered else baseline
    technology, technologies = text_codes(samples["technology"])
    glycol, glycols = text_codes(samples["glycol_type"])
    itself = np.arange(n)
    return ReferenceRows(
        baseline=baseline,
        before=before,
        previous=previous,
        since_first=_since(moment, baseline, life),
        since_before=_since(moment, before, life),
        fresh=np.where(fresh == itself, -1, fresh),
        use=use,
        technology=technology.astype(np.int64),
        technologies=tuple(technologies),
        glycol=glycol.astype(np.int64),
        glycols=tuple(glycols),
    )


def what_is_not_looked_for(samples: int) -> str:
    """Say what so many samples are not held against; empty where nothing is left out.

    Parameters
    ----------
    samples : int
        How many.
    """
    if samples <= MOST_ORDERED:
        return ""
    return (
        f"above {MOST_ORDERED:,} samples a change that nobody logged is looked for against the "
        "first sample of the fill, not the one before"
    )


def _fresh(samples: pd.DataFrame) -> npt.NDArray[np.bool_]:
    codes, names = text_codes(samples["sample_type"])
    return np.asarray(np.array([*(name in FRESH_SAMPLES for name in names), False])[codes])


def _moments(samples: pd.DataFrame) -> tuple[npt.NDArray[np.float64], float]:
    """Return when each sample was drawn, and how long a life is, by what most of them state.

    Where most state nothing it is their place, and a life is not known.
    """
    n = len(samples)
    for name, of_life in _MOMENTS.items():
        values = as_number(samples[name])
        if np.count_nonzero(~np.isnan(values)) >= 0.5 * n:
            return values, ageing().life[of_life]
    return np.arange(n, dtype=np.float64), np.nan


def _since(moment: npt.NDArray[np.float64], row: Rows, life: float) -> npt.NDArray[np.float32]:
    """Return the share of a life gone by since another sample; 1 where it is not known."""
    with np.errstate(invalid="ignore"):
        gone = np.where(row >= 0, (moment - moment[row]) / life, 1.0)
    return np.asarray(np.clip(np.nan_to_num(gone, nan=1.0), 0.0, 1.0), dtype=np.float32)


def _first(group: Rows, moment: npt.NDArray[np.float64]) -> Rows:
    """Return the first sample of each one's group where it is an earlier one, else -1."""
    size = int(group.max(initial=-1)) + 2
    known = np.flatnonzero((group >= 0) & ~np.isnan(moment))
    earliest = np.full(size, np.inf)
    np.minimum.at(earliest, group[known], moment[known])
    first = np.full(size, -1, dtype=np.int64)
    at = known[moment[known] == earliest[group[known]]][::-1]
    first[group[at]] = at
    answer = first[group]
    answer[(answer == np.arange(group.size)) | np.isnan(moment) | (group < 0)] = -1
    return answer


def _before(unit: Rows, moment: npt.NDArray[np.float64]) -> Rows:
    """Return the sample of the same unit just before each one, else -1."""
    known = np.flatnonzero((unit >= 0) & ~np.isnan(moment))
    order = known[np.lexsort((moment[known], unit[known]))]
    answer = np.full(unit.size, -1, dtype=np.int64)
    same = unit[order[1:]] == unit[order[:-1]]
    answer[order[1:][same]] = order[:-1][same]
    return answer
