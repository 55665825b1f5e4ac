"""What features look at, for a stretch of samples: levels, and moves from what was expected.

A quantity has two ends, which hold what is not known of it (a non-detect, a strip's pad, how
far a sound fill ages), and a standard deviation of what varies by chance: method, sampling and
the unit itself, in the sample and in what it is held against.
"""

from collections.abc import Callable
from functools import cached_property
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.causes.ageing import grown_old
from chemcheck.causes.common_factor import STRENGTH, CommonFactor, common_factor
from chemcheck.causes.plan import UNKNOWN, Plan
from chemcheck.limit_library.cause_records import Feature

Singles = npt.NDArray[np.float32]
Rows = npt.NDArray[np.integer]
Ends = tuple[Singles, Singles]

# What of a coolant is known when its strength is not: any from 40 to 60 vol%, of 50.
_ANY_STRENGTH = (0.8, 1.2)


class Move(NamedTuple):
    """Ends of a quantity and its standard deviation, on the scale of a feature."""

    low: Singles
    high: Singles
    spread: Singles


class Quantities:
    """What features look at, for a stretch of samples; each worked out when first asked for.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    rows : slice or ndarray of int
        The stretch.
    """

    def __init__(self, plan: Plan, rows: slice | npt.NDArray[np.intp]) -> None:
        self.plan = plan
        self.rows = rows
        self.size = len(plan.references.use[rows])
        self._levels: dict[str, Move] = {}
        self._changes: dict[tuple[str, str, str], Move] = {}
        self._expected: dict[tuple[str, str], Move] = {}
        self._references: dict[tuple[str, str], tuple[Singles, Singles, npt.NDArray[np.bool_]]] = {}
        self._before: dict[tuple[str, str], tuple[Singles, Singles, Singles]] = {}
        self._common: dict[str, CommonFactor] = {}
        # What several features share, by name, kept by whoever works it out.
        self.shared: dict[str, tuple[Singles, ...]] = {}
        self._derived: dict[tuple[str, str], Move] = {}

    def held(self, feature: Feature) -> tuple[str, ...]:
        """Return what a feature is held against: the fresh fill, and the sample before."""
        if feature.held_against == "previous":
            return ("previous",)
        return ("reference", "previous") if self.since.any() else ("reference",)

    def of(self, feature: Feature, held: str = "reference") -> Move:
        """Return what a feature looks at, on its scale; unknown where not read."""
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
        """Return the ends of a reading and its standard deviation."""
        if analyte not in self._levels:
            low, high = self.raw(analyte, self.rows)
            spread = np.hypot(
                self._method(analyte, self.rows),
                self._in_unit(analyte, np.where(np.isfinite(high), high, low)),
            )
            missing = np.isnan(low)
            low[missing], high[missing], spread[missing] = -UNKNOWN, UNKNOWN, 0
            self._levels[analyte] = Move(low, np.minimum(high, UNKNOWN), spread)
        return self._levels[analyte]

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
            change = _rise(now, then) if look == "rise" else self._factor(now, then)
            self._changes[key] = change
        return self._changes[key]

    def expected(self, analyte: str, held: str) -> Move:
        """Return what a sound unit would show: its reference, aged, and thinned by water."""
        key = (analyte, held)
        if key not in self._expected:
            self._expected[key] = self._aged_and_thinned(analyte, held)
        return self._expected[key]

    def reference(
        self, analyte: str, held: str = "reference"
    ) -> tuple[Singles, Singles, npt.NDArray[np.bool_]]:
        """Return the ends of a reference, and where it is a reading and no mere range."""
        if (analyte, held) not in self._references:
            self._references[analyte, held] = self._reference(analyte, held)
        return self._references[analyte, held]

    def common(self, held: str = "reference") -> CommonFactor:
        """Return the factor by which water alone changed everything."""
        if held not in self._common:
            factors = {key: self._own_factor(key, held) for key in self.plan.conservative}
            self._common[held] = common_factor(factors, self.size)
        return self._common[held]

    @cached_property
    def since(self) -> npt.NDArray[np.bool_]:
        """Where the sample before is another than the one that shows the fill's beginning."""
        references = self.plan.references
        before, first = references.previous[self.rows], references.baseline[self.rows]
        return np.asarray(
            (before >= 0) & (before != first) & (before != references.fresh[self.rows])
        )

    @cached_property
    def _has_one_reference(self) -> bool:
        """Whether the sample before is the one that shows the fill's beginning, in every row."""
        references = self.plan.references
        same = references.previous is references.baseline
        return same and not (references.fresh[self.rows] >= 0).any()

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

    def _method(self, analyte: str, rows: slice | Rows) -> Singles:
        """Return the standard uncertainty of readings by their method."""
        uncertainty = self.plan.uncertainty[rows, self.plan.column[analyte]]
        return np.where(np.isfinite(uncertainty), uncertainty, 0).astype(np.float32)

    def _in_unit(self, analyte: str, value: Singles) -> Singles | np.float32:
        """Return how much a sound unit varies from sample to sample."""
        settings = self.plan.settings
        known = vocabulary()[analyte]
        if known.dimension == "pH":
            return np.float32(settings.in_unit_ph)
        if not is_amount(analyte):
            return np.float32(0)
        share = settings.in_unit_strength if analyte in STRENGTH else settings.in_unit
        return np.float32(share) * value

    def _aged_and_thinned(self, analyte: str, held: str) -> Move:
        low, high, is_reading = self.reference(analyte, held)
        unknown = high >= UNKNOWN
        least, most = grown_old(analyte, low, high, self._share_of_life(held))
        low = np.where(is_reading, least, low).astype(np.float32)
        high = np.where(is_reading, most, high).astype(np.float32)
        # An open end says nothing of how far a unit varies.
        size = np.where(unknown, low, high)
        spread = np.hypot(self._of_reference(analyte, held), self._in_unit(analyte, size))
        if is_amount(analyte):
            water = self.common(held)
            factor = np.exp(water.middle)
            least, most = self.strength
            spread = np.hypot(spread * factor, size * factor * water.spread)
            low = low * np.where(is_reading, factor, least)
            high = high * np.where(is_reading, factor, most)
        spread = np.where(is_reading, spread, 0).astype(np.float32)
        return Move(low, np.where(unknown, UNKNOWN, high), spread)

    def _own_factor(self, analyte: str, held: str) -> Ends:
        """Return the logarithm of one species' factor and its standard deviation."""
        now = self.level(analyte)
        low, high, is_reading = self.reference(analyte, held)
        low, high = grown_old(analyte, low, high, self._share_of_life(held))
        spread = np.hypot(
            self._of_reference(analyte, held),
            self._in_unit(analyte, np.where(high >= UNKNOWN, low, high)),
        )
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            value = 0.5 * np.log(now.low * now.high / (low * high))
            wide = np.log(now.high / now.low) ** 2 + np.log(high / low) ** 2
            relative = np.square(now.spread / now.high) + np.square(spread / high)
            good = is_reading & (now.low > 0) & (low > 0)
        # The ends of an even spread: a twelfth of its width squared.
        spread = np.where(good, np.sqrt(wide / 12 + relative), 1).astype(np.float32)
        return np.asarray(np.where(good, value, np.nan), dtype=np.float32), spread

    def _factor(self, now: Move, then: Move) -> Move:
        least = np.float32(self.plan.settings.told_from_nothing)
        missing = now.low == -UNKNOWN
        down = np.log((np.maximum(now.low, 0) + least) / (then.high + least))
        up = np.log((np.maximum(now.high, 0) + least) / (np.maximum(then.low, 0) + least))
        middle = (np.maximum(now.high, 0) + np.maximum(now.low, 0)) / 2 + least
        spread = np.hypot(now.spread / middle, then.spread / (then.high + least))
        down[missing], up[missing] = -UNKNOWN, UNKNOWN
        return Move(down, up, spread)

    def _reference(self, analyte: str, held: str) -> tuple[Singles, Singles, npt.NDArray[np.bool_]]:
        references = self.plan.references
        low, high, _ = self._read_before(analyte, held)
        is_reading = ~np.isnan(low)
        if not is_reading.all():
            ends = self.plan.ranges[analyte][:, references.technology[self.rows]]
            if held == "previous":
                ends = np.array([[0], [UNKNOWN]], dtype=np.float32)
            low = np.where(is_reading, low, ends[0])
            high = np.where(is_reading, high, ends[1])
        return low, high, is_reading

    def _of_reference(self, analyte: str, held: str) -> Singles:
        """Return the standard uncertainty of a reference by its method."""
        return self._read_before(analyte, held)[2]

    def _read_before(self, analyte: str, held: str) -> tuple[Singles, Singles, Singles]:
        """Return the ends of the reading that serves as reference, and its uncertainty."""
        if held == "previous" and self._has_one_reference:
            held = "reference"
        if (analyte, held) not in self._before:
            low = np.full(self.size, np.nan, dtype=np.float32)
            high, spread = low.copy(), np.zeros(self.size, dtype=np.float32)
            for row in self._sources(held):
                at = np.flatnonzero((row >= 0) & np.isnan(low))
                if at.size:
                    low[at], high[at] = self.raw(analyte, row[at])
                    spread[at] = self._method(analyte, row[at])
            self._before[analyte, held] = low, np.minimum(high, UNKNOWN), spread
        return self._before[analyte, held]

    def _share_of_life(self, held: str) -> Singles:
        references = self.plan.references
        since = references.since_first if held == "reference" else references.since_before
        return since[self.rows]

    def _sources(self, held: str) -> list[Rows]:
        references = self.plan.references
        rows = self.rows
        if held == "previous":
            return [references.previous[rows]]
        return [references.baseline[rows], references.fresh[rows]]


def is_amount(analyte: str) -> bool:
    """Return whether water thins an analyte: not a pH, temperature, voltage or word.

    Examples
    --------
    >>> is_amount("nitrite"), is_amount("ph")
    (True, False)
    """
    known = vocabulary()[analyte]
    return not known.words and known.dimension not in ("pH", "temperature", "voltage", "pressure")


def _rise(now: Move, then: Move) -> Move:
    return Move(now.low - then.high, now.high - then.low, np.hypot(now.spread, then.spread))
