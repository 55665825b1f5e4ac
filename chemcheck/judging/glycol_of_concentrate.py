"""Glycol where only the share of concentrate was read: as labels and ready mixes count it."""

from dataclasses import replace
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.glycol_percent import volume_percent
from chemcheck.judging.doubts import Doubts, for_columns
from chemcheck.limit_library.assumed_values import coolant_concentrate
from chemcheck.limit_library.glycol_properties import glycol_properties
from chemcheck.readings.record import ABSENT, REJECTED, Coded, ReadingColumn, Readings

Floats = npt.NDArray[np.float64]
Rows = npt.NDArray[np.intp]
Kind = TypeVar("Kind", bound=np.generic)

GLYCOL = ReadingColumn("glycol", "by_volume")
CONCENTRATE = "coolant_concentrate"
GLYCOLS = ("ethylene_glycol", "propylene_glycol")


def with_glycol_of_concentrate(
    readings: Readings, doubts: Doubts | None = None
) -> tuple[Readings, Doubts | None, tuple[str, ...]]:
    """Work out the glycol of samples of which only the share of concentrate was read.

    Parameters
    ----------
    readings : Readings
        Of coolants, by volume or by mass.
    doubts : Doubts, optional
        What is not to be relied on; glycol that is worked out from a result in doubt is in
        doubt itself.

    Returns
    -------
    readings : Readings
        With the glycol in its column [vol%], as `filled_glycol` leaves it. Where glycol was
        read too, or its reading could not be made out, nothing is worked out: no reading
        counts twice. The same record where there is nothing to work out.
    doubts : Doubts or None
        In the columns of the readings returned.
    assumptions : tuple of str
        What was taken for the glycol in the concentrate.

    Notes
    -----
    Of the concentrate's mass 92 to 97 % is glycol (memory; ``limits/properties``), by volume
    as if the rest were water. A glycol that nobody names may be either.

    Examples
    --------
    >>> from chemcheck.intake.quantities import read_quantities
    >>> mix = read_quantities({"antifreeze": "50 vol%"}, name="mix", material="coolant")
    >>> readings, _, said = with_glycol_of_concentrate(mix)
    >>> place = readings.position("glycol")
    >>> readings.lower[:, place].round(1), readings.upper[:, place].round(1)
    (array([45.6]), array([48.4]))
    """
    columns = [j for j, column in enumerate(readings.columns) if column.analyte == CONCENTRATE]
    count = 0
    for j in columns:
        rows = np.flatnonzero(~np.isnan(readings.lower[:, j]) & ~has_glycol(readings))
        if not rows.size:
            continue
        low, high = _glycol_in(readings, j, rows)
        readings = filled_glycol(readings, rows, low, high, j)
        doubts = _doubts_too(doubts, readings, rows, j)
        count += rows.size
    return readings, doubts, (_assumption(count),) if count else ()


def has_glycol(readings: Readings) -> npt.NDArray[np.bool_]:
    """Say of each sample whether its glycol was read, or was there and could not be read."""
    answer = np.zeros(len(readings.samples), dtype=np.bool_)
    for j, column in enumerate(readings.columns):
        if column.analyte == GLYCOL.analyte:
            answer |= ~np.isnan(readings.lower[:, j]) | (readings.status[:, j] == REJECTED)
    return answer


def filled_glycol(
    readings: Readings, rows: Rows, lower: Floats, upper: Floats, like: int | None
) -> Readings:
    """Return readings with the glycol of some samples filled in.

    Parameters
    ----------
    readings : Readings
        In which these samples have no glycol.
    rows : ndarray of int, shape (m,)
        The samples.
    lower, upper : ndarray of float64, shape (m,)
        Their glycol [vol%].
    like : int or None
        Column of the reading it was worked out from, whose method and laboratory it has.

    Returns
    -------
    Readings
        With a column for glycol, in last place where there was none. What was filled in is
        told from what was read by its status, which stays ``BLANK`` or ``ABSENT``.
    """
    place = readings.columns.index(GLYCOL) if GLYCOL in readings.columns else -1
    if place < 0:
        readings = _with_column(readings, like)
        place = len(readings.columns) - 1
    low, high = readings.lower.copy("F"), readings.upper.copy("F")
    low[rows, place], high[rows, place] = lower, upper
    return replace(readings, lower=low, upper=high)


def by_volume(mass: Floats, end: int, glycol: str | None = None) -> Floats:
    """Return a share of glycol by volume.

    Parameters
    ----------
    mass : ndarray of float64
        Share by mass [mass%].
    end : {0, 1}
        Whether the least or the greatest share that either glycol has is wanted.
    glycol : str, optional
        The glycol, where it is known.

    Returns
    -------
    ndarray of float64
        [vol%].

    Examples
    --------
    >>> by_volume(np.array([50.0]), 0, "ethylene_glycol").round(1)
    array([47.3])
    """
    of = (glycol,) if glycol in GLYCOLS else GLYCOLS
    each = [np.asarray(volume_percent(mass, glycol_properties(key).pure)) for key in of]
    return np.asarray(np.maximum.reduce(each) if end else np.minimum.reduce(each))


def _glycol_in(readings: Readings, column: int, rows: Rows) -> tuple[Floats, Floats]:
    """Return between which ends the glycol of some mixes lies [vol%]."""
    share = coolant_concentrate()["glycol_by_mass"]
    ends = readings.lower[rows, column], readings.upper[rows, column]
    kinds = readings.samples["glycol_type"].iloc[rows].to_numpy()
    answer = np.empty((2, rows.size))
    for kind in (*GLYCOLS, None):
        here = ~np.isin(kinds.astype(str), GLYCOLS) if kind is None else kinds == kind
        for end, by_mass in enumerate((share.lower, share.upper)):
            read = ends[end][here]
            if readings.columns[column].basis == "by_mass":
                answer[end, here] = by_volume(read * by_mass / 100.0, end, kind)
            else:
                answer[end, here] = read * by_volume(np.array([by_mass]), end, kind)[0] / 100.0
    return answer[0], np.minimum(answer[1], 100.0)


def _with_column(readings: Readings, like: int | None) -> Readings:
    """Append a column for glycol without a reading."""
    n = len(readings.samples)
    nothing = np.full(n, np.nan)
    return replace(
        readings,
        columns=(*readings.columns, GLYCOL),
        lower=np.asfortranarray(np.column_stack([readings.lower, nothing])),
        upper=np.asfortranarray(np.column_stack([readings.upper, nothing])),
        status=np.asfortranarray(
            np.column_stack([readings.status, np.full(n, ABSENT, dtype=np.int8)])
        ),
        shared_factor=_wider(readings.shared_factor, np.ones(n, dtype=np.float32)),
        method=_of_like(readings.method, like),
        laboratory=_of_like(readings.laboratory, like),
        lot=_of_like(readings.lot, like),
    )


def _of_like(coded: Coded, like: int | None) -> Coded:
    """Append the codes of the column that the new one is like."""
    nobody = np.full(len(coded.codes), -1, dtype=np.int16)
    return replace(
        coded, codes=_wider(coded.codes, nobody if like is None else coded.codes[:, like])
    )


def _wider(array: npt.NDArray[Kind], column: npt.NDArray[Kind]) -> npt.NDArray[Kind]:
    """Append a column; where all columns are a view of one that says the same, stay one."""
    one = array.shape[1] > 0 and array.strides[1] == 0
    if one and (array[:, 0] == column).all():
        return np.broadcast_to(array[:, :1], (len(array), array.shape[1] + 1))
    return np.asfortranarray(np.column_stack([array, column]))


def _doubts_too(
    doubts: Doubts | None, readings: Readings, rows: Rows, column: int
) -> Doubts | None:
    """Doubt what was worked out from a result in doubt."""
    doubts = for_columns(doubts, len(readings.columns))
    if doubts is None or doubts.of_cell is None:
        return doubts
    cells = doubts.of_cell.copy()
    cells[rows, readings.columns.index(GLYCOL)] = cells[rows, column]
    return replace(doubts, of_cell=cells)


def _assumption(samples: int) -> str:
    share = coolant_concentrate()["glycol_by_mass"]
    return (
        f"{samples:,} {'sample' if samples == 1 else 'samples'}: glycol worked out from the share "
        f"of concentrate, {share.lower:g} to {share.upper:g} % of whose mass is glycol "
        f"({share.source})"
    )
