"""Glycol of new coolant where nobody read it: by its freezing point, or by what it is."""

import numpy as np
import numpy.typing as npt

from chemcheck.judging.freezing_point_check import envelope
from chemcheck.judging.glycol_of_concentrate import (
    GLYCOLS,
    by_volume,
    filled_glycol,
    has_glycol,
)
from chemcheck.limit_library.assumed_values import coolant_concentrate
from chemcheck.readings.record import Readings
from chemcheck.readings.sample_types import NEW_CONCENTRATE, rows_of_type

Floats = npt.NDArray[np.float64]
Rows = npt.NDArray[np.intp]


def with_glycol_of_new_coolant(readings: Readings, rows: Rows) -> tuple[Readings, tuple[str, ...]]:
    """Work out the glycol of new coolant of which it was not read.

    Parameters
    ----------
    readings : Readings
        Of coolants.
    rows : ndarray of int
        Samples of new coolant.

    Returns
    -------
    readings : Readings
        With the glycol [vol%] as `filled_glycol` leaves it: of a mix from its freezing point,
        of a concentrate what concentrates hold. The same record where there is none.
    assumptions : tuple of str
        What was worked out, each in one line.
    """
    said = []
    concentrate = np.isin(rows, rows_of_type(readings.samples, (NEW_CONCENTRATE,)))
    open_rows = ~has_glycol(readings)[rows]
    freezing = readings.position("freezing_point")
    if freezing is not None:
        at = rows[open_rows & ~concentrate & ~np.isnan(readings.lower[rows, freezing])]
        if at.size:
            low, high = _by_freezing_point(readings, at, freezing)
            readings = filled_glycol(readings, at, low, high, freezing)
            said.append(
                f"{_counted(at.size)} of new coolant: glycol worked out from the freezing point, "
                "by all tables of limits/properties"
            )
    at = rows[open_rows & concentrate]
    if at.size:
        share = coolant_concentrate()["glycol_by_mass"]
        low, high = (np.array([end]) for end in (share.lower, share.upper))
        kinds = readings.samples["glycol_type"].iloc[at].to_numpy()
        ends = np.array([[by_volume(low, 0, k)[0], by_volume(high, 1, k)[0]] for k in _KINDS])
        place = np.where(kinds == GLYCOLS[0], 0, np.where(kinds == GLYCOLS[1], 1, 2))
        readings = filled_glycol(readings, at, ends[place, 0], ends[place, 1], None)
        said.append(
            f"{_counted(at.size)} of new concentrate: glycol not read, taken for {share.lower:g} "
            f"to {share.upper:g} % by mass ({share.source})"
        )
    return readings, tuple(said)


_KINDS = (*GLYCOLS, None)


def _by_freezing_point(readings: Readings, rows: Rows, column: int) -> tuple[Floats, Floats]:
    """Return between which shares any table of the sample's glycol has its freezing point."""
    warm, cold = readings.upper[rows, column], readings.lower[rows, column]
    kinds = readings.samples["glycol_type"].iloc[rows].to_numpy()
    least, most = np.full((2, rows.size), np.nan)
    for glycol in GLYCOLS:
        percent, coldest, warmest = envelope(glycol)
        low = np.interp(warm, coldest[::-1], percent[::-1])
        high = np.interp(cold, warmest[::-1], percent[::-1])
        # Colder than any table goes: from 60 vol% on, where the curve turns.
        high = np.where(cold < warmest[-1], 100.0, high)
        fits = (kinds == glycol) | ~np.isin(kinds.astype(str), GLYCOLS)
        least = np.where(fits, np.fmin(least, low), least)
        most = np.where(fits, np.fmax(most, high), most)
    return least, most


def _counted(samples: int) -> str:
    return f"{samples:,} {'sample' if samples == 1 else 'samples'}"
