"""Whose fluid is in the unit: its own renewed, another's, or both.

Each is weighed as log10 of a likelihood ratio against the unit's own fluid as it was: the sum
over species, each normal about what it would be, and bounded, so that no single one decides.
Of several fluids that may be in the unit each is as unlikely as a reading can make it, by the
same measure for all, so that they are told apart by every species and not by the first few.
"""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.causes.plan import UNKNOWN
from chemcheck.causes.quantities import Ends, Move, Quantities, is_amount
from chemcheck.limit_library.ageing import ageing

Singles = npt.NDArray[np.float32]

# A change renews this much: some of the old fill stays behind.
_RENEWED = np.float32(0.9)
# Shares of another fluid that are tried; less is watched only, and hard to see.
_PARTS = (0.12, 0.25, 0.45)
# These and the whole, one below the other.
_SHARES = np.array([*_PARTS, 1.0], dtype=np.float32)[:, None]
# What one species may say [natural logarithm], and how many must be known to say anything.
_MOST_OF_ONE, _LEAST_SPECIES = np.float32(4.6), 3
# Farther than four standard deviations off nothing gets less likely [natural logarithm]: then
# the reading is wrong, or moved for a reason of its own.
_FAR = np.float32(8)
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
        gathers = key in q.plan.contaminants
        if not gathers and key not in ageing().keeps:
            continue
        last, now = q.expected(key, "previous"), _read_as(q.level(key), key)
        least, most = _GATHERED if gathers else _USED_UP
        low, high = least * last.low, most * last.high
        if q.any_since:
            fresh_low, fresh_high, is_fresh = q.reference(key)
            from_fresh, share = is_fresh & q.since, _RENEWED
            low = np.where(from_fresh, share * fresh_low + (1 - share) * last.low, low)
            high = np.where(from_fresh, share * fresh_high + (1 - share) * last.high, high)
        value = _log_density(now, Move(low, high, last.variance), None)
        value -= _log_density(now, last, None)
        np.clip(value, -_MOST_OF_ONE, _MOST_OF_ONE, out=value)
        read = q.is_read_before(key, "previous")
        read[q.unread(key)] = False
        value *= read
        said += value
        known += read
    said[known < _LEAST_SPECIES] = np.nan
    return said / _LN10


class _Reading(NamedTuple):
    """One reading as a normal one: the sum of its ends, and its variance."""

    both_ends: Singles
    variance: Singles


class _Species(NamedTuple):
    """One species of some samples: read, expected of one's own fluid, and how well that fits.

    Parameters
    ----------
    key : str
        The analyte.
    as_read : _Reading
        What was read.
    then : Move
        What is expected of one's own fluid.
    read : ndarray of bool, shape (n,)
        Whether both are known.
    own : ndarray of float32, shape (n,)
        Logarithm of the likelihood of one's own fluid.
    most : ndarray of float32, shape (n,)
        The most that it may say for a part of another fluid [natural logarithm]: nothing where
        it fell and is used up anyway.
    """

    key: str
    as_read: _Reading
    then: Move
    read: npt.NDArray[np.bool_]
    own: Singles
    most: Singles


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
    known, moved = np.zeros((2, q.size), dtype=np.int16)
    for key in (*q.plan.fingerprint, *q.plan.alkalinity):
        now, then = q.level(key), q.expected(key, "reference")
        read = then.high < UNKNOWN
        read[q.unread(key)] = False
        beyond = np.maximum(now.low - then.high, then.low - now.high)
        # Squared, so that no root is taken: only a positive distance is beyond.
        np.maximum(beyond, 0, out=beyond)
        np.square(beyond, out=beyond)
        known += read
        moved += read & (beyond > _MOVED**2 * (now.variance + then.variance))
    part, whole = np.full((2, q.size), -UNKNOWN, dtype=np.float32)
    at = np.flatnonzero((moved > 0) & (known >= _LEAST_SPECIES))
    if at.size:
        part[at], whole[at] = _of_some(q, at)
    unknown = known < _LEAST_SPECIES
    part[unknown], whole[unknown] = np.nan, np.nan
    return Foreign(part / _LN10, whole / _LN10)


def _of_some(q: Quantities, at: npt.NDArray[np.intp]) -> tuple[Singles, Singles]:
    """Weigh other technologies' fluids in some samples of the stretch."""
    species = []
    for key in (*q.plan.fingerprint, *q.plan.alkalinity):
        now, then = (
            Move(*(each[at] for each in move))
            for move in (q.level(key), q.expected(key, "reference"))
        )
        as_read = _read_as(now, key)
        read = (now.low > -UNKNOWN) & (then.high < UNKNOWN)
        most = np.full(at.size, np.inf, dtype=np.float32)
        if key in _USED_UP_BY_OTHERS:
            most[now.high < then.low] = 0
        species.append(_Species(key, as_read, then, read, _log_density(as_read, then), most))
    part, whole = np.full((2, at.size), -UNKNOWN, dtype=np.float32)
    own = q.plan.references.technology[q.rows][at]
    least, most = (each.take(at) for each in q.strength)
    fluids = _Fluids(q.plan.alkalinity, species, (least, most))
    for fingerprint in q.plan.fingerprints:
        other = np.not_equal(own, fingerprint.technology_code)
        if not other.any():
            continue
        best, alone = fluids.of(fingerprint.ranges)
        # Of one technology all samples have the same others: then nothing is picked out.
        where = True if other.all() else other
        np.maximum(part, best, out=part, where=where)
        np.maximum(whole, alone, out=whole, where=where)
    return part, whole


class _Fluids:
    """Weigh fluids in some samples; what technologies have in common is worked out once.

    Parameters
    ----------
    alkalinity : tuple of str
        What part of another fluid does not show in.
    species : list of _Species
        What was read of the samples.
    strength : tuple of ndarray, shape (n,)
        Ends of the glycol over the 50 vol% of fresh ranges.
    """

    def __init__(
        self, alkalinity: tuple[str, ...], species: list[_Species], strength: Ends
    ) -> None:
        self._alkalinity = alkalinity
        self._species = species
        self._weakest, self._strongest = strength
        self._of_species: dict[tuple[str, float, float], Singles] = {}
        self._of_fluid: dict[tuple[tuple[float, float] | None, ...], tuple[Singles, Singles]] = {}

    def of(self, ranges: Mapping[str, tuple[float, float]]) -> tuple[Singles, Singles]:
        """Weigh a fluid of such ranges as a part of what is in the unit, and alone."""
        fluid = tuple(ranges.get(one.key) for one in self._species)
        if fluid not in self._of_fluid:
            said = np.zeros((_SHARES.size, self._weakest.size), dtype=np.float32)
            for one in self._species:
                if one.key in ranges:
                    key = (one.key, *ranges[one.key])
                    if key not in self._of_species:
                        self._of_species[key] = self._of_one(one, *ranges[one.key])
                    value = self._of_species[key]
                    said[-len(value) :] += value
            # Of so many shares tried one fits by chance: the mean of their likelihoods counts.
            self._of_fluid[fluid] = _mean_likelihood(said[:-1]), said[-1]
        return self._of_fluid[fluid]

    def _of_one(self, one: _Species, low: float, high: float) -> Singles:
        """Weigh what one species says of each share of a fluid that holds so much of it."""
        # Part of another fluid does not show in pH.
        shares = _SHARES[-1:] if one.key in self._alkalinity else _SHARES
        then, rest = one.then, 1 - shares
        least, most = np.float32(low) * shares, np.float32(high) * shares
        thinned = is_amount(one.key)
        would = Move(
            rest * then.low + (least * self._weakest if thinned else least),
            rest * then.high + (most * self._strongest if thinned else most),
            np.square(rest) * then.variance,
        )
        value = _log_density(one.as_read, would)
        value -= one.own
        np.minimum(value[:-1], one.most, out=value[:-1])
        value *= one.read
        return value


def _mean_likelihood(logs: Singles) -> Singles:
    """Return the logarithm of the mean of likelihoods, by way of the greatest."""
    greatest = logs.max(axis=0)
    apart = logs - greatest
    mean = np.exp(apart, out=apart).mean(axis=0)
    return np.asarray(greatest + np.log(mean, out=mean))


def _nothing(analyte: str) -> np.float32:
    return _NEXT_TO_NOTHING.get(vocabulary()[analyte].unit, np.float32(0.1))


def _read_as(now: Move, analyte: str) -> _Reading:
    """Return a reading as a normal one, no sharper than there is telling."""
    low, high = np.maximum(now.low, 0), np.minimum(now.high, _OPEN)
    variance = np.square((high - low) / _EVEN)
    variance += now.variance
    variance += _nothing(analyte) ** 2
    return _Reading(low + high, variance)


def _log_density(now: _Reading, expected: Move, farthest: np.float32 | None = _FAR) -> Singles:
    """Return the logarithm of a reading's likelihood, less what is the same for all."""
    least, most = expected.low, np.minimum(expected.high, _OPEN)
    variance = np.square((most - least) / _EVEN)
    variance += now.variance
    variance += expected.variance
    middle = now.both_ends - least
    middle -= most
    # An eighth of the squared sum is half the square of the middle.
    np.square(middle, out=middle)
    middle *= np.float32(0.125)
    off = np.divide(middle, variance, out=middle)
    if farthest is not None:
        np.minimum(off, farthest, out=off)
    np.log(variance, out=variance)
    variance *= np.float32(-0.5)
    variance -= off
    return np.asarray(variance)
