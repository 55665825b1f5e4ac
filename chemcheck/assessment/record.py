"""What a check hands on: every result judged, every sample with verdict and disposition."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.balances import Balances
from chemcheck.assessment.received_goods import ReceivedGoods
from chemcheck.assessment.remedies import Remedies
from chemcheck.causes.record import Causes
from chemcheck.judging.record import Judged
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.record import Readings


@dataclass(frozen=True, slots=True)
class Assessment:
    """Readings with all that was found of them.

    Parameters
    ----------
    readings : Readings
        What was judged, with technologies as assumed.
    judged : tuple of Judged
        One a choice of limit sets; the first makes the headline.
    disposition : ndarray of int8, shape (n_samples,)
        Position in `DISPOSITIONS`.
    because : ndarray of int32, shape (n_samples,)
        Position in ``because_texts``.
    because_texts : tuple of str
        The distinct reasons for verdict and disposition.
    counts : mapping of str to int
        Rows, samples, verdicts and cells; ``rows_read`` is the sum of ``samples``,
        ``duplicate_rows`` and ``rejected_rows`` in wide files, ``cells_read`` that of
        ``cells_judged``, ``cells_not_judged``, ``cells_blank`` and ``cells_rejected``.
    assumptions : tuple of str
        What was assumed, each in one line.
    cautions : tuple of str
        Keys of the cautions that apply.
    shared_causes : tuple of str
        Shifts that several units share, each in one sentence with what to test.
    balances : Balances or None
        Of mass, for any sample that is asked for.
    causes : Causes or None
        What may have gone wrong in each sample of coolant; None where there is none.
    received : ReceivedGoods or None
        Identity, strength and contamination of new coolant; None where there is none.
    remedies : Remedies or None
        For any sample that is asked for, each judged for what it leads to.
    """

    readings: Readings
    judged: tuple[Judged, ...]
    disposition: npt.NDArray[np.int8]
    because: npt.NDArray[np.int32]
    because_texts: tuple[str, ...]
    counts: Mapping[str, int]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    shared_causes: tuple[str, ...] = ()
    balances: Balances | None = None
    causes: Causes | None = None
    received: ReceivedGoods | None = None
    remedies: Remedies | None = None

    @property
    def headline(self) -> Judged:
        """The choice of limit sets whose verdict comes first."""
        return self.judged[0]

    @property
    def limit_sets(self) -> tuple[LimitSet, ...]:
        """The sets that judged any sample, each once, those of the headline first."""
        used: dict[str, LimitSet] = {}
        for judged in self.judged:
            for k in np.unique(judged.set_of_sample[judged.set_of_sample >= 0]):
                one = judged.sets[k]
                # Of sets that are partial for some samples only, the whole one stands here.
                if one.id not in used or used[one.id].partial:
                    used[one.id] = one
        return tuple(used.values())

    @property
    def verdicts(self) -> pd.DataFrame:
        """One row a sample: where it stands, verdict by set, disposition and why."""
        from chemcheck.assessment.frames import verdict_frame  # built on this record

        return verdict_frame(self)

    @property
    def results(self) -> pd.DataFrame:
        """One row a result of the headline, with its bound, source and probability."""
        from chemcheck.assessment.frames import result_frame  # built on this record

        return result_frame(self)
