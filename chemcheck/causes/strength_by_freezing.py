"""The factor of water by the freezing point, where no glycol was read."""

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from chemcheck.causes.plan import UNKNOWN
from chemcheck.judging.freezing_point_check import share_of_freezing_point
from chemcheck.judging.glycol_of_concentrate import GLYCOLS

if TYPE_CHECKING:
    from chemcheck.causes.quantities import Quantities

Singles = npt.NDArray[np.float32]
Floats = npt.NDArray[np.float64]

FREEZING_POINT = "freezing_point"
# Below the end of its tables a freezing point tells no more than this [vol%].
_MOST = 60.0
# Of thinner mixtures the factor of a share means nothing [vol%].
_LEAST = 5.0
# Freezing points of coolants of one glycol differ by their inhibitors [deg C].
_OF_INHIBITORS = 0.5


def factor_by_freezing_point(
    q: "Quantities", held: str, wanted: npt.NDArray[np.bool_]
) -> tuple[Singles, Singles]:
    """Return by what factor the strength changed, by the freezing points of both samples.

    Parameters
    ----------
    q : Quantities
        Of the stretch; with a column of freezing points.
    held : {"reference", "previous"}
        What it is held against.
    wanted : ndarray of bool, shape (n,)
        Where it is asked for.

    Returns
    -------
    tuple of ndarray of float32, shape (n,)
        Natural logarithm, NaN where a freezing point was not read or the glycol is not known;
        and its standard deviation. Below the tables' end, at 60 vol%, it is the least that
        it may be.
    """
    value = np.full(q.size, np.nan, dtype=np.float32)
    spread = np.ones(q.size, dtype=np.float32)
    now, before = q.level(FREEZING_POINT), q.held_against.of(FREEZING_POINT, held)
    read = wanted & (np.abs(now.low) < UNKNOWN) & (np.abs(now.high) < UNKNOWN)
    read &= np.isfinite(before.low) & (before.high < UNKNOWN)
    read[before.missing] = False
    glycol = q.plan.references.glycol[q.rows]
    for code, name in enumerate(q.plan.references.glycols):
        at = np.flatnonzero(read & (glycol == code))
        if name not in GLYCOLS or not at.size:
            continue
        share, width = _share(name, now.low[at], now.high[at], now.variance[at])
        then, then_width = _share(name, before.low[at], before.high[at], before.variance[at])
        good = (share > _LEAST) & (then > _LEAST)
        at, share, then = at[good], share[good], then[good]
        value[at] = np.log(share / then)
        spread[at] = np.hypot(width[good] / share, then_width[good] / then)
    return value, spread


def _share(glycol: str, low: Singles, high: Singles, variance: Singles) -> tuple[Floats, Floats]:
    """Return shares of glycol by freezing point, and their standard deviations [vol%]."""
    middle = (low.astype(float) + high) / 2
    off = np.sqrt(np.maximum(variance, 0) + _OF_INHIBITORS**2 + np.square(high - low) / 12)
    colder, share, warmer = (
        np.nan_to_num(share_of_freezing_point(glycol, each), nan=_MOST)
        for each in (middle - off, middle, middle + off)
    )
    return share, np.maximum((colder - warmer) / 2, 0.5)
