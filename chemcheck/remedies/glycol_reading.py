"""Share of glycol from what was measured: freezing point, density, refractive index or Brix.

Every conversion is made by each table of the glycol that fits, and the interval holds them
all: as long as nobody says whether the percent counts glycol free of additives or inhibited
concentrate, both are possible. The value is that of the first table, the inhibited one.

A coolant that mixes both glycols has no share that these readings could tell: two unknowns
stand behind one number.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.chemistry.glycol_density import share_of_density
from chemcheck.chemistry.glycol_freezing import share_that_freezes_at
from chemcheck.chemistry.glycol_tables import PropertyTable
from chemcheck.limit_library.glycol_properties import GlycolProperties
from chemcheck.remedies.estimate import Column, Estimate, between

_COVERAGE = 1.96


@dataclass(frozen=True, slots=True)
class GlycolReading:
    """What one method says of the share of glycol, for one sample or a column.

    Parameters
    ----------
    method : str
        What was measured, in words.
    percent : Estimate
        [vol%]; NaN where the reading fits no share from 0 to 60 vol%.
    second : ndarray
        A second share that gives the same reading [vol%]; NaN where none is known.
    uncertain : ndarray of bool
        Where the reading is beyond the tables, so that the share may be larger.
    """

    method: str
    percent: Estimate
    second: Column
    uncertain: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


def by_freezing_point(
    reading: Estimate,
    uncertainty: ArrayLike,
    glycol: GlycolProperties,
    basis: str | None = None,
) -> GlycolReading:
    """Share of glycol from a freezing point.

    Parameters
    ----------
    reading : Estimate
        [deg C].
    uncertainty : float or array-like
        Standard uncertainty of the method [deg C].
    glycol : GlycolProperties
        Which glycol.
    basis : {"inhibited", "pure"} or None
        Whose percent is asked for; None gives the interval of both.

    Returns
    -------
    GlycolReading
        ``second`` is the share beyond the turn of the curve that freezes there too.

    Examples
    --------
    >>> from chemcheck.limit_library.glycol_properties import glycol_properties
    >>> from chemcheck.remedies.estimate import exact
    >>> found = by_freezing_point(exact(-37.0), 0.3, glycol_properties("ethylene_glycol"))
    >>> float(found.percent.value.round(1)), float(found.second.round(0))
    (49.9, 85.0)
    """
    tables = glycol.of("freezing_point", basis)
    beyond = next(iter(glycol.of("freezing_point_beyond")), None)

    def share(table: PropertyTable, value: Column) -> Column:
        return share_that_freezes_at(table, None, value)[0]

    _, second, uncertain = share_that_freezes_at(tables[0], beyond, reading.value)
    wide = widened(reading, uncertainty, most=0.0)
    return GlycolReading("freezing point", _over(tables, share, wide), second, uncertain)


def by_density(
    reading: Estimate,
    uncertainty: ArrayLike,
    temperature: ArrayLike,
    glycol: GlycolProperties,
    basis: str | None = None,
) -> GlycolReading:
    """Share of glycol from a density.

    Parameters
    ----------
    reading : Estimate
        [kg/m3].
    uncertainty : float or array-like
        Standard uncertainty of the method [kg/m3].
    temperature : float or array-like
        Of the sample when it was read [deg C].
    glycol, basis
        As for `by_freezing_point`.

    Returns
    -------
    GlycolReading
        Inhibitors make a coolant denser than its glycol does: 5 kg/m3 at 50 vol% of
        ethylene glycol, about 4 vol%.

    Examples
    --------
    >>> from chemcheck.limit_library.glycol_properties import glycol_properties
    >>> from chemcheck.remedies.estimate import exact
    >>> glycol = glycol_properties("ethylene_glycol")
    >>> round(float(by_density(exact(1073.3), 1.0, 20.0, glycol, "inhibited").percent.value))
    50
    """
    heat = np.asarray(temperature, dtype=np.float64)

    def share(table: PropertyTable, value: Column) -> Column:
        return share_of_density(table, value, heat)

    return without_second(
        "density", _over(glycol.of("density", basis), share, widened(reading, uncertainty))
    )


def combine(readings: Sequence[GlycolReading]) -> tuple[Estimate, tuple[tuple[str, str], ...]]:
    """Combine what several methods say of one sample.

    Parameters
    ----------
    readings : sequence of GlycolReading
        Of one sample or of columns of one length.

    Returns
    -------
    percent : Estimate
        What all agree on; where two exclude each other, all that any of them says [vol%].
        Its value is that of the narrowest, kept inside.
    disagree : tuple of (str, str)
        Pairs of methods whose intervals exclude each other, in any row.
    """
    known = [one.percent for one in readings]
    lower = np.fmax.reduce(np.stack([one.lower for one in known]))
    upper = np.fmin.reduce(np.stack([one.upper for one in known]))
    apart = lower > upper
    low = np.where(apart, np.fmin.reduce(np.stack([one.lower for one in known])), lower)
    high = np.where(apart, np.fmax.reduce(np.stack([one.upper for one in known])), upper)
    width = np.stack([np.nan_to_num(one.upper - one.lower, nan=np.inf) for one in known])
    values = np.stack([one.value for one in known])
    best = np.take_along_axis(values, np.argmin(width, axis=0)[np.newaxis], axis=0)[0]
    disagree = tuple(
        (one.method, other.method)
        for one, other in combinations(readings, 2)
        if np.any(one.percent.lower > other.percent.upper)
        or np.any(other.percent.lower > one.percent.upper)
    )
    return between(low, high, np.clip(best, low, high)), disagree


def widened(
    reading: Estimate, uncertainty: ArrayLike, least: float = -np.inf, most: float = np.inf
) -> Estimate:
    """Add a method's uncertainty either side of a reading, 95 %.

    Parameters
    ----------
    reading : Estimate
        As reported.
    uncertainty : float or array-like
        Standard uncertainty of the method [as the reading].
    least, most : float
        What cannot be passed.

    Returns
    -------
    Estimate
        The reading's value, its ends 1.96 uncertainties further out.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> float(widened(exact(-1.0), 1.0, most=0.0).upper)
    0.0
    """
    half = _COVERAGE * np.asarray(uncertainty, dtype=np.float64)
    low = np.maximum(reading.lower - half, least)
    return between(low, np.maximum(np.minimum(reading.upper + half, most), low), reading.value)


def _over(
    tables: Sequence[PropertyTable],
    share: Callable[[PropertyTable, Column], Column],
    reading: Estimate,
) -> Estimate:
    """Convert a reading by every table; a reading past a table's end stops there."""
    value = share(tables[0], reading.value)
    ends = [
        share(table, _stopped(table, share, end, reading.value))
        for table in tables
        for end in (reading.lower, reading.upper, reading.value)
    ]
    stacked = np.stack([*ends, value])
    return Estimate(value, np.fmin.reduce(stacked), np.fmax.reduce(stacked))


def _stopped(
    table: PropertyTable,
    share: Callable[[PropertyTable, Column], Column],
    end: Column,
    value: Column,
) -> Column:
    """Bring the end of a reading back to the table where the reading itself is in it."""
    inside, reached = share(table, value), share(table, end)
    if not np.any(np.isnan(reached) & ~np.isnan(inside)):
        return end
    near, far = np.array(value, dtype=float), np.array(end, dtype=float)
    for _ in range(50):
        middle = 0.5 * (near + far)
        good = ~np.isnan(share(table, middle))
        near, far = np.where(good, middle, near), np.where(good, far, middle)
    return np.where(np.isnan(reached) & ~np.isnan(inside), near, end)


def without_second(method: str, percent: Estimate) -> GlycolReading:
    """Return a reading that no second share gives.

    Parameters
    ----------
    method : str
        What was measured.
    percent : Estimate
        [vol%].

    Returns
    -------
    GlycolReading
        Uncertain where it fits no share.
    """
    none = np.full(np.shape(percent.value), np.nan)
    return GlycolReading(method, percent, none, np.asarray(np.isnan(percent.value)))
