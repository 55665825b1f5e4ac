"""Ranges of the published indices from readings that are intervals.

Every one of these formulas only rises or only falls with each of its inputs, so that two corners
of the box of inputs give both ends.
"""

import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.corrosion_ratios import chloride_sulfate_ratio, larson_skold_index
from chemcheck.chemistry.intervals import Range
from chemcheck.chemistry.scale_indices import (
    aggressive_index,
    langelier_index,
    puckorius_index,
    ryznar_index,
)
from chemcheck.errors import OutsideValidityWarning, not_one_of

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Formula:
    """A published index and what it does with its inputs.

    Parameters
    ----------
    function : callable
        Takes the inputs by name.
    rising, falling : tuple of str
        Inputs that it rises with, and those it falls with.
    """

    function: Callable[..., Floats]
    rising: tuple[str, ...]
    falling: tuple[str, ...]


_SCALE = ("temperature", "calcium_hardness", "alkalinity")
FORMULAS: Mapping[str, Formula] = MappingProxyType(
    {
        "langelier_index": Formula(langelier_index, ("ph", *_SCALE), ("dissolved_solids",)),
        "ryznar_index": Formula(ryznar_index, ("dissolved_solids",), ("ph", *_SCALE)),
        "puckorius_index": Formula(puckorius_index, ("dissolved_solids",), _SCALE),
        "larson_skold": Formula(larson_skold_index, ("chloride", "sulfate"), ("alkalinity",)),
        "chloride_sulfate_ratio": Formula(chloride_sulfate_ratio, ("chloride",), ("sulfate",)),
        "aggressive_index": Formula(aggressive_index, ("ph", "calcium_hardness", "alkalinity"), ()),
    }
)


def formula_range(
    index: str, lower: Mapping[str, ArrayLike], upper: Mapping[str, ArrayLike]
) -> Range:
    """Least and greatest of a published index over intervals of its inputs.

    Parameters
    ----------
    index : str
        A key of `FORMULAS`.
    lower, upper : mapping of str to float or array-like, shape (n,)
        Ends of its inputs, by the names and in the units of the function's arguments; more may be
        there.

    Returns
    -------
    Range
        NaN where an input is missing, or where an exact water lies outside the formula's range;
        an end is infinite where only part of the interval lies inside.

    Raises
    ------
    ValueError
        If the index is not known.
    KeyError
        If an input is missing from the mappings.

    References
    ----------
    .. [1] Of each formula: see its function.

    Examples
    --------
    >>> ends = formula_range(
    ...     "larson_skold",
    ...     {"chloride": 30.0, "sulfate": 50.0, "alkalinity": 80.0},
    ...     {"chloride": 60.0, "sulfate": 50.0, "alkalinity": 180.0},
    ... )
    >>> ends.lower.round(2), ends.upper.round(2)
    (array([0.52]), array([1.71]))
    """
    if index not in FORMULAS:
        raise ValueError(not_one_of(index, FORMULAS, "index"))
    formula = FORMULAS[index]
    names = (*formula.rising, *formula.falling)
    columns = np.broadcast_arrays(
        *(
            np.atleast_1d(np.asarray(each[name], dtype=np.float64))
            for each in (lower, upper)
            for name in names
        )
    )
    low = dict(zip(names, columns[: len(names)], strict=True))
    high = dict(zip(names, columns[len(names) :], strict=True))
    with warnings.catch_warnings():
        # A corner outside the formula's range leaves its end open; that is said by the end.
        warnings.simplefilter("ignore", OutsideValidityWarning)
        least = formula.function(
            **{name: (low if name in formula.rising else high)[name] for name in names}
        )
        greatest = formula.function(
            **{name: (high if name in formula.rising else low)[name] for name in names}
        )
    exact = np.logical_and.reduce([low[name] == high[name] for name in names])
    missing = np.isnan(sum(columns, start=np.zeros(columns[0].shape)))
    closed = exact | missing
    return Range(
        np.where(np.isnan(least) & ~closed, -np.inf, np.where(missing, np.nan, least)),
        np.where(np.isnan(greatest) & ~closed, np.inf, np.where(missing, np.nan, greatest)),
    )
