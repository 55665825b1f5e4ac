"""What features look at, for a stretch of samples: levels, and moves from what was expected.

A quantity has two ends, which hold what is not known of it (a non-detect, a strip's pad, how
far a sound fill ages), and a variance of what varies by chance: method, sampling and the unit
itself, in the sample and in what it is held against.

A stretch of a batch is worked on by whole rows of single precision, in place where that is
possible, and rows that are rare by their positions: at millions of samples nothing else counts.
"""

from collections.abc import Callable
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.causes.ageing import grown_old
from chemcheck.causes.common_factor import STRENGTH, CommonFactor, common_factor
from chemcheck.causes.held_against import HeldAgainst
from chemcheck.causes.plan import UNKNOWN, Plan
from chemcheck.causes.reference_readings import method_variance
from chemcheck.causes.strength_by_freezing import FREEZING_POINT, factor_by_freezing_point
from chemcheck.limit_library.cause_records import Feature

Singles = npt.NDArray[np.float32]
Rows = npt.NDArray[np.integer]
Ends = tuple[Singles, Singles]

# What of a coolant is known when its strength is not: any from 40 to 60 vol%, of 50.
_ANY_STRENGTH = (0.8, 1.2)


class Move(NamedTuple):
    """Ends of a quantity and its variance, on the scale of a feature."""

    low: Singles
    high: Singles
    variance: Singles


class Quantities:
    """What features look at, for a stretch of samples; each worked out when first asked for.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    rows : slice or ndarray of int
        The stretch: a slice of a batch that is gone through from end to end, or some samples.
    """

    def __init__(self, plan: Plan, rows: slice | npt.NDArray[np.intp]) -> None:
        self.plan = plan
        self.rows = rows
        self.size = len(plan.references.use[rows])
        self.held_against = HeldAgainst(plan, rows)
        self._levels: dict[str, Move] = {}
        self._tap_water: dict[str, Move] = {}
        self._unread: dict[str, npt.NDArray[np.intp]] = {}
        self._changes: dict[tuple[str, str, str], Move] = {}
        self._expected: dict[tuple[str, str], Move] = {}
        self._references: dict[tuple[str, str], tuple[Singles, Singles, npt.NDArray[np.bool_]]] = {}
        self._common: dict[str, CommonFactor] = {}
        self._dilution: dict[str, tuple[Singles, Singles]] = {}
        # What several features share, by name, kept by whoever works it out.
        self.shared: dict[str, tuple[Singles, ...]] = {}
        self._derived: dict[tuple[str, str], Move] = {}

    def held(self, feature: Feature) -> tuple[str, ...]:
        """Return what a feature is held against: the fresh fill, and the sample before."""
        if feature.held_against != "reference":
            return (feature.held_against,)
        return ("reference", "previous") if self.any_since else ("reference",)

    def of(self, feature: Feature, held: str = "reference") -> Move:
        """Return what a feature looks at, on its scale; unknown where not read."""
        if feature.of_tap_water:
            water = self.tap_water(feature.of)
            return water if feature.look == "level" else _rise(self.level(feature.of), water)
        if feature.look == "level":
            return self.level(feature.of)
        return self.change(feature.of, feature.look, held)

    def derived(self, name: str, held: str, work: "Callable[[Quantities, str], Move]") -> Move:
        """Return what is worked out of several readings, worked out once."""
        key = name, held
        if key not in self._derived:
            self._derived[key] = work(self, held)
        return self._derived[key]

    def level(self, analyte: str) -> Move:
        """Return the ends of a reading and its variance."""
        if analyte not in self._levels:
            low, high = self.raw(analyte, self.rows)
            missing = np.flatnonzero(np.isnan(low))
            method = self.plan.uncertainty[self.rows, self.plan.column[analyte]]
            variance = self._variance(analyte, method_variance(method), _size(low, high))
            is_open = np.isinf(high)
            if is_open.any():
                high[is_open] = UNKNOWN
            low[missing], high[missing], variance[missing] = -UNKNOWN, UNKNOWN, 0
            self._unread[analyte] = missing
            self._levels[analyte] = Move(low, high, variance)
        return self._levels[analyte]

    def unread(self, analyte: str) -> npt.NDArray[np.intp]:
        """Return where in the stretch an analyte was not read."""
        self.level(analyte)
        return self._unread[analyte]

    def tap_water(self, analyte: str) -> Move:
        """Return what the tap water of the units holds; unknown where nobody read or told it."""
        if analyte not in self._tap_water:
            of_sample = self.plan.tap_water.of_sample[self.rows]
            low, high, variance = (each[of_sample] for each in self.plan.tap_water.ends[analyte])
            varies = np.float32(self.plan.settings.tap_water_varies) * _size(low, high)
            variance = np.fmax(variance + np.square(varies), 0)
            self._tap_water[analyte] = Move(
                np.fmax(low, -UNKNOWN), np.fmin(high, UNKNOWN), variance
            )
        return self._tap_water[analyte]

    def raw(self, analyte: str, rows: slice | Rows) -> Ends:
        """Return the ends of readings as they were read."""
        j = self.plan.column[analyte]
        readings = self.plan.readings
        return (
            readings.lower[rows, j].astype(np.float32),
            readings.upper[rows, j].astype(np.float32),
        )

    def change(self, analyte: str, look: str, held: str) -> Move:
        """Return how far a reading is from what was expected, as a rise or a log factor."""
        key = (analyte, look, held)
        if key not in self._changes:
            now, then = self.level(analyte), self.expected(analyte, held)
            change = _rise(now, then) if look == "rise" else self._factor(analyte, now, then)
            self._changes[key] = change
        return self._changes[key]

    def expected(self, analyte: str, held: str) -> Move:
        """Return what a sound unit would show: its reference, aged, and thinned by water."""
        key = (analyte, held)
        if key not in self._expected:
            if held == "previous" and self.held_against.is_one:
                self._expected[key] = self._of_no_range(analyte)
            else:
                self._expected[key] = self._aged_and_thinned(analyte, held)
        return self._expected[key]

    def reference(
        self, analyte: str, held: str = "reference"
    ) -> tuple[Singles, Singles, npt.NDArray[np.bool_]]:
        """Return the ends of a reference, and where it is a reading and no mere range."""
        key = analyte, held
        if key not in self._references:
            low, high, _, missing = self.held_against.of(analyte, held)
            if missing.size:
                low, high = low.copy(), high.copy()
                low[missing], high[missing] = self._fresh_range(analyte, held, missing)
            self._references[key] = low, high, self.is_read_before(analyte, held)
        return self._references[key]

    def is_read_before(self, analyte: str, held: str) -> npt.NDArray[np.bool_]:
        """Return where the reference is a reading and no mere range."""
        is_reading = np.ones(self.size, dtype=np.bool_)
        is_reading[self.held_against.of(analyte, held).missing] = False
        return is_reading

    def common(self, held: str = "reference") -> CommonFactor:
        """Return the factor by which water alone changed everything."""
        if held == "previous" and self.held_against.is_one:
            held = "reference"
        if held not in self._common:
            factors = {key: self._own_factor(key, held) for key in self.plan.conservative}
            if FREEZING_POINT in self.plan.column:
                unread = np.ones(self.size, dtype=np.bool_)
                for key in factors.keys() & set(STRENGTH):
                    unread &= np.isnan(factors[key][0])
                if unread.any():
                    factors[FREEZING_POINT] = factor_by_freezing_point(self, held, unread)
            self._common[held] = common_factor(factors, self.size)
        return self._common[held]

    @property
    def since(self) -> npt.NDArray[np.bool_]:
        """Where the sample before is another than the one that shows the fill's beginning."""
        return self.held_against.since

    @cached_property
    def any_since(self) -> bool:
        """Whether that is so of any sample."""
        return bool(self.since.any())

    @cached_property
    def _technology(self) -> Rows:
        return self.plan.references.technology[self.rows]

    @cached_property
    def strength(self) -> Ends:
        """The ends of a sample's glycol over the 50 vol% of fresh ranges."""
        low = np.full(self.size, np.nan, dtype=np.float32)
        high = low.copy()
        for key in ("glycol", "coolant_concentrate"):
            if key in self.plan.column:
                lower, upper = self.raw(key, self.rows)
                low, high = np.fmax(low, lower), np.fmin(high, upper)
        least, most = _ANY_STRENGTH
        spread = np.float32(self.plan.settings.factor_of_one)
        low = np.where(np.isnan(low), np.float32(least), low / 50 * (1 - spread))
        high = np.where(np.isnan(high), np.float32(most), high / 50 * (1 + spread))
        return low.astype(np.float32), np.minimum(high, 2).astype(np.float32)

    def _variance(self, analyte: str, of_method: Singles, value: Singles) -> Singles:
        """Return the variance of readings by their method, and of a sound unit between samples.

        NaN where there is no value.
        """
        settings = self.plan.settings
        if vocabulary()[analyte].dimension == "pH":
            return of_method + np.float32(settings.in_unit_ph**2)
        if not is_amount(analyte):
            return of_method.copy()
        share = settings.in_unit_strength if analyte in STRENGTH else settings.in_unit
        in_unit = np.float32(share) * value
        np.square(in_unit, out=in_unit)
        in_unit += of_method
        return in_unit

    def _aged_and_thinned(self, analyte: str, held: str) -> Move:
        """Return what a sound unit would show."""
        before = self.held_against.of(analyte, held)
        low, high = grown_old(
            analyte, before.low, before.high, self.held_against.share_of_life(held)
        )
        is_open = np.flatnonzero(before.high >= UNKNOWN)
        size = high
        if is_open.size:
            # An open end says nothing of how far a unit varies.
            size = high.copy()
            size[is_open] = low[is_open]
        variance = self._variance(analyte, before.variance, size)
        if is_amount(analyte):
            factor, spread = self._dilution_of(held)
            variance *= np.square(factor)
            of_water = size * spread
            variance += np.square(of_water, out=of_water)
            low, high = low * factor, high * factor
        else:
            low, high = low.copy(), high.copy()
        if is_open.size:
            high[is_open] = UNKNOWN
        if before.missing.size:
            at = before.missing
            low[at], high[at] = self._of_range(analyte, held, at)
            variance[at] = 0
        return Move(low, high, variance)

    def _of_range(self, analyte: str, held: str, at: npt.NDArray[np.intp]) -> Ends:
        """Return the range of fresh fills at the strength of some samples."""
        low, high = self._fresh_range(analyte, held, at)
        if not is_amount(analyte):
            return low, high
        least, most = self.strength
        return low * least.take(at), np.where(high >= UNKNOWN, UNKNOWN, high * most.take(at))

    def _of_no_range(self, analyte: str) -> Move:
        """Return what is expected from the one reference there is, where that is a reading."""
        low, high, variance = self.expected(analyte, "reference")
        at = self.held_against.of(analyte, "reference").missing
        if at.size:
            low, high = low.copy(), high.copy()
            low[at], high[at] = 0, UNKNOWN
        return Move(low, high, variance)

    def _dilution_of(self, held: str) -> tuple[Singles, Singles]:
        """Return the factor of water, and its standard deviation."""
        if held not in self._dilution:
            water = self.common(held)
            factor = np.exp(water.middle)
            self._dilution[held] = factor, factor * water.spread
        return self._dilution[held]

    def _own_factor(self, analyte: str, held: str) -> Ends:
        """Return the logarithm of one species' factor and its standard deviation."""
        now = self.level(analyte)
        before = self.held_against.of(analyte, held)
        low, high = grown_old(
            analyte, before.low, before.high, self.held_against.share_of_life(held)
        )
        variance = self._variance(analyte, before.variance, np.where(high >= UNKNOWN, low, high))
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            value = 0.5 * np.log(now.low * now.high / (low * high))
            wide = np.square(np.log(now.high / now.low)) + np.square(np.log(high / low))
            relative = now.variance / np.square(now.high) + variance / np.square(high)
            good = (now.low > 0) & (low > 0)
        # The ends of an even spread: a twelfth of its width squared.
        spread = np.where(good, np.sqrt(wide / 12 + relative), 1).astype(np.float32)
        return np.asarray(np.where(good, value, np.nan), dtype=np.float32), spread

    def _factor(self, analyte: str, now: Move, then: Move) -> Move:
        least = np.float32(self.plan.settings.told_from_nothing)
        low, high = np.maximum(now.low, 0), np.maximum(now.high, 0)
        middle = low + high
        middle *= np.float32(0.5)
        middle += least
        low += least
        high += least
        top = then.high + least
        low /= top
        bottom = np.maximum(then.low, 0)
        bottom += least
        high /= bottom
        np.log(low, out=low)
        np.log(high, out=high)
        # Divided twice: the square of what is not known is more than single precision holds.
        variance = now.variance / middle
        variance /= middle
        of_then = then.variance / top
        variance += np.divide(of_then, top, out=of_then)
        missing = self.unread(analyte)
        low[missing], high[missing] = -UNKNOWN, UNKNOWN
        return Move(low, high, variance)

    def _fresh_range(self, analyte: str, held: str, at: npt.NDArray[np.intp]) -> Ends:
        """Return what stands for a reference that was not read, in some samples."""
        if held == "previous":
            return np.zeros(at.size, np.float32), np.full(at.size, UNKNOWN)
        low, high = self.plan.ranges[analyte]
        technology = self._technology.take(at)
        return low[technology], high[technology]


@lru_cache
def is_amount(analyte: str) -> bool:
    """Return whether water thins an analyte: not a pH, temperature, voltage or word.

    Examples
    --------
    >>> is_amount("nitrite"), is_amount("ph")
    (True, False)
    """
    known = vocabulary()[analyte]
    return not known.words and known.dimension not in ("pH", "temperature", "voltage", "pressure")


def _size(low: Singles, high: Singles) -> Singles:
    """Return how large readings are: their upper end, or the lower one where that is open."""
    is_open = np.isinf(high)
    return np.where(is_open, low, high) if is_open.any() else high


def _rise(now: Move, then: Move) -> Move:
    return Move(now.low - then.high, now.high - then.low, now.variance + then.variance)
