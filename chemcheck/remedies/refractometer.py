"""Share of glycol by refractometer: index, Brix, and what the wrong scale makes of it.

The tables of refractive index are computed, not measured; their error, and what inhibitors
may add, are in every interval.
"""

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.chemistry.glycol_freezing import freezing_point, share_that_freezes_at
from chemcheck.chemistry.glycol_tables import PropertyTable, read_back, read_table
from chemcheck.limit_library.assumed_values import refraction
from chemcheck.limit_library.glycol_properties import GlycolProperties
from chemcheck.remedies.estimate import Column, Estimate, between
from chemcheck.remedies.glycol_reading import GlycolReading, widened, without_second

# Where the guess of what inhibitors add to the refractive index is made [vol%].
_INHIBITORS_AT = 50.0
_REFERENCE_TEMPERATURE = 20.0


def by_refractive_index(
    reading: Estimate,
    uncertainty: ArrayLike,
    glycol: GlycolProperties,
    basis: str | None = None,
    temperature: ArrayLike | None = None,
    method: str = "refractive index",
) -> GlycolReading:
    """Share of glycol from a refractive index.

    Parameters
    ----------
    reading : Estimate
        [1].
    uncertainty : float or array-like
        Standard uncertainty of the instrument [1].
    glycol, basis
        As for `by_freezing_point`.
    temperature : float or array-like, optional
        Of the sample, for an instrument that does not compensate it [deg C].
    method : str
        What it is called in the answer.

    Returns
    -------
    GlycolReading
        With the error of the computed table, and what inhibitors may add unless the basis is
        ``pure``.

    Examples
    --------
    >>> from chemcheck.limit_library.glycol_properties import glycol_properties
    >>> from chemcheck.remedies.estimate import exact
    >>> glycol = glycol_properties("ethylene_glycol")
    >>> round(float(by_refractive_index(exact(1.3866), 0.0, glycol, "pure").percent.value))
    50
    """
    _, assumed = refraction()
    [table] = glycol.of("refractive_index")
    at_20 = reading if temperature is None else index_at_20(reading, temperature)
    wide = widened(at_20, uncertainty)
    low = wide.lower + assumed["table_error"].lower
    high = wide.upper + assumed["table_error"].upper
    value = wide.value
    if basis != "pure":
        rough = np.nan_to_num(read_back(table, np.clip(value, *_span(table))), nan=0.0)
        part = np.minimum(rough / _INHIBITORS_AT, 1.0)
        rise = assumed["inhibitor_rise"]
        low = low - rise.upper * part
        if basis == "inhibited":
            high, value = high - rise.lower * part, value - 0.5 * (rise.lower + rise.upper) * part
    return without_second(method, _back(table, between(low, np.maximum(high, low), value)))


def by_brix(
    reading: Estimate,
    uncertainty: ArrayLike,
    glycol: GlycolProperties,
    basis: str | None = None,
    temperature: ArrayLike | None = None,
) -> GlycolReading:
    """Share of glycol from a reading on the Brix scale.

    Parameters
    ----------
    reading : Estimate
        [Bx].
    uncertainty : float or array-like
        Standard uncertainty of the instrument [Bx].
    glycol, basis, temperature
        As for `by_refractive_index`.

    Returns
    -------
    GlycolReading
        As `by_refractive_index`: Brix counts sugar, and is no percent of glycol.

    Examples
    --------
    >>> from chemcheck.limit_library.glycol_properties import glycol_properties
    >>> from chemcheck.remedies.estimate import exact
    >>> glycol = glycol_properties("ethylene_glycol")
    >>> round(float(by_brix(exact(33.0), 0.0, glycol, "pure").percent.value))
    50
    """
    wide = widened(reading, uncertainty, least=0.0)
    index = between(*(index_of_brix(end) for end in (wide.lower, wide.upper, wide.value)))
    return by_refractive_index(index, 0.0, glycol, basis, temperature, "Brix")


def index_of_brix(brix: ArrayLike) -> Column:
    """Refractive index at 20 C that a reading on the Brix scale stands for.

    Parameters
    ----------
    brix : float or array-like
        [Bx].

    Returns
    -------
    numpy.ndarray
        [1]; NaN outside the scale.

    Examples
    --------
    >>> round(float(index_of_brix(10.0)), 5)
    1.34782
    """
    scale, _ = refraction()
    found = np.interp(
        np.asarray(brix, dtype=np.float64), scale.brix, scale.index, left=np.nan, right=np.nan
    )
    return np.asarray(found)[()]


def index_at_20(reading: Estimate, temperature: ArrayLike) -> Estimate:
    """Refractive index at 20 C of a sample read warmer or colder.

    Parameters
    ----------
    reading : Estimate
        As read [1].
    temperature : float or array-like
        Of the sample [deg C].

    Returns
    -------
    Estimate
        n + (0.0002 to 0.0003) (T - 20) [1].

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> found = index_at_20(exact(1.3840), 30.0)
    >>> float(found.lower.round(4)), float(found.upper.round(4))
    (1.386, 1.387)
    """
    fall = refraction()[1]["fall_by_temperature"]
    above = np.asarray(temperature, dtype=np.float64) - _REFERENCE_TEMPERATURE
    least = np.minimum(fall.lower * above, fall.upper * above)
    most = np.maximum(fall.lower * above, fall.upper * above)
    return between(
        reading.lower + least, reading.upper + most, reading.value + 0.5 * (least + most)
    )


def on_the_wrong_scale(
    reading: ArrayLike, scale: GlycolProperties, glycol: GlycolProperties
) -> tuple[Column, Column]:
    """Return what a coolant is that was read on the other glycol's freezing scale.

    Parameters
    ----------
    reading : float or array-like
        Freezing point on the instrument's scale [deg C].
    scale, glycol : GlycolProperties
        The glycol the scale is made for, and the one that was read.

    Returns
    -------
    freezing : numpy.ndarray
        Where it freezes in truth [deg C].
    percent : numpy.ndarray
        Its share of glycol [vol%]; NaN in both where a table ends.

    Notes
    -----
    The instrument sees the refractive index; each scale turns it into a freezing point by
    its own glycol. Computed for glycol free of additives.

    Examples
    --------
    >>> from chemcheck.limit_library.glycol_properties import glycol_properties
    >>> one, other = map(glycol_properties, ("ethylene_glycol", "propylene_glycol"))
    >>> freezing, percent = on_the_wrong_scale(-37.0, one, other)
    >>> round(float(freezing)), round(float(percent))
    (-28, 46)
    """
    seen_as, _, _ = share_that_freezes_at(_main(scale), None, reading)
    index = read_table(scale.of("refractive_index")[0], seen_as)
    percent = read_back(glycol.of("refractive_index")[0], index)
    return freezing_point(_main(glycol), percent)[0], percent


def _back(table: PropertyTable, reading: Estimate) -> Estimate:
    """Read an index back; ends past the table stop there, a value past it is none."""
    span = _span(table)
    value = read_back(table, np.where(reading.value < span[0], span[0], reading.value))
    low, high = (read_back(table, np.clip(end, *span)) for end in (reading.lower, reading.upper))
    none = np.isnan(value)
    return Estimate(value, np.where(none, np.nan, low), np.where(none, np.nan, high))


def _span(table: PropertyTable) -> tuple[float, float]:
    return float(table.values.min()), float(table.values.max())


def _main(glycol: GlycolProperties) -> PropertyTable:
    return glycol.of("freezing_point", "inhibited")[0]
