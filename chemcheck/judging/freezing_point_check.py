"""Freezing point held against the glycol of the same sample: asked, never corrected."""

from collections.abc import Sequence
from functools import cache

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.judging.glycol_of_concentrate import GLYCOLS, by_volume
from chemcheck.limit_library.glycol_properties import glycol_properties
from chemcheck.limit_library.settings import check_settings
from chemcheck.readings.questions import ask, interval_text, no_questions
from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]


def freezing_point_questions(readings: Readings) -> pd.DataFrame:
    """Ask about freezing points that do not match the glycol read in the same sample.

    Parameters
    ----------
    readings : Readings
        With columns of freezing point and of glycol or share of concentrate.

    Returns
    -------
    DataFrame
        ``QUESTION_COLUMNS``; none where either was not read, or beyond 60 vol%, where the
        curve turns and sources disagree.

    Notes
    -----
    Every freezing point that a table of the sample's glycol gives anywhere in the reading
    counts as matching, and so does anything within ``freezing_point_difference`` of them
    (``limits/checks/cross_checks.yaml``). The tables are those of ``limits/properties``.
    Where the glycol is not known, either of the two may match. Where the other glycol
    matches, or the number taken as degrees Fahrenheit, the question says so.
    """
    place = readings.position("freezing_point")
    shares = glycol_shares_of(readings)
    if place is None or shares is None:
        return no_questions()
    low, high = readings.lower[:, place], readings.upper[:, place]
    at = np.flatnonzero(~np.isnan(low) & ~np.isnan(shares[0]) & (shares[1] <= 60.0))
    if not at.size:
        return no_questions()
    low, high = low[at], high[at]
    allowed = check_settings("cross_checks")["freezing_point_difference"].value
    expected = {
        glycol: expected_freezing_points(glycol, shares[0][at], shares[1][at]) for glycol in GLYCOLS
    }
    known = readings.samples["glycol_type"].iloc[at].to_numpy()
    matches = {glycol: _matches(low, high, *ends, allowed) for glycol, ends in expected.items()}
    good = np.zeros(at.size, dtype=np.bool_)
    for glycol in GLYCOLS:
        good |= matches[glycol] & ((known == glycol) | pd.isna(known))
    # Another fluid, such as glycerol, has its own curve.
    good |= ~pd.isna(known) & ~np.isin(known.astype(str), GLYCOLS)
    bad = np.flatnonzero(~good)
    if not bad.size:
        return no_questions()
    celsius = {
        glycol: _matches((low - 32) / 1.8, (high - 32) / 1.8, *expected[glycol], allowed)
        for glycol in GLYCOLS
    }
    said = [_said(k, known[k], expected, matches, celsius) for k in bad.tolist()]
    texts = [interval_text(low[k], high[k]) for k in bad]
    return ask(readings.samples, at[bad], "freezing_point", texts, said)


def glycol_shares_of(
    readings: Readings, rows: "slice | npt.NDArray[np.integer]" = slice(None)
) -> tuple[Floats, Floats] | None:
    """Return the ends of each sample's glycol [vol%], NaN where none was read.

    Parameters
    ----------
    readings : Readings
        With columns of glycol or share of concentrate, by volume or by mass.
    rows : slice or ndarray of int
        Of which samples; by default of all.

    Returns
    -------
    tuple of ndarray of float64, shape (n_samples,), or None
        Least and greatest; None where there is no such column.
    """
    least = check_settings("cross_checks")["least_glycol_of_concentrate"].value
    low, high = (np.full(readings.lower[rows, :0].shape[0], np.nan) for _ in range(2))
    found = False
    for place, column in enumerate(readings.columns):
        if column.analyte not in ("glycol", "coolant_concentrate"):
            continue
        found = True
        lower, upper = readings.lower[rows, place], readings.upper[rows, place]
        if column.basis == "by_mass":
            lower, upper = by_volume(lower, 0), by_volume(upper, 1)
        if column.analyte == "coolant_concentrate":
            lower = lower * least
        open_rows = np.isnan(low)
        low, high = np.where(open_rows, lower, low), np.where(open_rows, upper, high)
    return (low, high) if found else None


def expected_freezing_points(glycol: str, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Return the ends of the freezing points that any table gives for a range of shares.

    Parameters
    ----------
    glycol : {"ethylene_glycol", "propylene_glycol"}
        Which.
    low, high : ndarray of float64, shape (n,)
        Ends of the share [vol%], at most 60.

    Returns
    -------
    tuple of ndarray of float64, shape (n,)
        Coldest and warmest [deg C].
    """
    percent, coldest, warmest = envelope(glycol)
    return np.interp(high, percent, coldest), np.interp(low, percent, warmest)


def share_of_freezing_point(glycol: str, freezing_point: npt.NDArray[np.floating]) -> Floats:
    """Return the share of glycol that freezes at a temperature, by the middle of all tables.

    Parameters
    ----------
    glycol : {"ethylene_glycol", "propylene_glycol"}
        Which.
    freezing_point : ndarray, shape (n,)
        [deg C].

    Returns
    -------
    ndarray of float64, shape (n,)
        [vol%]; NaN below the tables' end at 60 vol%, where the curve turns.
    """
    percent, coldest, warmest = envelope(glycol)
    middle = (coldest + warmest) / 2
    known = ~np.isnan(middle)
    return np.asarray(
        np.interp(-freezing_point, -middle[known], percent[known], left=0.0, right=np.nan)
    )


@cache
def envelope(glycol: str) -> tuple[Floats, Floats, Floats]:
    """Return the coldest and warmest freezing point of all tables, by share of glycol.

    Parameters
    ----------
    glycol : str
        One of ``GLYCOLS``.

    Returns
    -------
    percent : ndarray of float64
        0 to 60 [vol%].
    coldest, warmest : ndarray of float64
        [deg C].
    """
    percent = np.arange(0.0, 60.01, 0.25)
    tables = glycol_properties(glycol).of("freezing_point")
    # Each table speaks as far as it goes; none is carried on beyond its end.
    points = [np.interp(percent, t.percent, t.values, right=np.nan) for t in tables]
    return percent, np.fmin.reduce(points), np.fmax.reduce(points)


def _matches(
    low: Floats, high: Floats, coldest: Floats, warmest: Floats, allowed: float
) -> npt.NDArray[np.bool_]:
    return np.asarray((low <= warmest + allowed) & (high >= coldest - allowed))


def _said(
    k: int,
    known: object,
    expected: dict[str, tuple[Floats, Floats]],
    matches: dict[str, npt.NDArray[np.bool_]],
    celsius: dict[str, npt.NDArray[np.bool_]],
) -> str:
    """Write what the glycol allows, and what would explain the reading."""
    own: Sequence[str] = GLYCOLS if pd.isna(known) else (str(known),)  # type: ignore[call-overload]  # one value
    ranges = [
        f"{expected[glycol][0][k]:.1f} to {expected[glycol][1][k]:.1f} for "
        f"{glycol.replace('_', ' ')}"
        for glycol in own
    ]
    other = [glycol for glycol in GLYCOLS if glycol not in own and matches[glycol][k]]
    if other:
        why = f"it fits {other[0].replace('_', ' ')}: is the glycol another, or the scale read?"
    elif any(celsius[glycol][k] for glycol in own):
        why = "as degrees Fahrenheit it fits: was it read in those?"
    else:
        why = "is one of the two wrong, or another fluid in it?"
    return f"deg C, but the glycol read freezes at {' or '.join(ranges)}: {why}"
