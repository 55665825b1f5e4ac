"""What changed in a unit between two samples, and whether the readings show it."""

from dataclasses import dataclass

import numpy as np

from chemcheck.judging.decision_rules import DECISION_RULES
from chemcheck.judging.record import Judged

RISEN, FALLEN, NO_CHANGE, OTHER_METHOD = (
    "risen",
    "fallen",
    "no change shown",
    "not compared: read by another method",
)


@dataclass(frozen=True, slots=True)
class Change:
    """One quantity in two samples of a unit.

    Parameters
    ----------
    place : int
        Its position among the quantities.
    before, after : tuple of float
        Ends of both readings [canonical unit].
    lower, upper : float
        Ends of the difference, the methods' 95 % uncertainty included [canonical unit]; NaN
        where readings by two methods are not subtracted.
    found : str
        ``RISEN``, ``FALLEN``, ``NO_CHANGE`` or ``OTHER_METHOD``.
    """

    place: int
    before: tuple[float, float]
    after: tuple[float, float]
    lower: float
    upper: float
    found: str


def changes(judged: Judged, before: int, after: int) -> tuple[Change, ...]:
    """Hold the readings of two samples against each other.

    Parameters
    ----------
    judged : Judged
        The samples, judged.
    before, after : int
        Positions of the earlier and the later sample.

    Returns
    -------
    tuple of Change
        Of every quantity read in both: first what rose or fell, then the others.

    Notes
    -----
    A difference is shown where its interval, both readings and 1.96 times the root of the
    sum of their squared standard uncertainties, does not hold 0: the reference change value
    of clinical chemistry without the spread within a unit, which is not known here [1]_.

    References
    ----------
    .. [1] Harris, E. K. and Yasaka, T. (1983), On the calculation of a reference change for
       comparing two consecutive measurements, Clinical Chemistry 29, 25-30 (from memory).
    """
    readings = judged.readings
    lower, upper = readings.lower[[before, after]], readings.upper[[before, after]]
    u = judged.uncertainty[[before, after], : len(readings.columns)].astype(np.float64)
    both = np.flatnonzero(~np.isnan(lower).any(axis=0))
    reach = DECISION_RULES["overlap"].accept * np.sqrt(np.nansum(u**2, axis=0))
    # Whether ppm means mg/kg or mg/L is one unknown of both: it does not widen a difference.
    single = upper / readings.shared_factor[[before, after]]
    least = lower[1] - single[0] - reach
    most = single[1] - lower[0] + reach
    method = readings.method.codes
    told = []
    for place in both.tolist():
        same = method[before, place] == method[after, place]
        ends = (float(least[place]), float(most[place])) if same else (np.nan, np.nan)
        told.append(
            Change(
                place,
                (float(lower[0, place]), float(upper[0, place])),
                (float(lower[1, place]), float(upper[1, place])),
                *ends,
                _word(*ends),
            )
        )
    return tuple(sorted(told, key=lambda one: one.found in (NO_CHANGE, OTHER_METHOD)))


def _word(least: float, most: float) -> str:
    if np.isnan(least) or np.isnan(most):
        return OTHER_METHOD
    if least > 0:
        return RISEN
    return FALLEN if most < 0 else NO_CHANGE
