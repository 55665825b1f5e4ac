"""Samples that stand in the files more than once: kept once where equal, else set aside."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.readings.record import ABSENT
from chemcheck.readings.sample_types import OF_THE_LABORATORY, rows_of_type

# What tells two samples of one number and day apart, though neither was written twice.
_APART = ("unit_id", "sample_type", "sampling_point")
# Without a sample number, water and coolant of one unit and day are two samples.
_APART_BY_UNIT = ("material", "sample_type", "sampling_point")
# What must agree besides the readings for two rows to be the same sample.
_SAME = ("unit_id", "material", "technology", "glycol_type", "hours", "distance", "days")

_Places = npt.NDArray[np.int64]
_Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Duplicates:
    """Samples found more than once, as positions in the samples.

    Parameters
    ----------
    repeats, first : ndarray of int64, shape (n,)
        Samples that say the same as an earlier one, and that one.
    contradictory, other : ndarray of int64, shape (n,)
        Samples that say something else than another of the same number and day, and
        one of those.
    elsewhere, twin : ndarray of int64, shape (n,)
        Samples whose number and day also stand elsewhere, with other columns or under
        another unit, without a contradiction; and the first of those.
    """

    repeats: _Places
    first: _Places
    contradictory: _Places
    other: _Places
    elsewhere: _Places
    twin: _Places


def find_duplicates(
    samples: pd.DataFrame,
    lower: npt.NDArray[np.float64],
    upper: npt.NDArray[np.float64],
    status: npt.NDArray[np.int8],
    dates_as_written: pd.Series | None = None,
) -> Duplicates:
    """Find samples that stand in the files more than once.

    Two rows are the same sample if their sample number and date agree (and unit, sample
    type and sampling point where given); without a number, if unit, material and date
    do, or unit, material and hours where there is no date. Free columns do not count.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        The samples of all files.
    lower, upper, status : ndarray, shape (n_samples, n_columns)
        Their readings.
    dates_as_written : Series, optional
        Stands for the date where that was set aside.

    Returns
    -------
    Duplicates
        Only rows whose key repeats are compared. A laboratory measures its blanks and
        standards again and again under one number: within a file those are all kept.

    Examples
    --------
    >>> samples = pd.DataFrame({
    ...     "sample_id": ["A", "A", "B", "C", "C"], "unit_id": None, "taken_on": pd.NaT,
    ...     "sample_type": "routine", "sampling_point": None, "material": "water",
    ...     "technology": None, "glycol_type": None, "hours": np.nan, "distance": np.nan,
    ...     "days": np.nan,
    ... })
    >>> value = np.array([[7.0], [7.0], [7.0], [7.0], [8.0]])
    >>> found = find_duplicates(samples, value, value, np.zeros((5, 1), np.int8))
    >>> found.repeats, found.first, found.contradictory
    (array([1]), array([0]), array([3, 4]))
    """
    number = _numbers(samples["sample_id"])
    by_number = _repeated(number)
    dates = _dates(samples, dates_as_written, by_number)
    keys = [number[by_number], dates, *_all_codes(samples, by_number, _APART)]
    groups = [_Groups.of(by_number, keys)]
    by_unit = np.flatnonzero(number < 0)
    unit = _codes(samples["unit_id"].iloc[by_unit])
    when = _moments(samples, dates_as_written, by_unit)
    keyed = (unit >= 0) & (when >= 0)
    by_unit = by_unit[keyed]
    keys = [unit[keyed], when[keyed], *_all_codes(samples, by_unit, _APART_BY_UNIT)]
    groups.append(_Groups.of(by_unit, keys))
    found = _Groups.joined(groups)
    repeats, bad, apart = _compare(found, samples, lower, upper, status)
    measured_again = _measured_again(samples, found)
    repeats, bad = repeats & ~measured_again, bad & ~measured_again
    other_unit = _under_another_unit(samples, by_number, number[by_number], dates)
    return Duplicates(
        found.place[repeats],
        found.leader[repeats],
        found.place[bad],
        found.other[bad],
        np.r_[found.place[apart], other_unit[0]],
        np.r_[found.leader[apart], other_unit[1]],
    )


@dataclass(frozen=True, slots=True)
class _Groups:
    """Rows of equal keys, the rows of a group one after the other.

    ``leader`` is the first row of each row's group, ``other`` another row of it.
    """

    place: _Places
    leader: _Places
    other: _Places
    begins: _Places

    @classmethod
    def of(cls, places: _Places, keys: Sequence[_Places]) -> "_Groups":
        """Find the groups of more than one row."""
        key = _combined(keys)
        several = np.bincount(key, minlength=1)[key] > 1
        places, key = places[several], key[several]
        order = np.lexsort((places, key))
        places, key = places[order], key[order]
        begins = np.flatnonzero(np.diff(key, prepend=-1))
        leader = np.repeat(places[begins], np.diff(np.r_[begins, len(places)]))
        other = np.where(places != leader, leader, np.r_[places[1:], places[:1]])
        return cls(places, leader, other, begins)

    @classmethod
    def joined(cls, groups: Sequence["_Groups"]) -> "_Groups":
        """Put groups found by different keys one after the other."""
        starts = np.cumsum([0, *(len(group.place) for group in groups[:-1])])
        return cls(
            np.concatenate([group.place for group in groups]),
            np.concatenate([group.leader for group in groups]),
            np.concatenate([group.other for group in groups]),
            np.concatenate([g.begins + n for g, n in zip(groups, starts, strict=True)]),
        )

    def any_of(self, mask: _Mask) -> _Mask:
        """Say of each row whether the mask holds for any row of its group."""
        if not len(self.begins):
            return mask
        answer = np.logical_or.reduceat(mask, self.begins)
        return np.repeat(answer, np.diff(np.r_[self.begins, len(self.place)]))


def _codes(column: pd.Series) -> _Places:
    """Return a number for each distinct value; -1 where there is none."""
    return np.asarray(pd.factorize(column)[0], dtype=np.int64)


def _numbers(sample_id: pd.Series) -> _Places:
    """Return a code for each sample number; numbers that only rise cannot repeat."""
    texts = pa.array(sample_id, pa.large_string())
    if not texts.null_count and len(texts) > 1:
        texts = texts.combine_chunks() if isinstance(texts, pa.ChunkedArray) else texts
        if pc.all(pc.less(texts[:-1], texts[1:])).as_py():
            return np.arange(len(texts))
    return _codes(sample_id)


def _all_codes(samples: pd.DataFrame, places: _Places, columns: Sequence[str]) -> list[_Places]:
    return [_codes(samples[column].iloc[places]) for column in columns]


def _combined(keys: Sequence[_Places]) -> _Places:
    """Return a number for each distinct combination of several codes."""
    key = keys[0]
    for more in keys[1:]:
        key = pd.factorize(key * (more.max(initial=-1) + 2) + more + 1)[0].astype(np.int64)
    return key


def _repeated(code: _Places) -> _Places:
    """Return the rows whose code is there and stands more than once."""
    counts = np.bincount(code + 1, minlength=1)
    counts[0] = 0
    return np.flatnonzero(counts[code + 1] > 1)


def _dates(samples: pd.DataFrame, written: pd.Series | None, places: _Places) -> _Places:
    """Return a number for each date; one that was set aside counts as it is written."""
    date = _codes(samples["taken_on"].iloc[places])
    if written is None:
        return date
    text = _codes(written.iloc[places])
    return np.where((date < 0) & (text >= 0), text + date.max(initial=-1) + 1, date)


def _moments(samples: pd.DataFrame, written: pd.Series | None, places: _Places) -> _Places:
    """Return a number for each date, or else the hours; -1 where there is neither."""
    date, hours = _dates(samples, written, places), _codes(samples["hours"].iloc[places])
    return np.where(date >= 0, date, np.where(hours >= 0, hours + date.max(initial=-1) + 1, -1))


def _compare(
    groups: _Groups,
    samples: pd.DataFrame,
    lower: npt.NDArray[np.float64],
    upper: npt.NDArray[np.float64],
    status: npt.NDArray[np.int8],
) -> tuple[_Mask, _Mask, _Mask]:
    """Tell rows that repeat the first of their group from those of a group that disagrees.

    The third answer: rows of a group that agrees but whose files have other columns.
    """
    here, first = groups.place, groups.leader
    differs = np.zeros(len(here), dtype=bool)
    other_columns = np.zeros(len(here), dtype=bool)
    for column in range(lower.shape[1]):
        mine, theirs = status[here, column], status[first, column]
        one_absent = (mine == ABSENT) != (theirs == ABSENT)
        same = (mine == theirs) & _equal(lower[:, column], here, first)
        same &= _equal(upper[:, column], here, first)
        differs |= ~same & ~one_absent
        other_columns |= one_absent
    for name in _SAME:
        codes = _codes(samples[name].iloc[np.r_[here, first]])
        differs |= codes[: len(here)] != codes[len(here) :]
    disagree = groups.any_of(differs)
    apart = groups.any_of(other_columns) & ~disagree
    later = here != first
    return later & ~disagree & ~apart, disagree, later & apart


def _measured_again(samples: pd.DataFrame, groups: _Groups) -> _Mask:
    """Say which rows are samples of a laboratory's own, other than the same row of a file."""
    answer = np.zeros(len(groups.place), dtype=bool)
    if not len(groups.place):
        return answer
    of_laboratory = np.zeros(len(samples), dtype=bool)
    of_laboratory[rows_of_type(samples, OF_THE_LABORATORY)] = True
    if of_laboratory[groups.place].any():
        file, row = _codes(samples["file"]), samples["row"].to_numpy()
        here, first = groups.place, groups.leader
        twice = (file[here] != file[first]) & (row[here] == row[first])
        answer = of_laboratory[here] & ~twice
    return answer


def _equal(values: npt.NDArray[np.float64], here: _Places, there: _Places) -> _Mask:
    mine, theirs = values[here], values[there]
    return np.asarray((mine == theirs) | (np.isnan(mine) & np.isnan(theirs)))


def _under_another_unit(
    samples: pd.DataFrame, places: _Places, number: _Places, date: _Places
) -> tuple[_Places, _Places]:
    """Return samples whose number and day stand under another unit before, and that one."""
    groups = _Groups.of(places, [number, date])
    unit = _codes(samples["unit_id"].iloc[np.r_[groups.place, groups.leader]])
    mine, theirs = unit[: len(groups.place)], unit[len(groups.place) :]
    apart = (mine != theirs) & (mine >= 0) & (theirs >= 0)
    return groups.place[apart], groups.leader[apart]
