"""What remedies lead to, judged as the samples themselves were."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.remedy_record import Draft, Predicted, Remedy
from chemcheck.judging.all_samples import judge
from chemcheck.judging.record import (
    OUTSIDE,
    STATE_NAMES,
    UNDECIDED,
    UNFIT,
    VERDICT_NAMES,
    Judged,
)
from chemcheck.judging.repeatability import OwnRepeatability
from chemcheck.readings.record import ABSENT, READ, Coded, Readings

Rows = npt.NDArray[np.intp]


def judge_drafts(
    judged: Judged,
    rows: Sequence[int],
    drafts: Sequence[Draft],
    fresh: Sequence[int],
    own: Sequence[OwnRepeatability] = (),
) -> list[Remedy]:
    """Judge remedies for what they lead to, all in one.

    Parameters
    ----------
    judged : Judged
        All samples.
    rows : sequence of int, of length n
        The sample of each draft.
    drafts : sequence of Draft, of length n
        The remedies.
    fresh : sequence of int, of length n
        Position of the fresh fill of each; -1 where there is none.
    own : sequence of OwnRepeatability, optional
        The laboratories' own, where it stood in for the library's uncertainty.

    Returns
    -------
    list of Remedy
        In the same order.
    """
    if not drafts:
        return []
    shown = sorted({place for place in fresh if place >= 0})
    n = len(drafts)
    at = np.array([*rows, *shown], dtype=np.intp)
    lower = np.stack([one.lower for one in drafts])
    upper = np.stack([one.upper for one in drafts])
    readings = _as_predicted(judged.readings, at, lower, upper)
    reference = np.full(at.size, -1, dtype=np.int64)
    for k, place in enumerate(fresh):
        if place >= 0:
            reference[k] = n + shown.index(place)
    sets = judged.set_of_sample[at].copy()
    sets[n:] = -1
    after = judge(
        readings,
        judged.sets,
        sets,
        rule=judged.rule,
        name=judged.name,
        fresh=reference,
        own=tuple(own),
    )
    return [_remedy(draft, after, k) for k, draft in enumerate(drafts)]


def _as_predicted(
    readings: Readings, at: Rows, lower: npt.NDArray[np.float64], upper: npt.NDArray[np.float64]
) -> Readings:
    """Return samples with predicted levels first, then those that stay as they are."""
    n = len(lower)
    low, high = readings.lower[at].copy("F"), readings.upper[at].copy("F")
    status = readings.status[at].copy("F")
    low[:n], high[:n] = lower, upper
    status[:n] = np.where(np.isnan(lower), ABSENT, READ)

    def coded(one: Coded) -> Coded:
        return replace(one, codes=one.codes[at])

    return replace(
        readings,
        samples=readings.samples.iloc[at].reset_index(drop=True),
        lower=low,
        upper=high,
        status=status,
        shared_factor=np.ones(low.shape, dtype=np.float32, order="F"),
        method=coded(readings.method),
        laboratory=coded(readings.laboratory),
        lot=coded(readings.lot),
    )


def _remedy(draft: Draft, after: Judged, row: int) -> Remedy:
    """Put what was judged beside what was drafted."""
    known = [
        (quantity, place)
        for place, quantity in enumerate(after.quantities)
        if quantity.column is not None
        and after.decisive[row, place] >= 0
        and not np.isnan(draft.lower[place])
    ]
    predicted = tuple(
        Predicted(
            quantity.key,
            float(draft.lower[place]),
            float(draft.upper[place]),
            STATE_NAMES[after.state[row, place]],
            float(after.uncertainty[row, place]),
        )
        for quantity, place in known
    )
    broken = bool((after.state[row] == OUTSIDE).any())
    open_still = tuple(
        quantity.title for quantity, place in known if after.state[row, place] == UNDECIDED
    )
    needs = draft.needs
    if open_still:
        needs = (*needs, f"a second look at {', '.join(open_still)}, which may still be beyond")
    return Remedy(
        title=draft.title,
        steps=draft.steps,
        predicted=predicted,
        cautions=draft.cautions,
        needs=needs,
        verdict=VERDICT_NAMES[after.verdict[row]],
        feasible=not broken and not draft.refused and bool(after.verdict[row] != UNFIT),
        held_back=draft.held_back,
    )
