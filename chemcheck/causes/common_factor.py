"""Dilution first: the one factor by which water alone changed everything."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.causes.strength_by_freezing import FREEZING_POINT

Singles = npt.NDArray[np.float32]

STRENGTH = ("glycol", "coolant_concentrate")
# A species further than this from a factor does not bear it out [standard deviations].
_APART = np.float32(2.5)
# One that knows its factor no better than this is no help [natural logarithm].
_VAGUE = np.float32(0.35)
# Species besides glycol that must agree before they tell anything of their own.
_LEAST = 2
# What may have happened where no species tells: as much either way [natural logarithm].
_UNTOLD = np.float32(0.1)
# Better than this no factor is known [natural logarithm].
_SHARPEST = np.float32(0.01)
# Half of all water gone makes 67 vol% of 50: a factor of 4/3; more than this never was boiled off
# [natural logarithm].
_MOST_BOILED_OFF = np.float32(np.log(1.6))
# Between two factors that are borne out alike no change at all comes first.
_IN_DOUBT_NONE = np.float32(1.05)


@dataclass(frozen=True, slots=True)
class CommonFactor:
    """The factor of a stretch of samples against their references.

    Parameters
    ----------
    middle, spread : ndarray of float32, shape (n,)
        Its natural logarithm, 0 where no species tells, and the standard deviation of that.
    species : ndarray of int8, shape (n,)
        How many species agree on it; 0 where none tells.
    glycol_apart : ndarray of float32, shape (n,)
        How far glycol is from the others, which agree [natural logarithm]; NaN where they
        do not, or are too few.
    apart_spread : ndarray of float32, shape (n,)
        The standard deviation of that.
    """

    middle: Singles
    spread: Singles
    species: npt.NDArray[np.int8]
    glycol_apart: Singles
    apart_spread: Singles

    @property
    def low(self) -> Singles:
        """The factor less one standard deviation."""
        return np.asarray(np.exp(self.middle - self.spread))

    @property
    def high(self) -> Singles:
        """The factor and one standard deviation."""
        return np.asarray(np.exp(self.middle + self.spread))


# By analyte: the natural logarithm of a reading over its reference, and its deviation.
Factors = Mapping[str, tuple[Singles, Singles]]


def common_factor(factors: Factors, n: int) -> CommonFactor:
    """Estimate the factor from the species that only water moves.

    Parameters
    ----------
    factors : mapping of str to tuple of ndarray
        By analyte the natural logarithm of its own factor, NaN where unknown, and the
        standard deviation of that.
    n : int
        How many samples.

    Returns
    -------
    CommonFactor
        Glycol's factor with that of the species which bear it out, weighed by what each
        knows. Additive, flux and salt raise other species, so that these overrule glycol only
        where more of them stand by no change at all: then the glycol is another, or was read
        on the wrong scale. Without glycol two species must agree.
    """
    glycol = np.full(n, np.nan, dtype=np.float32)
    glycol_spread = np.ones(n, dtype=np.float32)
    others = []
    for key, (value, spread) in factors.items():
        value = np.where(spread < _VAGUE, value, np.float32(np.nan))
        if key in (*STRENGTH, FREEZING_POINT):
            first = np.isnan(glycol)
            glycol, glycol_spread = (
                np.where(first, value, glycol),
                np.where(first, spread, glycol_spread),
            )
        else:
            others.append((value, spread))
    table = np.array([glycol, *(value for value, _ in others)], dtype=np.float32)
    spreads = np.array([glycol_spread, *(spread for _, spread in others)], dtype=np.float32)
    known = ~np.isnan(table)
    table, spreads = np.where(known, table, 0), np.where(known, spreads, 1)
    weight = np.where(known, 1 / spreads, 0)
    start = np.where(known[0], table[0], _middle_of(table[1:], known[1:]))
    # Without glycol, what rises further than boiling off can raise it was added.
    start = np.where(known[0] | (start < _MOST_BOILED_OFF), start, np.float32(0))
    told = np.where(
        _borne_out(table, spreads, weight, start)
        >= _IN_DOUBT_NONE * _borne_out(table, spreads, weight, np.zeros_like(start)),
        start,
        0,
    )
    agree = known & (np.abs(table - told) < _APART * spreads)
    weight = np.where(agree, weight * weight, 0)
    enough = agree[0] | (agree[1:].sum(axis=0) >= _LEAST)
    total = np.maximum(weight.sum(axis=0), 1e-6)
    of_others = np.maximum(weight[1:].sum(axis=0), 1e-6)
    others_agree = known[0] & (agree[1:].sum(axis=0) >= _LEAST)
    apart = np.abs(table[0] - (weight[1:] * table[1:]).sum(axis=0) / of_others)
    return CommonFactor(
        middle=np.where(enough, (weight * table).sum(axis=0) / total, 0).astype(np.float32),
        spread=np.where(enough, np.maximum(1 / np.sqrt(total), _SHARPEST), _UNTOLD).astype(
            np.float32
        ),
        species=np.where(enough, agree.sum(axis=0), 0).astype(np.int8),
        glycol_apart=np.where(others_agree, apart, np.nan).astype(np.float32),
        apart_spread=np.hypot(spreads[0], 1 / np.sqrt(of_others)).astype(np.float32),
    )


def _borne_out(table: Singles, spreads: Singles, weight: Singles, factor: Singles) -> Singles:
    """Return how well species bear a factor out, the sharper ones counting for more."""
    near = 1 - np.square((table - factor) / (_APART * spreads))
    return np.asarray((np.maximum(near, 0) * weight).sum(axis=0))


def _middle_of(table: Singles, known: npt.NDArray[np.bool_]) -> Singles:
    """Return the median of the known factors, 0 where there is none."""
    if not len(table):
        return np.zeros(table.shape[1], dtype=np.float32)
    order = np.sort(np.where(known, table, np.inf), axis=0)
    count = known.sum(axis=0)
    middle = np.take_along_axis(order, np.maximum(count - 1, 0)[None, :] // 2, axis=0)[0]
    return np.where(count > 0, middle, 0).astype(np.float32)
