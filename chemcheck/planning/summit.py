"""The summit of a concave log-likelihood, free or along a line."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from chemcheck.planning.interval_likelihood import Hill
from chemcheck.planning.standard_forms import Floats

ROUNDS = 200
CLOSE = 1e-11
# A step towards steepness 0 goes at most this share of the way.
TOWARDS_ZERO = 0.9
FLATTEST = 1e-9


@dataclass(frozen=True, slots=True)
class Summit:
    """Where a log-likelihood is greatest.

    Parameters
    ----------
    shift, steepness : float
        Of z = steepness y - shift.
    hill : Hill
        Value and derivatives there.
    """

    shift: float
    steepness: float
    hill: Hill


def climb(
    likelihood: Callable[[float, float], Hill],
    start: Floats,
    directions: Floats,
    close: float = CLOSE,
) -> Summit:
    """Climb to the summit by Newton's steps, halved where they overshoot.

    Parameters
    ----------
    likelihood : callable
        Value and derivatives at (shift, steepness); concave.
    start : numpy.ndarray, shape (2,)
        Shift and steepness to start from, where the likelihood is finite.
    directions : numpy.ndarray, shape (k, 2)
        Directions in which to move, k from 0 to 2.
    close : float, default 1e-11
        What may be left to climb, in units of the log-likelihood.

    Returns
    -------
    Summit
        The summit; near steepness 0 the last point before it, where the summit is at 0.

    Examples
    --------
    >>> def round_hill(shift, steepness):
    ...     away = np.array([shift - 1.0, steepness - 2.0])
    ...     return Hill(-0.5 * away @ away, -away, -np.eye(2))
    >>> top = climb(round_hill, np.array([0.0, 1.0]), np.eye(2))
    >>> top.shift, top.steepness
    (1.0, 2.0)
    """
    point = np.array(start, dtype=np.float64)
    here = likelihood(point[0], point[1])
    for _ in range(ROUNDS if directions.size else 0):
        step = directions.T @ _newton_step(directions @ here.gradient, directions, here.hessian)
        if step[1] < -TOWARDS_ZERO * point[1]:
            step *= -TOWARDS_ZERO * point[1] / step[1]
        gain = float(here.gradient @ step)
        if step[1] < 0.0 and point[1] < FLATTEST:
            break
        there, hill, moved = _rise(likelihood, point, here, step, gain)
        if not moved:
            break
        point, here = there, hill
        # The step just taken leaves about the square of its gain.
        if gain < close + 1e-15 * abs(here.value):
            break
    return Summit(float(point[0]), float(point[1]), here)


def _newton_step(gradient: Floats, directions: Floats, hessian: Floats) -> Floats:
    """Solve for the step; where rounding spoils the curvature, add some."""
    curvature = -directions @ hessian @ directions.T
    size = float(np.abs(np.diag(curvature)).max()) or 1.0
    for ridge in (0.0, 1e-10, 1e-6, 1e-2):
        bent = curvature + ridge * size * np.eye(gradient.size)
        try:
            factor = np.linalg.cholesky(bent)
        except np.linalg.LinAlgError:
            continue
        return np.asarray(np.linalg.solve(factor.T, np.linalg.solve(factor, gradient)))
    return gradient / size


def _rise(
    likelihood: Callable[[float, float], Hill], point: Floats, here: Hill, step: Floats, gain: float
) -> tuple[Floats, Hill, bool]:
    """Halve the step until the likelihood rises by a fair share of what was promised."""
    # Sums of many terms do not rise to the last digit.
    part, slack = 1.0, 1e-13 * abs(here.value)
    for _ in range(60):
        there = point + part * step
        hill = likelihood(float(there[0]), float(there[1]))
        if hill.value >= here.value + 1e-4 * part * gain - slack:
            return there, hill, True
        part *= 0.5
    return point, here, False
