"""The first sample of a fill held against what the refill should have come to."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.causes.reading_ends import ends_in
from chemcheck.chemistry.range_record import Range
from chemcheck.fills.event_order import as_number
from chemcheck.fills.fill_numbers import Fills
from chemcheck.judging.record import Judged
from chemcheck.readings.record import READ
from chemcheck.readings.sample_types import EXPECTED_FILL, FRESH_FILL, ROUTINE, rows_of_type

_MOMENTS = ("taken_on", "hours", "distance")


@dataclass(frozen=True, slots=True)
class Difference:
    """An analyte that is not what was expected.

    Parameters
    ----------
    analyte : str
        Its key.
    found, expected : Range
        Both with their uncertainty [canonical unit].
    more : bool
        Whether more is found than expected, or less.
    """

    analyte: str
    found: Range
    expected: Range
    more: bool


@dataclass(frozen=True, slots=True)
class ExpectedComparison:
    """The first sample of a fill against the expected fill.

    Parameters
    ----------
    differ : tuple of Difference
        What lies apart beyond its uncertainty.
    agree : tuple of str
        Analytes that do not.
    thinner : Range or None
        By what share glycol is below the expected, where it is.
    """

    differ: tuple[Difference, ...]
    agree: tuple[str, ...]
    thinner: Range | None


def first_samples(samples: pd.DataFrame, fills: Fills) -> dict[int, int]:
    """Find the first real sample of every fill of which an expected one is given.

    Parameters
    ----------
    samples : DataFrame
        All samples.
    fills : Fills
        Of them.

    Returns
    -------
    dict of int to int
        Position of the expected fill by that of the first sample of the same fill, by date,
        else by hours, else by distance.
    """
    expected = rows_of_type(samples, (EXPECTED_FILL,))
    real = rows_of_type(samples, (ROUTINE, FRESH_FILL))
    real = real[(samples["material"].iloc[real] == "coolant").to_numpy()]
    moments = np.column_stack([as_number(samples[key].iloc[real]) for key in _MOMENTS])
    answer = {}
    for row in expected[fills.group[expected] >= 0].tolist():
        here = np.flatnonzero(fills.group[real] == fills.group[row])
        first = _first(moments[here])
        if first is not None:
            answer[int(real[here[first]])] = row
    return answer


def _first(moments: npt.NDArray[np.float64]) -> int | None:
    """Return the earliest by the first key that any has."""
    for key in range(moments.shape[1]):
        if not np.isnan(moments[:, key]).all():
            return int(np.nanargmin(moments[:, key]))
    return 0 if len(moments) else None


def compare_with_expected(judged: Judged, row: int, expected: int) -> ExpectedComparison:
    """Hold a sample against the expected fill.

    Parameters
    ----------
    judged : Judged
        All samples.
    row, expected : int
        Positions of the two.

    Returns
    -------
    ExpectedComparison
        Of what both hold. The expected fill has the uncertainty of volumes and analyses in
        its own interval; the sample has that of its method.
    """
    readings = judged.readings
    differ, agree = [], []
    thinner = None
    for place, column in enumerate(readings.columns):
        if readings.status[row, place] != READ or readings.status[expected, place] != READ:
            continue
        found = ends_in(judged, row, place)
        reckoned = Range(readings.lower[expected, place], readings.upper[expected, place])
        more, less = found.lower > reckoned.upper, found.upper < reckoned.lower
        if not more and not less:
            agree.append(column.analyte)
            continue
        differ.append(Difference(column.analyte, found, reckoned, bool(more)))
        if column.analyte == "glycol" and less:
            thinner = Range(1.0 - found.upper / reckoned.lower, 1.0 - found.lower / reckoned.upper)
    return ExpectedComparison(tuple(differ), tuple(agree), thinner)
