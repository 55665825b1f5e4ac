"""Ends of everything that features look at, for a stretch of samples."""

from functools import cached_property

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import vocabulary
from chemcheck.causes.common_factor import CommonFactor, common_factor
from chemcheck.causes.plan import UNKNOWN, Plan
from chemcheck.judging.freezing_point_check import expected_freezing_points, glycol_shares_of
from chemcheck.judging.glycol_of_concentrate import GLYCOLS
from chemcheck.limit_library.cause_records import Feature

Singles = npt.NDArray[np.float32]
Ends = tuple[Singles, Singles]

MOLYBDATE_OF_MOLYBDENUM = 1.667  # from atomic weights
# Factors that a species must have come or gone by to be one that was swapped: it counts from
# the first on, and in full from the second [natural logarithm].
_SWAPPED_FROM, _SWAPPED_IN_FULL = 0.35, 0.7
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
        self._references: dict[tuple[str, str], tuple[Singles, Singles, npt.NDArray[np.bool_]]] = {}

    def of(self, feature: Feature) -> Ends:
        """Return the ends of what a feature looks at, on its scale; unknown where not read."""
        if feature.of in _DERIVED:
            return _DERIVED[feature.of](self)
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
        if not _is_amount(analyte):
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
        """The factor by which water alone changed everything."""
        readings = {}
        for key in self.plan.conservative:
            low, high = self.raw(key, self.rows)
            ref_low, ref_high, known = self.reference(key)
            readings[key] = (low, high, np.where(known, ref_low, np.nan), ref_high)
        return common_factor(readings, self.size, self.plan.settings)

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

    def _widened(self, analyte: str) -> Ends:
        low, high = self.raw(analyte, self.rows)
        j = self.plan.column[analyte]
        spread = self._spread(analyte, high)
        if spread is not None:
            method = self.plan.uncertainty[self.rows, j]
            by = np.float32(self.plan.settings.widened_by) * np.hypot(spread, method)
            by[~np.isfinite(by)] = 0
            low, high = low - by, high + by
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
            sources = [references.previous]
        else:
            sources = [references.baseline, references.fresh]
        low = np.full(self.size, np.nan, dtype=np.float32)
        high = low.copy()
        for source in sources:
            row = source[self.rows]
            open_rows = np.flatnonzero((row >= 0) & np.isnan(low))
            if open_rows.size:
                low[open_rows], high[open_rows] = self.raw(analyte, row[open_rows])
        high = np.minimum(high, UNKNOWN)
        is_reading = ~np.isnan(low)
        if not is_reading.all():
            ends = self.plan.ranges[analyte][:, references.technology[self.rows]]
            if held == "previous":
                ends = np.array([[0], [UNKNOWN]], dtype=np.float32)
            low = np.where(is_reading, low, ends[0])
            high = np.where(is_reading, high, ends[1])
        return low, high, is_reading


def _is_amount(analyte: str) -> bool:
    """Return whether water thins an analyte: not a pH, temperature, voltage or word."""
    known = vocabulary()[analyte]
    return not known.words and known.dimension not in ("pH", "temperature", "voltage", "pressure")


def _common_factor(q: Quantities) -> Ends:
    known = q.common.species > 0
    low = np.where(known, np.log(q.common.low), -UNKNOWN)
    return low, np.where(known, np.log(q.common.high), UNKNOWN)


def _glycol_apart(q: Quantities) -> Ends:
    apart, spread = q.common.glycol_apart, np.float32(q.plan.settings.factor_of_one)
    missing = np.isnan(apart)
    low, high = np.maximum(apart - spread, 0), apart + spread
    return np.where(missing, -UNKNOWN, low), np.where(missing, UNKNOWN, high)


def _freezing_point_gap(q: Quantities) -> Ends:
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


def _swapped_species(q: Quantities) -> Ends:
    """Count the additives that came, or that went, whichever are fewer."""
    came, went = np.zeros((2, q.size), dtype=np.float32)
    known = np.zeros(q.size, dtype=np.int8)
    for key in q.plan.fingerprint:
        low, high = q.factor(key, "previous")
        width = np.float32(_SWAPPED_IN_FULL - _SWAPPED_FROM)
        came += np.clip((low - np.float32(_SWAPPED_FROM)) / width, 0, 1)
        went += np.clip((-high - np.float32(_SWAPPED_FROM)) / width, 0, 1)
        known += (q.reference(key, "previous")[2]) & (q.ends(key)[0] > -UNKNOWN)
    fewer = np.minimum(came, went)
    missing = known < 3
    return np.where(missing, -UNKNOWN, fewer), np.where(missing, UNKNOWN, fewer)


def _cap_share(q: Quantities) -> Ends:
    low, high = q.ends("cap_release_pressure")
    stamped_low, stamped_high = q.ends("cap_rating")
    missing = (low == -UNKNOWN) | (stamped_low == -UNKNOWN)
    with np.errstate(divide="ignore", invalid="ignore"):
        ends = low / stamped_high, high / np.maximum(stamped_low, 1)
    return np.where(missing, -UNKNOWN, ends[0]), np.where(missing, UNKNOWN, ends[1])


def _nitrite_and_molybdate(q: Quantities) -> Ends:
    low, high = q.ends("nitrite")
    mo_low, mo_high = q.ends("molybdenum")
    missing = (low == -UNKNOWN) | (mo_low == -UNKNOWN)
    factor = np.float32(MOLYBDATE_OF_MOLYBDENUM)
    return (
        np.where(missing, -UNKNOWN, low + factor * mo_low),
        np.where(missing, UNKNOWN, high + factor * mo_high),
    )


_DERIVED = {
    "common_factor": _common_factor,
    "glycol_apart": _glycol_apart,
    "freezing_point_gap": _freezing_point_gap,
    "swapped_species": _swapped_species,
    "cap_share": _cap_share,
    "nitrite_and_molybdate": _nitrite_and_molybdate,
}
