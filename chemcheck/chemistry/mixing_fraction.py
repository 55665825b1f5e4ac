"""How much of one coolant is in another, by what each brings: fraction from several tracers.

Water that thinned the mixture must not be taken for one of the two: what is left of both is
fitted together, so that dilution is taken out by the tracers themselves.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Two-sided 95 % of a normal distribution, in standard deviations.
COVERAGE = 1.96
# A tracer further from the fit than so many of its standard deviations does not agree with it.
DISAGREES = 3.0


@dataclass(frozen=True, slots=True)
class MixingFraction:
    """Share of another coolant in the coolant of each sample.

    Parameters
    ----------
    fraction, lower, upper : ndarray, shape (n,)
        Of the coolant, water not counted, with 95 % limits [1]; NaN where fewer than two
        tracers tell the two apart.
    left : ndarray, shape (n,)
        What both are together of an undiluted fill [1].
    chi_square, without : ndarray, shape (n,)
        Of the fit, and of the fit without the other coolant.
    tracers : ndarray of int, shape (n,)
        How many were used.
    disagree : ndarray of bool, shape (n, n_tracers)
        Which do not lie with the fit.
    """

    fraction: Floats
    lower: Floats
    upper: Floats
    left: Floats
    chi_square: Floats
    without: Floats
    tracers: NDArray[np.intp]
    disagree: NDArray[np.bool_]


def mixing_fraction(found: Floats, own: Floats, other: Floats, spread: Floats) -> MixingFraction:
    """Fit the share of another coolant.

    Parameters
    ----------
    found, own, other : ndarray, shape (n, n_tracers)
        Tracers in the samples, and in the two coolants as they are filled [any unit of
        concentration, one a tracer]; NaN where not known.
    spread : ndarray, shape (n, n_tracers)
        Standard deviation of found from what the mixture is expected to hold: method,
        reading, and what use does to a tracer [the same units].

    Returns
    -------
    MixingFraction
        Limits are widened by the root of the reduced chi-square where the tracers scatter
        more than they should.

    Notes
    -----
    Weighted least squares of c = p a + q b with p and q not below zero; the fraction is
    q / (p + q), its variance by first order from that of p and q.

    Examples
    --------
    A coolant of 1000 and 200 mg/L that holds a quarter of one with 0 and 900, a tenth water:

    >>> own, other = np.array([[1000.0, 200.0]]), np.array([[0.0, 900.0]])
    >>> found = 0.9 * (0.75 * own + 0.25 * other)
    >>> answer = mixing_fraction(found, own, other, 0.05 * found)
    >>> float(answer.fraction[0].round(2)), float(answer.left[0].round(2))
    (0.25, 0.9)
    """
    known = np.isfinite(found) & np.isfinite(own) & np.isfinite(other) & (spread > 0.0)
    weight = np.where(known, 1.0 / np.where(known, spread, 1.0) ** 2, 0.0)
    c, a, b = (np.where(known, one, 0.0) for one in (found, own, other))
    aa, ab, bb = ((weight * x * y).sum(axis=1) for x, y in ((a, a), (a, b), (b, b)))
    ac, bc = ((weight * x * c).sum(axis=1) for x in (a, b))
    det = aa * bb - ab**2
    count = known.sum(axis=1)
    told_apart = (count >= 2) & (det > 1e-6 * aa * bb)
    safe = np.where(told_apart, det, np.nan)
    with np.errstate(divide="ignore", invalid="ignore"):
        p, q = (bb * ac - ab * bc) / safe, (aa * bc - ab * ac) / safe
        alone_p, alone_q = ac / aa, bc / bb
    p, q = (
        np.where(q < 0.0, alone_p, np.where(p < 0.0, 0.0, p)),
        np.where(p < 0.0, alone_q, np.where(q < 0.0, 0.0, q)),
    )
    total = np.where(p + q > 0.0, p + q, np.nan)
    residual = c - p[:, np.newaxis] * a - q[:, np.newaxis] * b
    chi_square = (weight * residual**2).sum(axis=1)
    alone = c - np.where(np.isfinite(alone_p), alone_p, 0.0)[:, np.newaxis] * a
    freedom = np.maximum(count - 2, 1)
    wider = np.sqrt(np.maximum(chi_square / freedom, 1.0))
    # d(q/(p+q)) = (p dq - q dp) / (p+q)^2, with the inverse of the normal matrix.
    variance = (p**2 * aa + q**2 * bb + 2.0 * p * q * ab) / safe / total**4
    half = COVERAGE * wider * np.sqrt(variance)
    fraction = q / total
    with np.errstate(invalid="ignore"):
        far = known & (np.abs(residual) * np.sqrt(weight) > DISAGREES)
    return MixingFraction(
        fraction=fraction,
        lower=np.maximum(fraction - half, 0.0),
        upper=np.minimum(fraction + half, 1.0),
        left=np.where(told_apart, total, np.nan),
        chi_square=np.where(told_apart, chi_square, np.nan),
        without=np.where(told_apart, (weight * alone**2).sum(axis=1), np.nan),
        tracers=count,
        disagree=far & told_apart[:, np.newaxis],
    )
