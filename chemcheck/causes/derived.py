"""Quantities that are worked out of several readings of a sample."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from chemcheck.causes.plan import UNKNOWN
from chemcheck.judging.freezing_point_check import expected_freezing_points, glycol_shares_of
from chemcheck.judging.glycol_of_concentrate import GLYCOLS

if TYPE_CHECKING:
    from chemcheck.causes.quantities import Quantities

Singles = npt.NDArray[np.float32]
Ends = tuple[Singles, Singles]

MOLYBDATE_OF_MOLYBDENUM = 1.667  # from atomic weights
# One that fell further is all but gone: from half left on, and in full from a fifth.
_GONE_FROM, _GONE_WIDTH = 0.7, 0.9
# A factor this far from 1 is surely none of chance.
_SURELY = 0.05


def _common_factor(q: "Quantities") -> Ends:
    known = q.common.species > 0
    low = np.where(known, np.log(q.common.low), -UNKNOWN)
    return low, np.where(known, np.log(q.common.high), UNKNOWN)


def _glycol_apart(q: "Quantities") -> Ends:
    apart, spread = q.common.glycol_apart, np.float32(q.plan.settings.factor_of_one)
    missing = np.isnan(apart)
    low, high = np.maximum(apart - spread, 0), apart + spread
    return np.where(missing, -UNKNOWN, low), np.where(missing, UNKNOWN, high)


def _freezing_point_gap(q: "Quantities") -> Ends:
    """Return the least and greatest distance of a freezing point from that of its glycol."""
    low, high = q.ends("freezing_point")
    shares = glycol_shares_of(q.plan.readings, q.rows)
    answer = (np.full(q.size, -UNKNOWN), np.full(q.size, UNKNOWN))
    if shares is None:
        return answer
    at = np.flatnonzero((low > -UNKNOWN) & (shares[1] <= 60))
    code = q.plan.references.glycol[q.rows][at]
    gap_low, gap_high = np.full((2, at.size), np.inf, dtype=np.float32)
    for glycol in GLYCOLS:
        coldest, warmest = expected_freezing_points(glycol, shares[0][at], shares[1][at])
        mine = np.array([*(each in (glycol, None) for each in q.plan.references.glycols), True])[
            code
        ]
        nearest = np.maximum(np.maximum(low[at] - warmest, coldest - high[at]), 0)
        farthest = np.maximum(high[at] - coldest, warmest - low[at])
        closer = mine & (nearest < gap_low)
        gap_low[closer], gap_high[closer] = nearest[closer], farthest[closer]
    known = np.isfinite(gap_low)
    answer[0][at[known]], answer[1][at[known]] = gap_low[known], gap_high[known]
    return answer


def _agreeing_species(q: "Quantities") -> Ends:
    """Count the species that agree on a factor which is surely not 1."""
    factor = q.common
    moved = (factor.low > 1 + _SURELY) | (factor.high < 1 - _SURELY)
    count = np.where(moved, factor.species, 0).astype(np.float32)
    return count, count


def _swapped_species(q: "Quantities") -> Ends:
    """Count the additives that came, or that went, whichever are fewer."""
    came, went, missing = q.came_and_went
    fewer = np.minimum(came, went)
    return np.where(missing, -UNKNOWN, fewer), np.where(missing, UNKNOWN, fewer)


def _vanished_species(q: "Quantities") -> Ends:
    """Count the additives of which less than a third is left."""
    gone = np.zeros(q.size, dtype=np.float32)
    missing = q.came_and_went[2]
    for key in q.plan.fingerprint:
        _, high = q.factor(key, "previous")
        gone += np.clip((-high - np.float32(_GONE_FROM)) / np.float32(_GONE_WIDTH), 0, 1)
    return np.where(missing, -UNKNOWN, gone), np.where(missing, UNKNOWN, gone)


def _moved_species(q: "Quantities") -> Ends:
    """Count the additives that came or went."""
    came, went, missing = q.came_and_went
    both = came + went
    return np.where(missing, -UNKNOWN, both), np.where(missing, UNKNOWN, both)


def _cap_share(q: "Quantities") -> Ends:
    low, high = q.ends("cap_release_pressure")
    stamped_low, stamped_high = q.ends("cap_rating")
    missing = (low == -UNKNOWN) | (stamped_low == -UNKNOWN)
    with np.errstate(divide="ignore", invalid="ignore"):
        ends = low / stamped_high, high / np.maximum(stamped_low, 1)
    return np.where(missing, -UNKNOWN, ends[0]), np.where(missing, UNKNOWN, ends[1])


def _nitrite_and_molybdate(q: "Quantities") -> Ends:
    low, high = q.ends("nitrite")
    mo_low, mo_high = q.ends("molybdenum")
    missing = (low == -UNKNOWN) | (mo_low == -UNKNOWN)
    factor = np.float32(MOLYBDATE_OF_MOLYBDENUM)
    return (
        np.where(missing, -UNKNOWN, low + factor * mo_low),
        np.where(missing, UNKNOWN, high + factor * mo_high),
    )


DERIVED_FROM: Mapping[str, Callable[["Quantities"], Ends]] = {
    "common_factor": _common_factor,
    "glycol_apart": _glycol_apart,
    "freezing_point_gap": _freezing_point_gap,
    "swapped_species": _swapped_species,
    "vanished_species": _vanished_species,
    "moved_species": _moved_species,
    "agreeing_species": _agreeing_species,
    "cap_share": _cap_share,
    "nitrite_and_molybdate": _nitrite_and_molybdate,
}
