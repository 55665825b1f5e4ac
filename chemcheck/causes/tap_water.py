"""The tap water that a sample's unit was topped up with, so far as any was read or stated."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.causes.top_up_fluids import (
    DEIONISED,
    called,
    fluid_of,
    sampled_waters,
    waters_named,
)
from chemcheck.causes.top_up_log import TOP_UP
from chemcheck.chemistry.range_record import Range
from chemcheck.fills.top_up_shares import UNKNOWN, WATER
from chemcheck.readings.record import Readings
from chemcheck.readings.text_codes import text_codes

Singles = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class TapWater:
    """Tap waters, and whose they are.

    Parameters
    ----------
    of_sample : ndarray of int64, shape (n_samples,)
        Position of the unit's water in the arrays below; their last stands for no water.
    ends : mapping of str to tuple of ndarray, shape (n_waters + 1,)
        By analyte what the waters hold, lower and upper [canonical unit], and the variance of
        the methods; NaN where it is not known.
    """

    of_sample: npt.NDArray[np.int64]
    ends: Mapping[str, tuple[Singles, Singles, Singles]] = field(default_factory=dict)


def find_tap_water(
    readings: Readings,
    uncertainty: npt.NDArray[np.float32],
    log: pd.DataFrame | None = None,
    stated: Mapping[str, Range] | None = None,
) -> TapWater:
    """Find the tap water of each sample's unit.

    Parameters
    ----------
    readings : Readings
        All samples, waters among them.
    uncertainty : ndarray of float32, shape (n_samples, n_columns)
        Standard uncertainty of the methods [canonical unit].
    log : DataFrame, optional
        Events, with what was topped up.
    stated : mapping of str to Range, optional
        What the user says that the tap water holds [canonical unit]; it comes first.

    Returns
    -------
    TapWater
        Of a unit whose log names the waters it was topped up with, those that share a name
        with it; else any that was sampled, so that it may hold what any of them holds. None
        where the log says that no tap water was used.
    """
    stated = stated or {}
    rows = sampled_waters(readings.samples)
    if rows.size:
        rows = rows[~called(readings.samples, rows, lambda text: fluid_of(text) == DEIONISED)]
    n = len(readings.samples)
    if not rows.size and not stated:
        return TapWater(np.zeros(n, dtype=np.int64))
    waters, of_sample = _waters_of_samples(readings.samples, log, rows)
    ends = {}
    for j, column in enumerate(readings.columns):
        if (
            column.basis != "by_mass"
            and column.analyte not in stated
            and column.analyte not in ends
        ):
            read = _joined(readings, uncertainty, j, waters)
            if not np.isnan(read[0]).all():
                ends[column.analyte] = read
    for analyte, each in stated.items():
        told = np.array([[each.lower, each.upper, 0.0]] * len(waters) + [[np.nan] * 3])
        low, high, variance = told.astype(np.float32).T
        ends[analyte] = low, high, variance
    return TapWater(of_sample, ends)


def _waters_of_samples(
    samples: pd.DataFrame, log: pd.DataFrame | None, rows: npt.NDArray[np.intp]
) -> tuple[list[npt.NDArray[np.intp]], npt.NDArray[np.int64]]:
    """Return the distinct choices of water samples, and which of them each sample's unit has."""
    waters = [rows]
    units, names = text_codes(samples["unit_id"])
    of_unit = np.zeros(len(names) + 1, dtype=np.int64)
    if log is not None and len(log):
        added = log[(log["event"] == TOP_UP).to_numpy()]
        known = {name: code for code, name in enumerate(names)}
        for unit, fluids in added.groupby("unit_id", sort=False)["fluid"]:
            if unit in known:
                chosen = _choice(samples, set(fluids.dropna().astype(str)), rows)
                of_unit[known[str(unit)]] = _position(waters, chosen)
    # The last choice of all is none.
    of_unit[of_unit < 0] = len(waters)
    return waters, of_unit[units]


def _choice(
    samples: pd.DataFrame, fluids: set[str], rows: npt.NDArray[np.intp]
) -> npt.NDArray[np.intp] | None:
    """Return the waters that a unit's top-ups name; all where none does, None where none is tap."""
    kinds = {text: fluid_of(text) for text in fluids}
    tap = [text for text, kind in kinds.items() if kind == WATER]
    if tap:
        return np.unique(np.concatenate([waters_named(samples, rows, text) for text in tap]))
    return rows if not kinds or UNKNOWN in kinds.values() else None


def _position(waters: list[npt.NDArray[np.intp]], chosen: npt.NDArray[np.intp] | None) -> int:
    """Return the place of a choice of waters, which is put behind the others if it is new."""
    if chosen is None:
        return -1
    for place, each in enumerate(waters):
        if np.array_equal(each, chosen):
            return place
    waters.append(chosen)
    return len(waters) - 1


def _joined(
    readings: Readings,
    uncertainty: npt.NDArray[np.float32],
    j: int,
    waters: list[npt.NDArray[np.intp]],
) -> tuple[Singles, Singles, Singles]:
    """Return what each choice of waters may hold: from the least of them to the greatest."""
    low, high, variance = np.full((3, len(waters) + 1), np.nan, dtype=np.float32)
    for place, rows in enumerate(waters):
        read = rows[~np.isnan(readings.lower[rows, j])]
        if read.size:
            low[place] = readings.lower[read, j].min()
            high[place] = readings.upper[read, j].max()
            variance[place] = np.nan_to_num(uncertainty[read, j], posinf=0.0).max() ** 2
    return low, high, variance
