"""How the scatter of results grows with their level, from repeated results."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numpy.typing import ArrayLike

Floats = npt.NDArray[np.float64]

# Ratios of the two constants that are tried, five to a factor of ten.
_RATIOS = np.logspace(-4, 4, 161)


@dataclass(frozen=True, slots=True)
class Scatter:
    """Standard deviation of one result as a function of its level.

    Parameters
    ----------
    absolute : float
        The constant part [unit of the results].
    relative : float
        The part in proportion to the level [1].
    degrees : int
        Degrees of freedom: for pairs their number.
    """

    absolute: float
    relative: float
    degrees: int

    def at(self, level: ArrayLike) -> Floats:
        """Return the standard deviation at a level, the two parts in quadrature."""
        return np.hypot(self.absolute, self.relative * np.asarray(level, dtype=np.float64))


def pooled_scatter(
    mean: ArrayLike, variance: ArrayLike, degrees: ArrayLike, *, gain_of_both: float = 1.92
) -> Scatter | None:
    """Fit scatter against level: a constant, a proportion, or both in quadrature.

    Parameters
    ----------
    mean, variance : array-like, shape (n,)
        Of each group of repeated results [unit, unit squared].
    degrees : array-like of int, shape (n,)
        Results in each group, less one.
    gain_of_both : float
        What the second constant must gain in log-likelihood to be used; infinite where
        the scale has no natural zero, so that the constant alone is fitted.

    Returns
    -------
    Scatter or None
        None where no two results of any group differ, so that nothing is known.

    Notes
    -----
    The form is the one Eurachem recommends for uncertainty against level [1]_,
    ``s(x)^2 = s0^2 + (x s1)^2``. A group's variance is taken as chi-squared about it. Either
    constant alone has a closed form, the pooled standard deviation or the pooled relative
    one; of these two the likelier is taken, and both together only where they gain enough.
    Groups with a mean of zero or less say nothing of a proportion and are left out.

    References
    ----------
    .. [1] Eurachem/CITAC Guide CG 4, Quantifying Uncertainty in Analytical Measurement, 3rd
       edition (2012), appendix E.5 (section number from memory).

    Examples
    --------
    >>> pooled_scatter([10.0, 1000.0], [0.01, 100.0], [12, 12])
    Scatter(absolute=0.0, relative=0.01, degrees=24)
    >>> pooled_scatter([10.0, 1000.0], [4.0, 4.0], [12, 12])
    Scatter(absolute=2.0, relative=0.0, degrees=24)
    """
    level = np.asarray(mean, dtype=np.float64)
    spread = np.asarray(variance, dtype=np.float64)
    freedom = np.asarray(degrees, dtype=np.float64)
    proportional = np.isfinite(gain_of_both)
    use = (freedom > 0) & (level > 0 if proportional else np.isfinite(level))
    level, spread, freedom = level[use], spread[use], freedom[use]
    total = float(freedom.sum())
    if not total or not spread.any():
        return None
    absolute = float(np.sqrt(np.sum(freedom * spread) / total))
    if not proportional:
        return Scatter(absolute, 0.0, int(total))
    relative = float(np.sqrt(np.sum(freedom * spread / level**2) / total))
    # Minus twice the log-likelihood of each shape, its scale fitted; the constant cancels.
    flat = total * np.log(absolute**2)
    steep = total * np.log(relative**2) + np.sum(freedom * np.log(level**2))
    middle = np.exp(np.sum(freedom * np.log(level)) / total)
    shape = 1.0 + np.multiply.outer(_RATIOS, (level / middle) ** 2)
    scale = (freedom * spread / shape).sum(axis=1) / total
    mixed = total * np.log(scale) + (freedom * np.log(shape)).sum(axis=1)
    best = int(np.argmin(mixed))
    if mixed[best] < min(flat, steep) - 2.0 * gain_of_both:
        constant = float(np.sqrt(scale[best]))
        return Scatter(
            constant, constant * float(np.sqrt(_RATIOS[best])) / float(middle), int(total)
        )
    return (
        Scatter(absolute, 0.0, int(total)) if flat < steep else Scatter(0.0, relative, int(total))
    )
