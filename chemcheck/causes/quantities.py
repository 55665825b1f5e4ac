"""Ends of everything that features look at, for a stretch of samples."""

from functools import cached_property

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.causes.ageing import grown_old
from chemcheck.causes.common_factor import CommonFactor, common_factor
from chemcheck.causes.derived import DERIVED_FROM
from chemcheck.causes.plan import UNKNOWN, Plan
from chemcheck.judging.freezing_point_check import share_of_freezing_point
from chemcheck.limit_library.ageing import ageing
from chemcheck.limit_library.cause_records import Feature

Singles = npt.NDArray[np.float32]
Ends = tuple[Singles, Singles]

# Factors that a species must have come or gone by to be one that was swapped: it counts from
# the first on, and in full from the second [natural logarithm].
_SWAPPED_FROM, _SWAPPED_IN_FULL = 0.3, 0.7
# What of a coolant is known when its strength is not: any from 40 to 60 vol%, of 50.
_ANY_STRENGTH = (0.8, 1.2)


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
        self._ends: dict[str, Ends] = {}
        self._by: dict[str, Singles] = {}
        self._references: dict[tuple[str, str], tuple[Singles, Singles, npt.NDArray[np.bool_]]] = {}

    def of(self, feature: Feature) -> Ends:
        """Return the ends of what a feature looks at, on its scale; unknown where not read."""
        if feature.of in DERIVED_FROM:
            return DERIVED_FROM[feature.of](self)
        if feature.look == "level":
            return self.ends(feature.of)
        if feature.look == "rise":
            return self.rise(feature.of, feature.held_against)
        return self.factor(feature.of, feature.held_against)

    def ends(self, analyte: str) -> Ends:
        """Return the ends of a reading, widened by its uncertainty."""
        if analyte not in self._ends:
            self._ends[analyte] = self._widened(analyte)
        return self._ends[analyte]

    def raw(self, analyte: str, rows: slice | npt.NDArray[np.integer]) -> Ends:
        """Return the ends of readings as they were read."""
        j = self.plan.column[analyte]
        readings = self.plan.readings
        return (
            readings.lower[rows, j].astype(np.float32),
            readings.upper[rows, j].astype(np.float32),
        )

    def rise(self, analyte: str, held: str = "reference") -> Ends:
        """Return the ends of how far a reading is above its reference [unit]."""
        low, high = self.ends(analyte)
        ref_low, ref_high = self.diluted(analyte, held)
        return low - ref_high, high - ref_low

    def factor(self, analyte: str, held: str = "reference") -> Ends:
        """Return the ends of the logarithm of a reading over its reference."""
        low, high = self.ends(analyte)
        ref_low, ref_high = self.diluted(analyte, held)
        least = np.float32(self.plan.settings.told_from_nothing)
        missing = low == -UNKNOWN
        down = np.log((np.maximum(low, 0) + least) / (ref_high + least))
        up = np.log((np.maximum(high, 0) + least) / (ref_low + least))
        down[missing], up[missing] = -UNKNOWN, UNKNOWN
        return down, up

    def diluted(self, analyte: str, held: str) -> Ends:
        """Return the ends of a reference, with what water did taken out first."""
        low, high, is_reading = self.reference(analyte, held)
        if not _is_amount(analyte) or held == "previous":
            return low, high
        factor = self.common
        if is_reading.all():
            return low * factor.low, high * factor.high
        least, most = self.strength
        return (
            low * np.where(is_reading, factor.low, least),
            np.minimum(high * np.where(is_reading, factor.high, most), UNKNOWN),
        )

    def reference(
        self, analyte: str, held: str = "reference"
    ) -> tuple[Singles, Singles, npt.NDArray[np.bool_]]:
        """Return the ends of a reference, and where it is a reading and no mere range."""
        if (analyte, held) not in self._references:
            self._references[analyte, held] = self._reference(analyte, held)
        return self._references[analyte, held]

    @cached_property
    def common(self) -> CommonFactor:
        """The factor by which water alone changed everything since the first sample."""
        return self._factor_of({key: self.raw(key, self.rows) for key in self._tracers})

    @cached_property
    def common_before(self) -> Singles:
        """The same factor of the sample before; 1 where it tells nothing."""
        before = self.plan.references.before
        factor = self._factor_of({key: self._read_at(key, before) for key in self._tracers})
        told = np.sqrt(factor.low * factor.high)
        return np.where(factor.species > 0, told, 1).astype(np.float32)

    @property
    def _tracers(self) -> tuple[str, ...]:
        by_freezing = ("freezing_point",) if "freezing_point" in self.plan.column else ()
        return (*self.plan.conservative, *by_freezing)

    def _factor_of(self, readings: dict[str, Ends]) -> CommonFactor:
        references = self.plan.references
        pairs = {}
        for key, (low, high) in readings.items():
            then = self._read_at(key, references.baseline, references.fresh)
            if key == "freezing_point":
                low, high = self._strength_by_freezing_point(low, high)
                then = self._strength_by_freezing_point(*then)
            pairs[key] = (low, high, *then)
        return common_factor(pairs, self.size, self.plan.settings)

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

    def _strength_by_freezing_point(self, low: Singles, high: Singles) -> Ends:
        """Return the ends of the glycol [vol%] that freezes between two temperatures."""
        references = self.plan.references
        propylene = [name == "propylene_glycol" for name in references.glycols]
        is_propylene = np.array([*propylene, False])[references.glycol[self.rows]]
        # The colder end is the stronger.
        weak, strong = (
            np.where(
                is_propylene,
                share_of_freezing_point("propylene_glycol", end),
                share_of_freezing_point("ethylene_glycol", end),
            ).astype(np.float32)
            for end in (high, low)
        )
        return weak, strong

    @cached_property
    def came_and_went(self) -> tuple[Singles, Singles, npt.NDArray[np.bool_]]:
        """How many additives came and how many went since the sample before.

        Each counts by how far its factor is beyond doubt; where fewer than three were read
        twice, nothing is known.
        """
        came, went = np.zeros((2, self.size), dtype=np.float32)
        known = np.zeros(self.size, dtype=np.int8)
        width = np.float32(_SWAPPED_IN_FULL - _SWAPPED_FROM)
        for key in self.plan.fingerprint:
            low, high = self.factor(key, "previous")
            came += np.clip((low - np.float32(_SWAPPED_FROM)) / width, 0, 1)
            went += np.clip((-high - np.float32(_SWAPPED_FROM)) / width, 0, 1)
            known += (self.reference(key, "previous")[2]) & (self.ends(key)[0] > -UNKNOWN)
        return came, went, known < 3

    def significance(self, feature: Feature) -> Singles:
        """Return how surely a reading moved the way a feature says, from 0 to 1."""
        low, high = self.rise(feature.of, feature.held_against)
        moved = low if feature.up else -high
        spread = self._by[feature.of]
        settings = self.plan.settings
        # The reading is widened by one spread already.
        width = np.float32(settings.surely_at - settings.chance_up_to)
        start = np.float32(settings.widened_by - settings.chance_up_to)
        return np.clip((moved / np.maximum(spread, np.float32(1e-6)) + start) / width, 0, 1)

    def _widened(self, analyte: str) -> Ends:
        low, high = self.raw(analyte, self.rows)
        j = self.plan.column[analyte]
        spread = self._spread(analyte, high)
        if spread is not None:
            method = self.plan.uncertainty[self.rows, j]
            by = np.float32(self.plan.settings.widened_by) * np.hypot(spread, method)
            by[~np.isfinite(by)] = 0
            low, high = low - by, high + by
            self._by[analyte] = by / np.float32(self.plan.settings.widened_by)
        missing = np.isnan(low)
        low[missing], high[missing] = -UNKNOWN, UNKNOWN
        return low, np.minimum(high, UNKNOWN)

    def _spread(self, analyte: str, high: Singles) -> Singles | np.float32 | None:
        """Return how much a sound unit varies; None where readings are words."""
        settings = self.plan.settings
        known = vocabulary()[analyte]
        if known.words:
            return None
        if known.dimension == "pH":
            return np.float32(settings.in_unit_ph)
        if not _is_amount(analyte):
            return np.float32(0)
        return np.float32(settings.in_unit) * high

    def _reference(self, analyte: str, held: str) -> tuple[Singles, Singles, npt.NDArray[np.bool_]]:
        references = self.plan.references
        if held == "previous":
            low, high = self._read_at(analyte, references.previous)
        else:
            low, high = self._read_at(analyte, references.baseline, references.fresh)
        is_reading = ~np.isnan(low)
        if not is_reading.all():
            ends = self.plan.ranges[analyte][:, references.technology[self.rows]]
            if held == "previous":
                ends = np.array([[0], [UNKNOWN]], dtype=np.float32)
            low = np.where(is_reading, low, ends[0])
            high = np.where(is_reading, high, ends[1])
        if held == "reference" and ageing().of(analyte):
            low, high = self._aged(analyte, low, high)
        return low, high, is_reading

    def _read_at(self, analyte: str, *sources: npt.NDArray[np.int64]) -> Ends:
        """Return readings of other samples, each of the first that has one."""
        low = np.full(self.size, np.nan, dtype=np.float32)
        high = low.copy()
        for source in sources:
            row = source[self.rows]
            open_rows = np.flatnonzero((row >= 0) & np.isnan(low))
            if open_rows.size:
                low[open_rows], high[open_rows] = self.raw(analyte, row[open_rows])
        return low, np.minimum(high, UNKNOWN)

    def _aged(self, analyte: str, low: Singles, high: Singles) -> Ends:
        """Move a reference on by what time alone did to it, and may have done since.

        What the sample before had come to, dilution taken out, counts only as far as a whole
        life goes: what a fault did to it stays one.
        """
        references = self.plan.references
        if references.before is references.baseline:
            least, most = grown_old(analyte, low, high, references.since_first[self.rows])
            return np.minimum(low, least), np.maximum(high, most)
        by_end = grown_old(analyte, low, high, np.float32(1))
        before_low, before_high = self._read_at(analyte, references.before)
        if _is_amount(analyte):
            before_low, before_high = (
                before_low / self.common_before,
                before_high / self.common_before,
            )
        known = ~np.isnan(before_low)
        now_low = np.where(known, np.clip(before_low, by_end[0], by_end[1]), low)
        now_high = np.where(known, np.clip(before_high, by_end[0], by_end[1]), high)
        since = np.where(
            known, references.since_before[self.rows], references.since_first[self.rows]
        ).astype(np.float32)
        least, most = grown_old(analyte, now_low, now_high, since)
        return np.minimum(now_low, least), np.maximum(now_high, most)


def _is_amount(analyte: str) -> bool:
    """Return whether water thins an analyte: not a pH, temperature, voltage or word."""
    known = vocabulary()[analyte]
    return not known.words and known.dimension not in ("pH", "temperature", "voltage", "pressure")
