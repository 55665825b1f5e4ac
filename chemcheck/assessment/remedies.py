"""Remedies of the samples that are told of, each judged for what it leads to."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.balances import Balances
from chemcheck.assessment.coolant_remedies import coolant_drafts
from chemcheck.assessment.dispositions import of_new_coolant
from chemcheck.assessment.mixed_fill import (
    MIXED,
    asks_for_change,
    for_mixed_fill,
    for_suspected_mix,
)
from chemcheck.assessment.predicted_states import judge_drafts
from chemcheck.assessment.remedy_record import Draft, Predicted, Remedy
from chemcheck.assessment.remedy_volumes import Volumes
from chemcheck.assessment.sample_levels import SampleLevels
from chemcheck.assessment.system_size import SystemSizes
from chemcheck.assessment.water_remedies import water_drafts
from chemcheck.causes import Causes, Hypothesis
from chemcheck.judging.record import FIT, NOT_DECIDED, Judged
from chemcheck.judging.repeatability import OwnRepeatability


@dataclass(frozen=True)
class Remedies:
    """Remedies of every sample, worked out for those that are asked for.

    Parameters
    ----------
    judged : Judged
        All samples.
    sizes : SystemSizes
        Volumes of the systems.
    balances : Balances
        Knows the fresh fill of each sample.
    confirm : ndarray of bool, shape (n_samples,)
        Whose advice must be confirmed first, apart from those that are undecided.
    own : tuple of OwnRepeatability
        The laboratories' own, where it stood in for the library's uncertainty in the verdicts.
    causes : Causes or None
        Of all samples: they tell of a mixture of coolants whose share no tracer gives.
    """

    judged: Judged
    sizes: SystemSizes
    balances: Balances
    confirm: npt.NDArray[np.bool_]
    own: tuple[OwnRepeatability, ...] = ()
    causes: Causes | None = None
    _known: dict[int, tuple[Remedy, ...]] = field(default_factory=dict, repr=False)

    def of_sample(self, row: int) -> tuple[Remedy, ...]:
        """Return the remedies of one sample, the cheapest that is feasible first.

        Parameters
        ----------
        row : int
            Its position.

        Returns
        -------
        tuple of Remedy
            None for a sample that is fit, that no set judges, or of which nothing is, or
            may be, beyond a bound that a remedy could act on.
        """
        self.prepare([row])
        return self._known[row]

    def prepare(self, rows: Iterable[int]) -> None:
        """Work out the remedies of several samples in one: that is much quicker.

        Parameters
        ----------
        rows : iterable of int
            Their positions.
        """
        wanted = [row for row in dict.fromkeys(rows) if row not in self._known]
        suspected = self._suspected(wanted)
        of_row: list[int] = []
        drafts: list[Draft] = []
        fresh: list[int] = []
        for row in wanted:
            self._known[row] = ()
            reference = self.balances.fresh_of(row)
            for draft in self._drafts(row, reference, suspected.get(row)):
                of_row.append(row)
                drafts.append(draft)
                fresh.append(reference)
        remedies = judge_drafts(self.judged, of_row, drafts, fresh, self.own)
        for row in dict.fromkeys(of_row):
            mine = [k for k, one in enumerate(of_row) if one == row]
            mine.sort(key=lambda k: (_order(remedies[k]), drafts[k].litres))
            self._known[row] = tuple(remedies[k] for k in mine)

    def _suspected(self, rows: list[int]) -> dict[int, Hypothesis]:
        """Return the samples whose readings speak for a mixture of coolants."""
        if self.causes is None or not rows:
            return {}
        found = self.causes.of_rows(np.array(rows, dtype=np.intp))
        return {
            row: one
            for row, causes in zip(rows, found, strict=True)
            for one in causes
            if one.cause == MIXED and one.raised
        }

    def _drafts(self, row: int, fresh: int, suspicion: Hypothesis | None) -> Iterable[Draft]:
        if self.judged.verdict[row] == FIT or self.judged.set_of_sample[row] < 0:
            return ()
        if of_new_coolant(self.judged, row):
            return ()  # no circuit to drain: what to do with a delivery its disposition says
        open_still = self.judged.verdict[row] == NOT_DECIDED
        levels = SampleLevels(self.judged, row, fresh, bool(open_still or self.confirm[row]))
        if levels.limit_set.material == "water":
            return water_drafts(levels)
        mixed = self.balances.mixed_of(row)
        change = asks_for_change(mixed) or (mixed is None and suspicion is not None)
        drafts = coolant_drafts(levels, Volumes(*self.sizes.of(row)), change=change)
        if mixed is not None:
            return for_mixed_fill(drafts, mixed)
        return drafts if suspicion is None else for_suspected_mix(drafts, suspicion)


def _order(remedy: Remedy) -> tuple[bool, bool]:
    """Feasible remedies come first, and of these what nothing holds back.

    Whether one is fit or waits for a reading is no matter.
    """
    return not remedy.feasible, remedy.held_back is not None


__all__ = ["Predicted", "Remedies", "Remedy"]
