"""A fleet's readings, checked, and brought to the scale of the arithmetic under a curve."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.errors import NotEnoughDataError, not_one_of
from chemcheck.forecasting.curves import Curve
from chemcheck.forecasting.fill_rows import Bools, FillRows, Floats, Integers, order_rows
from chemcheck.forecasting.propagation import Readings
from chemcheck.forecasting.reading_scale import ReadingScale, choose_scale


@dataclass(frozen=True, slots=True)
class FleetReadings:
    """Readings in the user's units.

    Parameters
    ----------
    codes : numpy.ndarray, shape (n,)
        Fill of each reading.
    features : numpy.ndarray, shape (n, k + 1)
        Axis since the fill, covariates.
    lower, upper : numpy.ndarray, shape (n,)
        Ends of each reading; infinite ends allowed.
    breaks : numpy.ndarray of bool, shape (n,), optional
        Readings before which the level moved by an unknown amount; None where none did.
    doubts : numpy.ndarray, shape (n, d), optional
        What one standard deviation of each thing that readings share adds to them.
    """

    codes: Integers
    features: Floats
    lower: Floats
    upper: Floats
    breaks: Bools | None = None
    doubts: Floats | None = None

    @property
    def fills(self) -> int:
        """How many fills."""
        return int(self.codes.max()) + 1

    @property
    def told(self) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Which readings say anything."""
        told = np.isfinite(self.lower) | np.isfinite(self.upper)
        return np.asarray(told)

    def sample(self, fills: int, seed: int) -> "FleetReadings":
        """Draw some fills, in their order; all if there are not more."""
        if self.fills <= fills:
            return self
        random = np.random.default_rng(seed)
        chosen = np.zeros(self.fills, dtype=bool)
        chosen[random.choice(self.fills, fills, replace=False)] = True
        kept = chosen[self.codes]
        renumbered = np.cumsum(chosen) - 1
        return FleetReadings(
            renumbered[self.codes[kept]],
            self.features[kept],
            self.lower[kept],
            self.upper[kept],
            None if self.breaks is None else self.breaks[kept],
            None if self.doubts is None else self.doubts[kept],
        )

    def demand_enough(self) -> None:
        """Refuse readings that cannot tell a rate and its error.

        Raises
        ------
        NotEnoughDataError
            If fewer than 3 say anything, all lie at one place, or all share one value.
        """
        told = self.told
        count, axis = int(told.sum()), self.features[told, 0]
        if count < 3:
            message = f"a trend needs 3 readings that say something; found {count}"
            raise NotEnoughDataError(message)
        if np.ptp(axis) == 0.0:
            message = (
                f"all {count} readings lie at one point of the axis ({axis[0]:g}); a rate needs two"
            )
            raise NotEnoughDataError(message)
        if np.max(self.lower[told]) < np.min(self.upper[told]):
            message = (
                f"all {count} readings are intervals that share a value, such as non-detects "
                "alone; they tell no rate"
            )
            raise NotEnoughDataError(message)


@dataclass(frozen=True, slots=True)
class ScaledReadings:
    """Readings on the scale of the arithmetic, in order.

    Parameters
    ----------
    curve : Curve
        Shape they are to be fitted with.
    scale : ReadingScale
        The scale.
    rows : FillRows
        Places.
    readings : Readings
        Readings.
    origin : float
        Where the walks start on the scaled axis.
    log_stretch : float
        What a log-likelihood on this scale gains to be one in the user's units.
    doubts : numpy.ndarray, shape (d, n), optional
        What one standard deviation of each thing that readings share adds to them.
    """

    curve: Curve
    scale: ReadingScale
    rows: FillRows
    readings: Readings
    origin: float
    log_stretch: float
    doubts: Floats | None = None


def scale_readings(fleet: FleetReadings, curve: Curve) -> ScaledReadings:
    """Bring readings to the scale of the arithmetic.

    Parameters
    ----------
    fleet : FleetReadings
        Readings in the user's units.
    curve : Curve
        Shape that they are to be fitted with.

    Returns
    -------
    ScaledReadings
        The readings in order, about a plain line through them.
    """
    features = fleet.features.copy()
    features[:, 0] = curve.axis(features[:, 0])
    lower, upper = curve.reading(fleet.lower), curve.reading(fleet.upper)
    told = np.isfinite(lower) | np.isfinite(upper)
    middle = _middles(lower, upper)
    scale = choose_scale(features[told], middle[told])
    axis, covariates = scale.columns(features)
    origin = min(0.0, float(axis.min()))
    rows, order = order_rows(fleet.codes, axis, covariates, origin, fleet.breaks)
    level, told = scale.level(rows.design), told[order]
    low, high = (lower[order] - level) / scale.reading, (upper[order] - level) / scale.reading
    special = np.flatnonzero((low < high) & told)
    value = np.where(told, (middle[order] - level) / scale.reading, 0.0)
    readings = Readings(value, told.astype(float), low[special], high[special], special)
    exact = fleet.lower[fleet.lower == fleet.upper]
    log_stretch = curve.log_stretch(exact) - exact.size * float(np.log(scale.reading))
    if rows.breaks is not None and exact.size:
        # The level after a break takes one reading to find: that one's density does not count.
        log_stretch *= max(1.0 - float(rows.breaks.sum()) / exact.size, 0.0)
    doubts = None
    if fleet.doubts is not None:
        steepness = curve.steepness(middle)[:, None] / scale.reading
        doubts = (fleet.doubts * steepness)[order].T
    return ScaledReadings(curve, scale, rows, readings, origin, log_stretch, doubts)


def upper_ends(lower: Floats, y_upper: ArrayLike | None) -> Floats:
    """Check the upper ends of readings.

    Parameters
    ----------
    lower : numpy.ndarray, shape (n,)
        Lower ends.
    y_upper : array-like, shape (n,), or None
        Upper ends as the user gave them; None where all readings are exact.

    Returns
    -------
    numpy.ndarray, shape (n,)
        Upper ends.

    Raises
    ------
    ValueError
        If the shape is wrong, or an upper end is below its lower end or missing.
    """
    if y_upper is None:
        return lower
    upper = np.asarray(y_upper, dtype=np.float64)
    if upper.shape != lower.shape:
        message = f"y_upper has shape {upper.shape}; expected {lower.shape} as y"
        raise ValueError(message)
    wrong = np.flatnonzero(~(upper >= lower))
    if wrong.size:
        row = int(wrong[0])
        message = (
            f"y_upper: reading {row} runs from {lower[row]:g} to {upper[row]:g}; expected an "
            "upper end not below the lower"
        )
        raise ValueError(message)
    return upper


def checked_breaks(breaks: ArrayLike | None, rows: int) -> Bools | None:
    """Check where levels break; None where none does.

    Raises
    ------
    ValueError
        If there is not one for each reading.
    """
    if breaks is None:
        return None
    found = np.asarray(breaks, dtype=bool)
    if found.shape != (rows,):
        message = f"breaks has shape {found.shape}; expected {(rows,)} as y"
        raise ValueError(message)
    return found if found.any() else None


def checked_doubts(doubts: ArrayLike | None, rows: int) -> Floats | None:
    """Check what readings share that is not sure; None where nothing is.

    Raises
    ------
    ValueError
        If it is no table of finite numbers with a row for each reading.
    """
    if doubts is None:
        return None
    found = np.asarray(doubts, dtype=np.float64)
    if found.ndim != 2 or len(found) != rows or not np.isfinite(found).all():
        message = f"doubts has shape {found.shape}; expected finite numbers, {rows} rows as y"
        raise ValueError(message)
    return found if found.any() else None


def checked_bounds(bound: ArrayLike, fills: int) -> Floats:
    """Return a bound for each fill, shape (fills,)."""
    values = np.asarray(bound, dtype=np.float64)
    if values.ndim > 1 or (values.ndim == 1 and values.shape != (fills,)):
        message = (
            f"bound has shape {values.shape}; expected one number, or one for each of the "
            f"{fills} fills"
        )
        raise ValueError(message)
    return np.broadcast_to(values, (fills,))


def demand_one_of(value: str, options: Sequence[str], name: str) -> None:
    """Refuse a choice that there is not."""
    if value not in options:
        raise ValueError(not_one_of(str(value), options, name))


def _middles(lower: Floats, upper: Floats) -> Floats:
    """Middle of each reading, or its finite end."""
    with np.errstate(invalid="ignore"):
        middle = 0.5 * (lower + upper)
    middle = np.where(np.isneginf(lower), upper, middle)
    return np.where(np.isposinf(upper), lower, middle)
