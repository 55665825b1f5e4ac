"""Find how far top-ups diluted every fill, by what only dilution changes."""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import ndtr

from chemcheck.assessment.along_fills import first_and_last, previous_samples, running_sums
from chemcheck.assessment.dilution import (
    LITRES,
    NOTHING,
    Dilution,
    column_of,
    exact_readings,
    middle_of,
)
from chemcheck.assessment.trend_rows import TrendRows
from chemcheck.errors import NotEnoughDataError
from chemcheck.fills.top_up_shares import dilution_library
from chemcheck.forecasting import FleetTrend
from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

# A line through a reference takes at least so many readings, and a comparison so many fills.
LEAST_READINGS, LEAST_FILLS = 3, 5
# So many units are named in a line.
NAMED = 6


def measure_dilution(
    readings: Readings, rows: TrendRows, known: Bools, tracer: str | None = None
) -> Dilution:
    """Find how far each sample's coolant had been diluted.

    Parameters
    ----------
    readings : Readings
        The samples.
    rows : TrendRows
        Where they stand, and what was logged as added.
    known : ndarray of bool, shape (n_samples,)
        Samples to use.
    tracer : str or None
        An inert analyte that no top-up brings: what it falls by more than glycol is premix.

    Returns
    -------
    Dilution
        By glycol, which water top-ups take down; else by another conserved analyte where nothing
        was dosed; else by litres logged and the system's volume.

    Notes
    -----
    One reading of glycol errs by a percent or two. Its trend in each fill, pooled over the fills
    of a technology, errs less; what is left is in ``variance`` and ``walk``.
    """
    return _Measurement(readings, rows, known, tracer).result()


class _Measurement:
    """One fleet while its dilution is measured."""

    def __init__(
        self, readings: Readings, rows: TrendRows, known: Bools, tracer: str | None
    ) -> None:
        self.readings, self.rows, self.known, self.tracer = readings, rows, known, tracer
        n, groups = len(known), len(rows.technology)
        self.log_left = np.zeros(n)
        self.reference = np.full(groups, NOTHING, dtype=object)
        self.rate, self.variance, self.walk = (np.zeros(groups) for _ in range(3))
        self.previous = previous_samples(rows, known)
        self.remarks: list[tuple[str, str]] = []

    def result(self) -> Dilution:
        """Measure in every technology."""
        rows, group = self.rows, self.rows.fills.group
        technology = np.append(rows.technology, [None])[group]
        for kind in pd.unique(technology[self.known]):
            self._by_reference(self.known & rows.of_technology(kind))
        self._by_litres()
        log_kept, strength = self._coolant_added()
        self._say()
        return Dilution(
            log_left=self.log_left,
            reference=self.reference,
            rate=self.rate,
            variance=self.variance,
            walk=self.walk,
            previous=self.previous,
            log_kept=log_kept,
            strength=strength,
            exchange=-self._per_axis(log_kept),
            doses=self.rows.topped.doses,
            remarks=tuple(self.remarks),
        )

    def _by_reference(self, same: Bools) -> None:
        """Fit the first reference that the fills of one technology have."""
        group = self.rows.fills.group
        for name in dilution_library().references:
            pooled = same & exact_readings(self.readings, name)
            if name != "glycol":
                pooled &= ~self._fills_with(self.rows.topped.doses > 0)[group]
            path = self._path(name, pooled)
            if path is None:
                continue
            trend, left = path
            has = np.zeros(len(self.rate) + 1, dtype=bool)
            has[trend.groups_.astype(np.int64)] = True
            here = same & has[group]
            self.log_left[here] = left[here]
            fills = trend.groups_.astype(np.int64)
            self.reference[fills] = name
            rates = trend.rates()
            self.rate[fills], self.variance[fills] = rates["rate"], rates["variance"]
            self.walk[fills] = trend.walk_variance_ * share_of_walk(rates)
            return

    def _path(self, name: str, pooled: Bools) -> tuple[FleetTrend, Floats] | None:
        """Fit a reference's logarithm; return it against the fill's start, of every sample."""
        age, group = self.rows.usage.age, self.rows.fills.group
        if np.count_nonzero(pooled) < LEAST_READINGS or np.ptp(age[pooled]) == 0.0:
            return None
        column = column_of(self.readings, name)
        value = middle_of(self.readings, column)[pooled]
        try:
            trend = FleetTrend(curve="exponential", errors="walk").fit(
                age[pooled][:, None], value, groups=group[pooled]
            )
        except NotEnoughDataError:
            return None
        wanted = np.flatnonzero(self.known & np.isin(group, trend.groups_))
        fills, code = np.unique(group[wanted], return_inverse=True)
        places = np.concatenate((age[wanted], np.zeros(len(fills))))[:, None]
        middle = trend.predict(
            places, groups=np.concatenate((group[wanted], fills)), include_error=False
        )
        log_middle = np.log(middle)
        left = np.zeros(len(age))
        left[wanted] = log_middle[: len(wanted)] - log_middle[len(wanted) :][code]
        return trend, left

    def _by_litres(self) -> None:
        """Where no reference is read, take the litres of water logged."""
        group, topped = self.rows.fills.group, self.rows.topped
        step = np.where(
            self.previous >= 0, topped.log_kept_water - topped.log_kept_water[self.previous], 0.0
        )
        bare = np.append(self.reference == NOTHING, False)[group] & self.known
        if not (bare & (step < 0.0)).any():
            return
        left = running_sums(np.where(bare, step, 0.0), self.rows)
        fills = np.unique(group[bare & (left < 0.0)])
        mine = np.isin(group, fills)
        self.log_left[mine] = left[mine]
        self.reference[fills] = LITRES
        rate = self._per_axis(np.where(mine, step, 0.0))
        times = np.zeros(len(rate))
        np.add.at(times, group[mine & (step < 0.0)], 1.0)
        self.rate[fills] = rate[fills]
        # Top-ups come by chance: so many seen tell their rate as well as a Poisson count does.
        self.variance[fills] = rate[fills] ** 2 / np.maximum(times[fills], 1.0)

    def _coolant_added(self) -> tuple[Floats, Floats]:
        """Return what top-ups with coolant left of the old at each step, and their strength."""
        topped, previous = self.rows.topped, np.maximum(self.previous, 0)
        inside = (self.previous >= 0) & self.known
        premix = np.where(inside, topped.premixes - topped.premixes[previous], 0)
        concentrate = np.where(inside, topped.concentrates - topped.concentrates[previous], 0)
        added = premix + concentrate
        log_kept = np.where(inside, topped.log_kept - topped.log_kept[previous], 0.0)
        unknown = inside & (topped.without_share != topped.without_share[previous])
        if self.tracer is not None and (added > 0).any():
            log_kept, unknown = self._by_tracer(log_kept, added > 0, unknown)
        if unknown.any():
            self.remarks.append(
                (
                    names_of_units(self.rows, unknown),
                    "topped up with coolant by an unknown share of the system (no volume on "
                    "record, no --tracer): this is left in the trend as part of how it is used",
                )
            )
            log_kept = np.where(unknown, 0.0, log_kept)
        richer = dilution_library().settings["concentrate_strength"]
        strength = np.where(added > 0, (premix + richer * concentrate) / np.maximum(added, 1), 1.0)
        return log_kept, strength

    def _by_tracer(self, log_kept: Floats, added: Bools, unknown: Bools) -> tuple[Floats, Bools]:
        """Take the share of premix from what an inert tracer fell by beside glycol."""
        assert self.tracer is not None
        found = self._path(self.tracer, self.known & exact_readings(self.readings, self.tracer))
        if found is None:
            self.remarks.append((self.tracer, "too few readings to trace top-ups by"))
            return log_kept, unknown
        trend, left = found
        traced = np.isin(self.rows.fills.group, trend.groups_) & (self.previous >= 0)
        beside = left - self.log_left
        step = np.minimum(beside - beside[self.previous], 0.0)
        by_tracer = traced & added
        return np.where(by_tracer, step, log_kept), unknown & ~by_tracer

    def _say(self) -> None:
        """Say by what fills were corrected, and what disagrees."""
        seen = np.unique(self.rows.fills.group[self.known])
        told = self.reference[seen]
        count = int((told == NOTHING).sum())
        if 0 < count < len(told):
            what = f"{count} fill{'s' if count > 1 else ''}"
            self.remarks.append((what, "no glycol, tracer or litres: not corrected for dilution"))
        self.remarks.extend(self._disagreements())

    def _disagreements(self) -> Iterator[tuple[str, str]]:
        """Name fills of which another conserved analyte says that something else came in."""
        settings, rows = dilution_library().settings, self.rows
        group, dosed = rows.fills.group, self._fills_with(rows.topped.doses > 0)
        for name in dilution_library().references[1:]:
            exact = self.known & exact_readings(self.readings, name)
            exact &= np.append(self.reference == "glycol", False)[group] & ~dosed[group]
            if not exact.any():
                continue
            value = np.log(middle_of(self.readings, column_of(self.readings, name)))
            first, last = first_and_last(rows, exact)
            moved = value[last] - value[first]
            beside = moved - (self.log_left[last] - self.log_left[first])
            if len(beside) < LEAST_FILLS:
                continue
            spread = 1.4826 * float(np.median(np.abs(beside - np.median(beside))))
            far = max(settings["disagreement"] * spread, settings["least_disagreement"])
            for k in np.flatnonzero(beside - np.median(beside) < -far)[:NAMED].tolist():
                unit = rows.fills.unit_ids[rows.fills.unit[last[k]]]
                glycol = np.exp(self.log_left[last[k]] - self.log_left[first[k]])
                yield (
                    f"unit {unit}",
                    f"{name} fell to {np.exp(moved[k]):.2f} of its start, glycol to {glycol:.2f}: "
                    "water and a coolant without it were both added, or one is misread; glycol "
                    "is used",
                )
            return

    def _fills_with(self, mask: Bools) -> Bools:
        has = np.zeros(len(self.rate) + 1, dtype=bool)
        has[self.rows.fills.group[mask & self.known]] = True
        has[-1] = False
        return has

    def _per_axis(self, steps: Floats) -> Floats:
        """Return the sum of steps of each fill over the axis between its first and last sample."""
        group, age = self.rows.fills.group, self.rows.usage.age
        total, span = np.zeros(len(self.rate)), np.zeros(len(self.rate))
        mine = self.known & (self.previous >= 0)
        np.add.at(total, group[mine], steps[mine])
        np.add.at(span, group[mine], age[mine] - age[self.previous[mine]])
        return np.divide(total, span, out=np.zeros(len(total)), where=span > 0.0)


def share_of_walk(rates: pd.DataFrame) -> Floats:
    """Return each fill's part in the walk that its fleet has on average, by how much it loses.

    Top-ups come by chance: a fill that takes one of share s so and so often is diluted at that
    rate times s, and wanders with a variance of the rate times s squared [1]_. So the variance is
    in proportion to how fast a fill is diluted, as far as that is known.

    References
    ----------
    .. [1] Ross, S. M. (2014), Introduction to Probability Models, 11th ed., Academic Press,
       section 5.4.2 (compound Poisson process).
    """
    deviation = np.sqrt(np.maximum(rates["variance"].to_numpy(), 1e-300))
    score = -rates["rate"].to_numpy() / deviation
    density = np.exp(-0.5 * score**2) / np.sqrt(2.0 * np.pi)
    loss = deviation * (score * ndtr(score) + density)
    mean = loss.mean()
    return loss / mean if mean > 0.0 else np.ones_like(loss)


def names_of_units(rows: TrendRows, mask: Bools) -> str:
    """Name the units of some samples."""
    names = [str(name) for name in rows.fills.unit_ids[np.unique(rows.fills.unit[mask])]]
    more = len(names) - NAMED
    return ", ".join(names[:NAMED]) + (f" and {more} more" if more > 0 else "")
