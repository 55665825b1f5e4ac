"""Balances of mass for the samples that are told of, worked out when asked for."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.dispositions import of_new_coolant
from chemcheck.assessment.system_size import SystemSizes
from chemcheck.causes import (
    ContaminantBalance,
    MixedTechnology,
    ReserveBalance,
    TopUpFluids,
    contaminant_balances,
    mixed_technologies,
    reserve_balance,
    top_ups_before,
)
from chemcheck.causes.expected_fill import (
    ExpectedComparison,
    compare_with_expected,
    first_samples,
)
from chemcheck.chemistry.range_record import Range
from chemcheck.fills import Fills, fresh_fill_rows, number_fills
from chemcheck.fills.event_order import FRESH_SAMPLES
from chemcheck.judging.record import Judged
from chemcheck.readings.sample_types import rows_of_type, types_present
from chemcheck.remedies.deionised_water import deionised_water


@dataclass(frozen=True, slots=True)
class SampleBalance:
    """What the balances say of one sample.

    Parameters
    ----------
    contaminants : tuple of ContaminantBalance
        Chloride, sulfate, hardness, as far as known.
    reserve : ReserveBalance or None
        Of reserve alkalinity.
    mixed : MixedTechnology or None
        A coolant of another technology found in it.
    needs : tuple of str
        What was not known, so that a balance is missing.
    expected : ExpectedComparison or None
        Where it is the first sample of a fill that was reckoned beforehand.
    """

    contaminants: tuple[ContaminantBalance, ...]
    reserve: ReserveBalance | None
    mixed: MixedTechnology | None
    needs: tuple[str, ...]
    expected: ExpectedComparison | None = None


NOTHING = SampleBalance((), None, None, ())


@dataclass(frozen=True)
class Balances:
    """Balances of every sample, each worked out when it is asked for.

    Parameters
    ----------
    judged : Judged
        All samples.
    events : DataFrame or None
        The log.
    sizes : SystemSizes
        Volumes of the systems.
    water : mapping of str to Range
        Of the tap water that systems are topped up with, as stated [canonical units].
    """

    judged: Judged
    events: pd.DataFrame | None
    sizes: SystemSizes
    water: Mapping[str, Range] = field(default_factory=dict)
    _mixed: dict[int, MixedTechnology | None] = field(default_factory=dict, repr=False)

    def of_sample(self, row: int) -> SampleBalance:
        """Balance one sample.

        Parameters
        ----------
        row : int
            Its position.

        Returns
        -------
        SampleBalance
            Empty for water and new coolant, and where no sample shows the fill fresh.
        """
        fresh = self.fresh_of(row)
        samples = self.judged.readings.samples
        if fresh < 0 or samples["material"].iloc[row] != "coolant":
            return NOTHING
        if of_new_coolant(self.judged, row):
            return NOTHING
        if fresh == row:
            return replace(NOTHING, expected=self._expected(row))
        needs: list[str] = []
        return SampleBalance(
            contaminants=self._contaminants(row, fresh, needs),
            reserve=reserve_balance(self.judged, row, fresh, self._fluids),
            mixed=self.mixed_of(row),
            needs=tuple(needs),
            expected=self._expected(row),
        )

    def mixed_of(self, row: int) -> MixedTechnology | None:
        """Return the coolant of another technology that is found in a sample of coolant.

        Parameters
        ----------
        row : int
            Its position.
        """
        if row not in self._mixed:
            fresh = self.fresh_of(row)
            found = None
            if fresh not in (-1, row):
                found = mixed_technologies(self.judged, row, fresh, self._by_technology)
            self._mixed[row] = found
        return self._mixed[row]

    def _expected(self, row: int) -> ExpectedComparison | None:
        if row not in self._first_samples:
            return None
        return compare_with_expected(self.judged, row, self._first_samples[row])

    def fresh_of(self, row: int) -> int:
        """Return the position of the sample that shows a fill fresh, -1 where none does."""
        return int(self._fresh[row]) if self._any_fresh else -1

    def _contaminants(
        self, row: int, fresh: int, needs: list[str]
    ) -> tuple[ContaminantBalance, ...]:
        system, _ = self.sizes.of(row)
        samples = self.judged.readings.samples
        top_ups = top_ups_before(samples, self._fills, self.events, row, fresh)
        if not top_ups.doubt and not top_ups.fluids and self.events is None:
            needs.append("a log of top-ups (--events)")
        if top_ups.doubt:
            needs.append(top_ups.doubt)
            return ()
        if system is None:
            needs.append("the volume of the system (--system, or a column)")
            return ()
        volume = Range(system.lower, system.upper)
        found, lacking = contaminant_balances(
            self.judged, row, fresh, top_ups, self._fluids, volume
        )
        if lacking:
            needs.append(f"{', '.join(lacking)} of what was topped up (--top-up-water)")
        return found

    @cached_property
    def _any_fresh(self) -> bool:
        return bool(types_present(self.judged.readings.samples) & set(FRESH_SAMPLES))

    @cached_property
    def _fills(self) -> Fills:
        return number_fills(self.judged.readings.samples, self.events)

    @cached_property
    def _first_samples(self) -> Mapping[int, int]:
        return first_samples(self.judged.readings.samples, self._fills)

    @cached_property
    def _fresh(self) -> npt.NDArray[np.int64]:
        return fresh_fill_rows(self.judged.readings.samples, self._fills)

    @cached_property
    def _fluids(self) -> TopUpFluids:
        assumed = {
            key: Range(np.asarray(one.lower), np.asarray(one.upper))
            for key, one in deionised_water().items()
        }
        return TopUpFluids(self.judged, self.water, assumed)

    @cached_property
    def _by_technology(self) -> Mapping[str, int]:
        """Position of a fresh fill of each technology, the first of several."""
        samples = self.judged.readings.samples
        answer: dict[str, int] = {}
        for row in rows_of_type(samples, FRESH_SAMPLES).tolist():
            technology = samples["technology"].iloc[row]
            if isinstance(technology, str):
                answer.setdefault(technology, row)
        return answer
