"""All samples judged by one choice of limit sets."""

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import numpy.typing as npt

from chemcheck.errors import not_one_of
from chemcheck.judging.decision_rules import DECISION_RULES
from chemcheck.judging.doubts import Doubts
from chemcheck.judging.fleet_reference import FleetReference
from chemcheck.judging.plan import Plan, make_plan
from chemcheck.judging.record import NOT_DECIDED, RULES, Judged
from chemcheck.judging.repeatability import OwnRepeatability
from chemcheck.judging.stretch import Outcome, judge_stretch
from chemcheck.limit_library.records import LimitSet
from chemcheck.readings.record import Readings

# So many samples at once stay in a processor's cache.
STRETCH = 1 << 15


def judge(
    readings: Readings,
    sets: Sequence[LimitSet],
    set_of_sample: npt.NDArray[np.int16],
    *,
    rule: str = "overlap",
    name: str,
    fresh: npt.NDArray[np.int64] | None = None,
    withhold: npt.NDArray[np.bool_] | None = None,
    own: Sequence[OwnRepeatability] = (),
    doubts: Doubts | None = None,
    references: FleetReference | None = None,
) -> Judged:
    """Judge every result and every sample.

    Parameters
    ----------
    readings : Readings
        What is judged.
    sets : sequence of LimitSet
        The sets in use.
    set_of_sample : ndarray of int16, shape (n_samples,)
        Position in ``sets`` of each sample's set; -1 where none applies.
    rule : {"overlap", "simple", "guarded"}
        The decision rule.
    name : str
        The choice of sets, as the user would name it.
    fresh : ndarray of int64, shape (n_samples,), optional
        Row of the sample that shows each one's fresh fill; -1 where there is none: a bound
        that is a fraction of the fresh fill is not judged there.
    withhold : ndarray of bool, shape (n_samples,), optional
        Samples that cannot be fit for a reason that does not lie in their results, such as
        a technology that nobody stated.
    own : sequence of OwnRepeatability
        Laboratories' own repeatability, in place of the library's uncertainty.
    doubts : Doubts, optional
        Samples and results that are not to be relied on: they are left undecided.
    references : FleetReference, optional
        What new coolant is held against in place of a fresh fill of its own.

    Returns
    -------
    Judged
        States, decisive bounds and verdicts.

    Raises
    ------
    ValueError
        If the decision rule is unknown.
    """
    if rule not in RULES:
        raise ValueError(not_one_of(rule, RULES, "decision rule"))
    plan = make_plan(readings, sets, set_of_sample, own, doubts, references)
    n, width = len(readings.samples), len(plan.quantities)
    rules = (rule, *(other for other in RULES if other != rule))
    state = np.empty((n, width), dtype=np.int8, order="F")
    decisive = np.empty((n, width), dtype=np.int16, order="F")
    uncertainty = np.full((n, width), np.nan, dtype=np.float32, order="F")
    relative = any(table.of_fresh.any() for table in plan.tables)
    bound_value = np.full((n, width), np.nan, order="F") if relative else None
    verdict = np.empty((n, len(rules)), dtype=np.int8, order="F")
    missing = np.empty(n, dtype=np.bool_)
    held = np.zeros(n, dtype=np.bool_) if withhold is None else withhold

    def one(start: int) -> None:
        rows = slice(start, min(start + STRETCH, n))
        size = rows.stop - start
        outcomes = [Outcome(state[rows], decisive[rows], verdict[rows, 0], missing[rows])]
        for k in range(1, len(rules)):
            scratch = np.empty((size, width), dtype=np.int8, order="F")
            idle = np.empty((size, width), dtype=np.int16, order="F")
            lost = np.empty(size, dtype=np.bool_)
            outcomes.append(Outcome(scratch, idle, verdict[rows, k], lost))
        judge_stretch(
            plan,
            rows,
            [DECISION_RULES[each] for each in rules],
            outcomes,
            uncertainty[rows],
            None if bound_value is None else bound_value[rows],
            None if fresh is None else fresh[rows],
            held[rows],
        )

    with ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
        for _ in pool.map(one, range(0, n, STRETCH)):
            pass
    return Judged(
        readings=readings,
        name=name,
        rule=rule,
        sets=tuple(sets),
        set_of_sample=set_of_sample,
        quantities=plan.quantities,
        state=state,
        bounds=plan.bounds,
        decisive=decisive,
        bound_value=bound_value,
        uncertainty=uncertainty,
        verdict=verdict[:, 0],
        missing_essential=missing,
        undecided_share={
            each: float(np.mean(verdict[:, k] == NOT_DECIDED)) if n else 0.0
            for k, each in enumerate(rules)
        },
        withheld=_withheld(plan, set_of_sample),
    )


def _withheld(plan: Plan, set_of_sample: npt.NDArray[np.int16]) -> npt.NDArray[np.int16] | None:
    """Return why whole samples are not to be relied on, as positions among the bounds."""
    if plan.doubts is None or not (plan.doubts.of_sample >= 0).any():
        return None
    answer = np.full(set_of_sample.size, -1, dtype=np.int16)
    at = np.flatnonzero((plan.doubts.of_sample >= 0) & (set_of_sample >= 0))
    answer[at] = plan.doubt_bounds[plan.doubts.of_sample[at], set_of_sample[at]]
    return answer
