"""Plain ways of foreseeing a fill's next readings, against which the model is held."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

LAST_VALUE = "last value"
OWN_LINE = "a line through each unit alone"
FIXED_INTERVAL = "fixed interval: every unit alike"
HUBER = "Huber line through the last value"
BASELINES = (FIXED_INTERVAL, LAST_VALUE, OWN_LINE, HUBER)


@dataclass(frozen=True, slots=True)
class Seen:
    """Readings known when the forecast was made, in order of fill and age.

    Parameters
    ----------
    fill : ndarray of int64, shape (n,)
        Codes from 0.
    age, reading : ndarray of float64, shape (n,)
        Axis since the fill, and the reading (the middle of an interval).
    n_fills : int
        Fills altogether; each has a reading.
    """

    fill: Integers
    age: Floats
    reading: Floats
    n_fills: int

    def mean(self, values: Floats) -> Floats:
        """Return the mean of each fill."""
        total = np.bincount(self.fill, weights=values, minlength=self.n_fills)
        return np.asarray(total / np.bincount(self.fill, minlength=self.n_fills))

    def last(self, values: Floats) -> Floats:
        """Return each fill's last value."""
        answer = np.empty(self.n_fills)
        answer[self.fill] = values
        return answer


def in_order(fill: Integers, age: Floats, reading: Floats) -> Seen:
    """Put readings in order of fill and age.

    Parameters
    ----------
    fill, age, reading : ndarray, shape (n,)
        As in `Seen`.
    """
    order = np.lexsort((age, fill))
    return Seen(fill[order], age[order], reading[order], int(fill.max(initial=-1)) + 1)


def baseline_forecasts(seen: Seen, fill: Integers, age: Floats) -> dict[str, tuple[Floats, Floats]]:
    """Foresee readings in every plain way.

    Parameters
    ----------
    seen : Seen
        What was known.
    fill, age : ndarray, shape (m,)
        What is asked for.

    Returns
    -------
    dict of str to (ndarray, ndarray)
        By `BASELINES`, the reading foreseen and its standard deviation: each way's own errors
        on the readings seen.

    Notes
    -----
    Changing at a fixed interval takes every unit to age alike: one least-squares line for all.
    A unit with fewer than three readings has no line of its own; its last value stands in. The
    Huber line [1]_ is fitted to readings less their fill's mean and drawn through the fill's
    last reading.

    References
    ----------
    .. [1] Huber, P. J. and Ronchetti, E. M. (2009), Robust Statistics, 2nd ed., Wiley, section
       7.3, as scikit-learn implements it.

    Examples
    --------
    >>> seen = in_order(np.array([0, 0, 0, 1, 1, 1]), np.array([0.0, 1, 2, 0, 1, 2]),
    ...                 np.array([10.0, 9, 8, 20, 18, 16]))
    >>> foreseen = baseline_forecasts(seen, np.array([0, 1]), np.array([3.0, 3.0]))
    >>> foreseen[OWN_LINE][0].round(6), foreseen[LAST_VALUE][0]
    (array([ 7., 14.]), array([ 8., 16.]))
    """
    last, last_age = seen.last(seen.reading), seen.last(seen.age)
    follows = np.r_[False, seen.fill[1:] == seen.fill[:-1]]
    step_errors = np.diff(seen.reading, prepend=0.0)[follows]
    step_ages = np.diff(seen.age, prepend=0.0)[follows]
    slope = _huber_slope(seen)
    own, own_deviation = _own_lines(seen, fill, age, _size(step_errors))
    alike, alike_errors = _one_line(seen, age)
    ahead = age - last_age[fill]
    return {
        FIXED_INTERVAL: (alike, np.full(age.shape, _size(alike_errors))),
        LAST_VALUE: (last[fill], np.full(age.shape, _size(step_errors))),
        OWN_LINE: (own, own_deviation),
        HUBER: (
            last[fill] + slope * ahead,
            np.full(age.shape, _size(step_errors - slope * step_ages)),
        ),
    }


def _size(errors: Floats) -> float:
    return float(np.sqrt(np.mean(errors**2))) if errors.size else 0.0


def _one_line(seen: Seen, age: Floats) -> tuple[Floats, Floats]:
    x, y = seen.age - seen.age.mean(), seen.reading
    spread = float(x @ x)
    slope = float(x @ y) / spread if spread > 0 else 0.0
    line = y.mean() + slope * (age - seen.age.mean())
    return line, y - y.mean() - slope * x


def _own_lines(seen: Seen, fill: Integers, age: Floats, step: float) -> tuple[Floats, Floats]:
    """Return a least-squares line for each fill, and the deviation of a reading from it."""
    count = np.bincount(seen.fill, minlength=seen.n_fills)
    x_mean, y_mean = seen.mean(seen.age), seen.mean(seen.reading)
    x, y = seen.age - x_mean[seen.fill], seen.reading - y_mean[seen.fill]
    spread = seen.mean(x * x) * count
    has_line = (count >= 3) & (spread > 0)
    slope = np.where(has_line, seen.mean(x * y) * count / np.where(has_line, spread, 1.0), 0.0)
    errors = (y - slope[seen.fill] * x)[has_line[seen.fill]]
    freedom = max(int(errors.size - 2 * has_line.sum()), 1)
    noise = float(errors @ errors) / freedom
    away = age - x_mean[fill]
    variance = noise * (1 + 1 / count[fill] + away**2 / np.where(has_line, spread, 1.0)[fill])
    mean = np.where(
        has_line[fill], y_mean[fill] + slope[fill] * away, seen.last(seen.reading)[fill]
    )
    return mean, np.where(has_line[fill], np.sqrt(variance), step)


def _huber_slope(seen: Seen) -> float:
    from sklearn.linear_model import HuberRegressor

    x = seen.age - seen.mean(seen.age)[seen.fill]
    y = seen.reading - seen.mean(seen.reading)[seen.fill]
    width, height = float(np.std(x)), float(np.std(y))
    if width == 0.0 or height == 0.0:
        return 0.0
    line = HuberRegressor(fit_intercept=False, max_iter=1000).fit(x[:, None] / width, y / height)
    return float(line.coef_[0]) * height / width
