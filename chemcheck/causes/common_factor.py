"""Dilution first: the one factor by which water alone changed everything."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.causes.plan import Settings

Singles = npt.NDArray[np.float32]

STRENGTH = ("glycol", "coolant_concentrate", "freezing_point")
# A reading whose ends lie further apart than this is no help [factor].
_WIDEST = 1.5
# Species that must agree with each other before they overrule glycol, and how far from no
# change at all they may be [natural logarithm].
_LEAST_TO_OVERRULE, _UNCHANGED = 2, 0.08
# More species than these make the factor no surer: what they share is not told apart.
_MOST_COUNTED = 3
# Glycol is read two or three times as exactly as the others, and counts for so many of them.
_GLYCOL_COUNTS = 4
# What may have happened where no species tells: as much either way [natural logarithm].
_UNTOLD = 0.1


@dataclass(frozen=True, slots=True)
class CommonFactor:
    """The factor of a stretch of samples against their references.

    Parameters
    ----------
    low, high : ndarray of float32, shape (n,)
        Its ends.
    species : ndarray of int8, shape (n,)
        How many species agree on it; 0 where none tells.
    glycol_apart : ndarray of float32, shape (n,)
        How far glycol is from the others, which agree [natural logarithm]; NaN where they
        do not, or are too few.
    """

    low: Singles
    high: Singles
    species: npt.NDArray[np.int8]
    glycol_apart: Singles


# By analyte: the ends of the reading, and those of its reference, NaN where there is none.
Pairs = Mapping[str, tuple[Singles, Singles, Singles, Singles]]


def common_factor(readings: Pairs, n: int, settings: Settings) -> CommonFactor:
    """Estimate the factor from the species that only water moves.

    Parameters
    ----------
    readings : mapping of str to tuple of ndarray
        By analyte the ends of the readings and of their references.
    n : int
        How many samples.
    settings : Settings
        How near factors must be to be one.

    Returns
    -------
    CommonFactor
        Glycol's factor, with that of the species which agree with it. Additive, flux and
        salt raise other species, so that glycol is overruled only where two or more of them
        agree that nothing changed: then the glycol is another, or was read on the wrong
        scale. Without glycol two species must agree.
    """
    glycol = np.full(n, np.nan, dtype=np.float32)
    others = []
    for key, (low, high, ref_low, ref_high) in readings.items():
        value = _log_factor(low, high, ref_low, ref_high)
        if key in STRENGTH:
            glycol = np.where(np.isnan(glycol), value, glycol)
        else:
            others.append(value)
    if not others:
        return _answer(glycol, (~np.isnan(glycol)).astype(np.int8), glycol * np.nan, settings)
    table = np.array(others)
    middle, agreeing = _agreement(table, settings.factors_agree)
    with np.errstate(invalid="ignore"):
        near = np.abs(table - glycol) <= settings.factors_agree
        apart = np.abs(glycol - middle)
        overruled = (
            (agreeing >= _LEAST_TO_OVERRULE)
            & (np.abs(middle) <= _UNCHANGED)
            & (apart > settings.factors_agree)
        )
    of_glycol = (_GLYCOL_COUNTS * glycol + np.where(near, table, 0).sum(axis=0)) / (
        _GLYCOL_COUNTS + near.sum(axis=0)
    )
    without = np.isnan(glycol)
    told = np.where(without | overruled, middle, of_glycol)
    species = np.where(without | overruled, agreeing, 1 + near.sum(axis=0))
    species = np.where(without & (agreeing < _LEAST_TO_OVERRULE), 0, species)
    apart = np.where(agreeing >= _LEAST_TO_OVERRULE, apart, np.nan)
    told = np.where(species > 0, told, np.nan)
    return _answer(told, species.astype(np.int8), apart.astype(np.float32), settings)


def _log_factor(low: Singles, high: Singles, ref_low: Singles, ref_high: Singles) -> Singles:
    """Return the logarithm of a reading over its reference; NaN where either is too wide."""
    with np.errstate(divide="ignore", invalid="ignore"):
        value = np.log(np.sqrt(low * high) / np.sqrt(ref_low * ref_high))
        good = (low > 0) & (ref_low > 0) & (high <= _WIDEST * low) & (ref_high <= _WIDEST * ref_low)
    return np.where(good, value, np.nan).astype(np.float32)


def _agreement(
    table: npt.NDArray[np.floating], within: float
) -> tuple[Singles, npt.NDArray[np.int64]]:
    """Return the mean of the largest group of factors that agree, and how many they are."""
    best = np.zeros(table.shape[1], dtype=np.int64)
    middle = np.full(table.shape[1], np.nan, dtype=np.float32)
    for one in table:
        with np.errstate(invalid="ignore"):
            near = np.abs(table - one) <= within
        count = near.sum(axis=0)
        better = count > best
        mean = np.where(near, table, 0).sum(axis=0) / np.maximum(count, 1)
        middle = np.where(better, mean, middle)
        best = np.where(better, count, best)
    return middle.astype(np.float32), best


def _answer(
    told: Singles, species: npt.NDArray[np.int8], apart: Singles, settings: Settings
) -> CommonFactor:
    known = species > 0
    spread = np.where(
        known, settings.factor_of_one / np.sqrt(np.clip(species, 1, _MOST_COUNTED)), _UNTOLD
    ).astype(np.float32)
    middle = np.where(known, told, 0).astype(np.float32)
    return CommonFactor(np.exp(middle - spread), np.exp(middle + spread), species, apart)
