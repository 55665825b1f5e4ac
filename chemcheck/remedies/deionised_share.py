"""How much of a water may be tap water, when deionised water makes up the rest.

Amounts dissolved in water mix in proportion, so each bound limits the share of tap
water by itself and the strictest one controls. pH does not mix in proportion: the
carbonate system sets it anew, and it has to be measured in the blend.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.limit_library.records import Side


@dataclass(frozen=True, slots=True)
class TapShare:
    """The shares of tap water that meet every bound, for whole columns of waters.

    Parameters
    ----------
    smallest, largest : ndarray of float64, shape (n_waters,)
        The ends of the admissible shares [1]; NaN in both where no share meets every
        bound that could be used.
    smallest_by, largest_by : ndarray of int16, shape (n_waters,)
        Position of the bound that controls that end; -1 where none does, so that the
        end is 0 or 1. Where no share will do, the two bounds that exclude each other;
        -1 then stands for the end of the range, no deionised or no tap water at all.
    unread : ndarray of bool, shape (n_waters, n_bounds)
        Bounds that could not be used, because the water has no such reading.
    """

    smallest: npt.NDArray[np.float64]
    largest: npt.NDArray[np.float64]
    smallest_by: npt.NDArray[np.int16]
    largest_by: npt.NDArray[np.int16]
    unread: npt.NDArray[np.bool_]


def tap_share(
    lower: npt.NDArray[np.float64],
    upper: npt.NDArray[np.float64],
    deionised: npt.NDArray[np.float64],
    bounds: npt.NDArray[np.float64],
    sides: tuple[Side, ...],
) -> TapShare:
    """Return which shares of tap water meet every bound.

    An upper bound is held against the upper end of the reading, a lower bound against
    the lower end: the share holds wherever in its interval the true value lies. There
    is no margin in it.

    Parameters
    ----------
    lower, upper : ndarray, shape (n_waters, n_bounds)
        The ends of the tap water's reading, a column for each bound [unit of the bound];
        NaN where not read, ``upper`` infinite above a range.
    deionised : ndarray, shape (2, n_bounds)
        The ends of the deionised water's value [unit of the bound].
    bounds : ndarray, shape (n_bounds,)
        The numbers to meet [unit of the bound].
    sides : tuple of {"lower", "upper"}
        Which side each bound is on.

    Returns
    -------
    TapShare
        The admissible shares and what controls them.

    Raises
    ------
    ValueError
        If the shapes do not agree.

    Notes
    -----
    With tap water ``T``, deionised water ``d`` and a share ``x`` the blend holds
    ``d + x (T - d)``; it meets an upper bound ``L`` up to ``x = (L - d) / (T - d)`` where
    ``T > d``. This is a balance of masses, with volumes taken as additive.

    Examples
    --------
    Chloride 85 mg/L against a bound of 40, with deionised water of at most 1 mg/L:

    >>> import numpy as np
    >>> share = tap_share(
    ...     np.array([[85.0]]), np.array([[85.0]]), np.array([[0.0], [1.0]]),
    ...     np.array([40.0]), ("upper",),
    ... )
    >>> round(float(share.largest[0]), 3)
    0.464
    """
    if not lower.shape == upper.shape == (len(lower), len(sides)):
        message = f"expected readings of shape ({len(lower)}, {len(sides)}), got {upper.shape}"
        raise ValueError(message)
    n_waters = len(lower)
    smallest, largest = np.zeros(n_waters), np.ones(n_waters)
    smallest_by = np.full(n_waters, -1, dtype=np.int16)
    largest_by = np.full(n_waters, -1, dtype=np.int16)
    unread = np.isnan(lower) | np.isnan(upper)
    for position, side in enumerate(sides):
        # A lower bound on y is an upper bound on -y.
        sign = 1.0 if side == "upper" else -1.0
        tap = sign * (upper if side == "upper" else lower)[:, position]
        pure = sign * deionised[1 if side == "upper" else 0, position]
        room = sign * bounds[position] - pure
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            crossing = room / (tap - pure)
        from_above = np.where(tap > pure, crossing, np.inf)
        from_above[(tap == pure) & (room < 0)] = -np.inf
        from_below = np.where((tap < pure) & (room < 0), crossing, -np.inf)
        known = ~unread[:, position]
        caps = known & (from_above < largest)
        largest[caps], largest_by[caps] = from_above[caps], position
        lifts = known & (from_below > smallest)
        smallest[lifts], smallest_by[lifts] = from_below[lifts], position
    none = largest < smallest
    largest[none] = smallest[none] = np.nan
    return TapShare(smallest, largest, smallest_by, largest_by, unread)


def blend(
    tap: npt.NDArray[np.float64],
    deionised: npt.NDArray[np.float64],
    share: npt.NDArray[np.float64],
) -> npt.NDArray[np.float64]:
    """Return what a blend of tap and deionised water holds.

    Parameters
    ----------
    tap : ndarray, shape (n_waters, n_analytes)
        One end of the tap water's readings [any unit that mixes in proportion].
    deionised : ndarray, shape (n_analytes,)
        The same end of the deionised water's values [same units].
    share : ndarray, shape (n_waters,)
        Share of tap water [1].

    Returns
    -------
    ndarray, shape (n_waters, n_analytes)
        That end of the blend's values [same units]. Without tap water it is the
        deionised water's, even where the tap water is above a range or was not read.

    Examples
    --------
    >>> import numpy as np
    >>> blend(np.array([[85.0, 310.0]]), np.array([1.0, 2.0]), np.array([0.5]))
    array([[ 43., 156.]])
    """
    part = share[:, np.newaxis]
    with np.errstate(invalid="ignore"):  # none of an infinite reading
        from_tap = np.where(part == 0.0, 0.0, part * tap)
    return from_tap + (1.0 - part) * deionised
