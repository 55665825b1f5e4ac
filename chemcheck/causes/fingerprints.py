"""Whose fluid is in the unit: its own renewed, another's, or both.

Each is weighed as log10 of a likelihood ratio against the unit's own fluid as it was: the sum
over species, each normal about what it would be, and bounded, so that no single one decides.
Of several fluids that may be in the unit each is as unlikely as a reading can make it, by the
same measure for all, so that they are told apart by every species and not by the first few.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.causes.plan import UNKNOWN
from chemcheck.causes.quantities import Move, Quantities, is_amount
from chemcheck.limit_library.ageing import ageing

Singles = npt.NDArray[np.float32]

# A change renews this much: some of the old fill stays behind.
_RENEWED = np.float32(0.9)
# Shares of another fluid that are tried; less is watched only, and hard to see.
_PARTS = (0.12, 0.25, 0.45)
_LOG_PARTS = np.float32(np.log(len(_PARTS)))
# What one species may say [natural logarithm], and how many must be known to say anything.
_MOST_OF_ONE, _LEAST_SPECIES = np.float32(4.6), 3
# Farther than four standard deviations off nothing gets less likely [natural logarithm]: then
# the reading is wrong, or moved for a reason of its own.
_FAR = 8.0
# What a change leaves of what gathers in use, and makes of what is used up, as shares of what was
# there before: anything from nothing to all, and from as much to twice; where the fresh fill is
# not known.
_GATHERED, _USED_UP = (np.float32(0), np.float32(1)), (np.float32(1), np.float32(2))
_USED_UP_BY_OTHERS = ("nitrite", "silicon", "azoles", "phosphate")
# Ends beyond this are open [any unit].
_OPEN = np.float32(1e8)
# What is next to nothing, by unit: between less than that there is no telling.
_NEXT_TO_NOTHING = {"mg/L": np.float32(1)}
# A species has moved where it is so far beyond what was expected [standard deviations].
_MOVED = np.float32(2)
_LN10 = np.float32(np.log(10))
# Range of an even spread over its standard deviation.
_EVEN = np.float32(np.sqrt(12))


class Foreign(NamedTuple):
    """Evidence for another technology's fluid: as a part, and instead of one's own."""

    part: Singles
    whole: Singles


def renewed(q: Quantities) -> Singles:
    """Weigh that the fill was renewed since the sample before.

    Where the fresh fill is known, the reading stands where that would put it; else what
    gathers in use is gone in part, and what is used up has risen.

    Returns
    -------
    ndarray of float32, shape (n,)
        log10 of the likelihood ratio; NaN where fewer than three species were read before.
    """
    said = np.zeros(q.size, dtype=np.float32)
    known = np.zeros(q.size, dtype=np.int16)
    for key in dict.fromkeys(q.plan.fingerprint + q.plan.contaminants):
        now, last = q.level(key), q.expected(key, "previous")
        low, high, is_fresh = q.reference(key)
        from_fresh = is_fresh & q.since
        gathers = key in q.plan.contaminants
        if not gathers and key not in ageing().keeps:
            continue
        least, most = _GATHERED if gathers else _USED_UP
        share = _RENEWED
        would = Move(
            np.where(from_fresh, share * low + (1 - share) * last.low, least * last.low),
            np.where(from_fresh, share * high + (1 - share) * last.high, most * last.high),
            last.spread,
        )
        read = (now.low > -UNKNOWN) & q.reference(key, "previous")[2]
        said += np.where(read, _of_two(now, would, last, key), 0)
        known += read
    return np.where(known >= _LEAST_SPECIES, said / _LN10, np.nan).astype(np.float32)


class _Species(NamedTuple):
    """One species of some samples: read, expected of one's own fluid, and how well that fits."""

    key: str
    now: Move
    then: Move
    read: npt.NDArray[np.bool_]
    own: Singles


def other_fluid(q: Quantities) -> Foreign:
    """Weigh that another technology's fluid is in the unit, in part or alone.

    Returns
    -------
    Foreign
        log10 of likelihood ratios, the best of technologies and the mean of shares; NaN where
        fewer than three species are known, and below any weight where none of them moved.
    """
    if "other fluid" not in q.shared:
        q.shared["other fluid"] = _weigh_other_fluid(q)
    return Foreign(*q.shared["other fluid"])


def _weigh_other_fluid(q: Quantities) -> Foreign:
    held = "previous" if q.since.all() else "reference"
    known, moved = np.zeros((2, q.size), dtype=np.int16)
    for key in (*q.plan.fingerprint, *q.plan.alkalinity):
        now, then = q.level(key), q.expected(key, held)
        read = (now.low > -UNKNOWN) & (then.high < UNKNOWN)
        beyond = np.maximum(now.low - then.high, then.low - now.high)
        known += read
        moved += read & (beyond > _MOVED * np.hypot(now.spread, then.spread))
    part, whole = np.full((2, q.size), -UNKNOWN, dtype=np.float32)
    at = np.flatnonzero((moved > 0) & (known >= _LEAST_SPECIES))
    if at.size:
        part[at], whole[at] = _of_some(q, held, at)
    unknown = known < _LEAST_SPECIES
    part[unknown], whole[unknown] = np.nan, np.nan
    return Foreign(part / _LN10, whole / _LN10)


def _of_some(q: Quantities, held: str, at: npt.NDArray[np.intp]) -> tuple[Singles, Singles]:
    """Weigh other technologies' fluids in some samples of the stretch."""
    species = []
    for key in (*q.plan.fingerprint, *q.plan.alkalinity):
        now, then = (
            Move(*(each[at] for each in move)) for move in (q.level(key), q.expected(key, held))
        )
        read = (now.low > -UNKNOWN) & (then.high < UNKNOWN)
        species.append(_Species(key, now, then, read, _log_density(now, then, _nothing(key))))
    part, whole = np.full((2, at.size), -UNKNOWN, dtype=np.float32)
    own = q.plan.references.technology[q.rows][at]
    least, most = (each[at] for each in q.strength)
    for number, fingerprint in enumerate(q.plan.fingerprints):
        allowed = fingerprint.technology_code != own
        said = [_share_of(q, number, share, species, (least, most)) for share in (*_PARTS, 1.0)]
        # Of so many shares tried one fits by chance: the mean of their likelihoods counts.
        best = np.logaddexp.reduce(said[:-1], axis=0) - _LOG_PARTS
        part = np.where(allowed, np.maximum(part, best), part)
        whole = np.where(allowed, np.maximum(whole, said[-1]), whole)
    return part, whole


def _share_of(
    q: Quantities,
    number: int,
    share: float,
    species: list[_Species],
    strength: tuple[Singles, Singles],
) -> Singles:
    """Weigh one share of one technology's fluid."""
    least, most = strength
    said = np.zeros(least.size, dtype=np.float32)
    ranges = q.plan.fingerprints[number].ranges
    of_it = np.float32(share)
    for key, now, then, read, own in species:
        # Part of another fluid does not show in pH, and what is used up may be gone without it.
        if key not in ranges or (share < 1 and key in q.plan.alkalinity):
            continue
        low, high = ranges[key]
        amount = is_amount(key)
        would = Move(
            (1 - of_it) * then.low + of_it * low * (least if amount else 1),
            (1 - of_it) * then.high + of_it * high * (most if amount else 1),
            (1 - of_it) * then.spread,
        )
        value = _log_density(now, would, _nothing(key)) - own
        if share < 1 and key in _USED_UP_BY_OTHERS:
            value = np.where(now.high < then.low, np.minimum(value, 0), value)
        said += np.where(read, value, 0)
    return said


def _of_two(now: Move, one: Move, other: Move, analyte: str) -> Singles:
    """Return the bounded log likelihood ratio of a reading between two expectations."""
    nothing = _nothing(analyte)
    value = _log_density(now, one, nothing, np.inf) - _log_density(now, other, nothing, np.inf)
    return np.asarray(np.clip(value, -_MOST_OF_ONE, _MOST_OF_ONE))


def _nothing(analyte: str) -> np.float32:
    return _NEXT_TO_NOTHING.get(vocabulary()[analyte].unit, np.float32(0.1))


def _log_density(now: Move, expected: Move, nothing: np.float32, most: float = _FAR) -> Singles:
    low, high = np.maximum(now.low, 0), np.minimum(now.high, _OPEN)
    first, last = expected.low, np.minimum(expected.high, _OPEN)
    middle = (low + high - first - last) / 2
    width = np.square((high - low) / _EVEN) + np.square((last - first) / _EVEN)
    variance = np.square(now.spread) + np.square(expected.spread) + width + nothing**2
    off = np.minimum(0.5 * np.square(middle) / variance, np.float32(most))
    return np.asarray(-off - 0.5 * np.log(variance))
