"""Quantities that are worked out of several readings of a sample."""

from collections.abc import Callable, Mapping

import numpy as np
import numpy.typing as npt

from chemcheck.causes.fingerprints import other_fluid, renewed
from chemcheck.causes.plan import UNKNOWN
from chemcheck.causes.quantities import Ends, Move, Quantities
from chemcheck.judging.freezing_point_check import expected_freezing_points, glycol_shares_of
from chemcheck.judging.glycol_of_concentrate import GLYCOLS

Singles = npt.NDArray[np.float32]

MOLYBDATE_OF_MOLYBDENUM = 1.667  # from atomic weights
# Freezing points of coolants of one glycol differ by their inhibitors [deg C].
_FREEZING_SPREAD = np.float32(0.5)
# A part of glycol in a hundred by volume lowers it by so much near 50 vol% [deg C], from the
# table of inhibited ethylene glycol in ``limits/properties``.
_FREEZING_SLOPE = np.float32(1.3)
# The tables of freezing points end here, and from here the curve turns up again [vol%].
_TABLES_END, _TURNS = 60, 68


def derived_move(quantities: Quantities, name: str, held: str = "reference") -> Move:
    """Return a derived quantity; unknown where what it needs was not read.

    Parameters
    ----------
    quantities : Quantities
        Of the stretch.
    name : str
        A key of ``DERIVED``.
    held : {"reference", "previous"}
        What moves are held against.
    """
    return quantities.derived(name, held, _DERIVED[name])


def _known(move: Move, missing: npt.NDArray[np.bool_]) -> Move:
    low, high, variance = (np.array(each, dtype=np.float32) for each in move)
    at = np.flatnonzero(missing)
    low[at], high[at], variance[at] = -UNKNOWN, UNKNOWN, 0
    return Move(low, high, variance)


def _common_factor(q: Quantities, held: str) -> Move:
    common = q.common(held)
    return _known(Move(common.middle, common.middle, np.square(common.spread)), common.species == 0)


def _glycol_apart(q: Quantities, held: str) -> Move:
    common = q.common(held)
    apart = common.glycol_apart
    return _known(Move(apart, apart, np.square(common.apart_spread)), np.isnan(apart))


def _freezing_point_gap(q: Quantities, held: str) -> Move:
    """Return the least and greatest distance of a freezing point from that of its glycol.

    Beyond the tables' end, where sources disagree how cold it gets, only what is too warm is told.
    """
    del held
    low, high, variance = q.level("freezing_point")
    shares = glycol_shares_of(q.plan.readings, q.rows)
    answer: Ends = (np.full(q.size, -UNKNOWN), np.full(q.size, UNKNOWN))
    if shares is None:
        return _known(Move(low, high, variance), np.ones(q.size, dtype=np.bool_))
    at = np.flatnonzero((low > -UNKNOWN) & (shares[1] <= _TURNS))
    code = q.plan.references.glycol[q.rows][at]
    gap_low, gap_high = np.full((2, at.size), np.inf, dtype=np.float32)
    for glycol in GLYCOLS:
        coldest, warmest = expected_freezing_points(glycol, shares[0][at], shares[1][at])
        coldest = np.where(shares[1][at] > _TABLES_END, -UNKNOWN, coldest)
        mine = np.array([*(each in (glycol, None) for each in q.plan.references.glycols), True])[
            code
        ]
        nearest = np.maximum(np.maximum(low[at] - warmest, coldest - high[at]), 0)
        farthest = np.maximum(high[at] - coldest, warmest - low[at])
        closer = mine & (nearest < gap_low)
        gap_low[closer], gap_high[closer] = nearest[closer], farthest[closer]
    known = np.isfinite(gap_low)
    answer[0][at[known]], answer[1][at[known]] = gap_low[known], gap_high[known]
    of_glycol = np.zeros(q.size, dtype=np.float32)
    for key in ("glycol", "coolant_concentrate"):
        if key in q.plan.column:
            of_glycol = np.maximum(of_glycol, q.level(key).variance)
    variance = variance + _FREEZING_SPREAD**2 + _FREEZING_SLOPE**2 * of_glycol
    return _known(Move(answer[0], answer[1], variance), answer[0] == -UNKNOWN)


def _cap_share(q: Quantities, held: str) -> Move:
    del held
    low, high, _ = q.level("cap_release_pressure")
    stamped_low, stamped_high, _ = q.level("cap_rating")
    missing = (low == -UNKNOWN) | (stamped_low == -UNKNOWN)
    with np.errstate(divide="ignore", invalid="ignore"):
        ends = low / stamped_high, high / np.maximum(stamped_low, 1)
    return _known(
        Move(ends[0], np.asarray(ends[1], dtype=np.float32), np.zeros(q.size, dtype=np.float32)),
        missing,
    )


def _nitrite_and_molybdate(q: Quantities, held: str) -> Move:
    del held
    low, high, variance = q.level("nitrite")
    mo_low, mo_high, mo_variance = q.level("molybdenum")
    missing = (low == -UNKNOWN) | (mo_low == -UNKNOWN)
    factor = np.float32(MOLYBDATE_OF_MOLYBDENUM)
    both = variance + factor**2 * mo_variance
    return _known(Move(low + factor * mo_low, high + factor * mo_high, both), missing)


def _renewed(q: Quantities, held: str) -> Move:
    del held
    return _evidence(renewed(q))


def _part_foreign(q: Quantities, held: str) -> Move:
    del held
    return _evidence(other_fluid(q).part)


def _wholly_foreign(q: Quantities, held: str) -> Move:
    del held
    return _evidence(other_fluid(q).whole)


def _evidence(value: Singles) -> Move:
    return _known(Move(value, value, np.zeros_like(value)), np.isnan(value))


_DERIVED: Mapping[str, Callable[[Quantities, str], Move]] = {
    "common_factor": _common_factor,
    "glycol_apart": _glycol_apart,
    "freezing_point_gap": _freezing_point_gap,
    "cap_share": _cap_share,
    "nitrite_and_molybdate": _nitrite_and_molybdate,
    "renewed": _renewed,
    "part_foreign": _part_foreign,
    "wholly_foreign": _wholly_foreign,
}
