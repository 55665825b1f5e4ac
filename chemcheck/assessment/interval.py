"""Change intervals of a fleet, by risk and by cost, for each group that differs."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import gamma

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.fleet_lifetimes import TECHNOLOGY, FleetLifetimes, fleet_lifetimes
from chemcheck.assessment.interval_settings import IntervalSettings
from chemcheck.assessment.levelled_fleet import ONE_LEVEL, levelled_readings
from chemcheck.assessment.method_offsets import MethodOffsets
from chemcheck.assessment.set_choices import default_choice, named_choices
from chemcheck.assessment.trend_rows import TrendRows, trend_rows
from chemcheck.errors import NotEnoughDataError, not_one_of
from chemcheck.fills import AXES
from chemcheck.history.record import Events
from chemcheck.judging import judge
from chemcheck.limit_library.records import LimitSet
from chemcheck.planning import (
    PROBLEMS,
    BestInterval,
    CostOfSampling,
    Costs,
    FamilyChoice,
    FewFailures,
    GroupDifference,
    Lifetime,
    RiskInterval,
    best_interval_before_damage,
    bound_from_few_failures,
    choose_family,
    compare_groupings,
    cost_of_sampling,
    interval_by_risk,
)
from chemcheck.planning.fit_lifetime import FEWEST_FAILURES
from chemcheck.readings.record import Readings

ALL = "all units"
REST = "without a label"
NO_COSTS = "no --planned-cost and --failure-cost were given"
NOTHING_SURVIVED = (
    "No interval can be told: every fill was seen at one place of its use only, so that none is "
    "known to have lasted; sample the units again."
)
TOO_FEW = "too few crossings for a lifetime: no cost can be told"
# Sampling intervals looked at, as shares of the mean delay from crossing to damage.
SHARES = (0.125, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True, slots=True)
class GroupInterval:
    """The change interval of one group.

    Parameters
    ----------
    group : str
        Its label.
    units, fills, failures, censored : int
        How many; a failure is a fill that passed an action bound.
    choice : FamilyChoice or None
        Lifetimes fitted, best first; None with too few failures.
    few : FewFailures or None
        What too few failures still say.
    by_risk : RiskInterval or None
        None where not even a bound can be given.
    by_cost : BestInterval or None
        None without costs or without a lifetime.
    sampling : CostOfSampling or None
        What sampling saves; None without all costs and the delay.
    no_benefit_reason : str or None
        Why there is no interval by cost.
    lower, upper : ndarray, shape (fills,)
        Ends of the lifetimes; infinite where a fill passed no bound.
    """

    group: str
    units: int
    fills: int
    failures: int
    censored: int
    choice: FamilyChoice | None
    few: FewFailures | None
    by_risk: RiskInterval | None
    by_cost: BestInterval | None
    sampling: CostOfSampling | None
    no_benefit_reason: str | None
    lower: npt.NDArray[np.float64]
    upper: npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Intervals:
    """Change intervals of a fleet.

    Parameters
    ----------
    axis, axis_unit : str
        What intervals are counted in.
    settings : IntervalSettings
        Risk, costs and the other choices.
    grouping : str
        By what the fills are grouped.
    groups : tuple of GroupInterval
        In the order of their labels.
    tests : tuple of GroupDifference
        Whether groups differ, one a grouping, adjusted for their number.
    sentence : str
        What became of the test of the chosen grouping.
    remarks : DataFrame
        ``what``, ``reason``: what was left out, a line each.
    readings : Readings
        What it rests on.
    offsets : tuple of MethodOffsets
        What was taken off readings of some methods and laboratories before lifetimes were told.
    sets : tuple of LimitSet
        Where the bounds come from.
    cautions, assumptions : tuple of str
        Keys of the cautions to show; what was taken for granted.
    """

    axis: str
    axis_unit: str
    settings: IntervalSettings
    grouping: str
    groups: tuple[GroupInterval, ...]
    tests: tuple[GroupDifference, ...]
    sentence: str
    remarks: pd.DataFrame
    readings: Readings
    offsets: tuple[MethodOffsets, ...]
    sets: tuple[LimitSet, ...]
    cautions: tuple[str, ...]
    assumptions: tuple[str, ...]


def change_intervals(
    readings: Readings,
    events: Events | None = None,
    *,
    grouping: str = TECHNOLOGY,
    limits: Sequence[str] | None = None,
    rule: str = "simple",
    axis: str | None = None,
    settings: IntervalSettings | None = None,
) -> Intervals:
    """Find how long each group of a fleet may run between changes.

    A fill's lifetime ends where a sample first passes any action bound of the headline set:
    somewhere between the last sample inside and the first outside. Groups get intervals of
    their own only where a test, adjusted for all groupings tested, says that they differ.

    Parameters
    ----------
    readings : Readings
        The samples of a fleet over time.
    events : Events or None
        Logged changes, top-ups and meter resets.
    grouping : str
        ``technology`` or the title of a column, such as ``duty`` or ``water source``.
    limits : sequence of str or None
        Limit sets, by id or file; the default set of each technology otherwise.
    rule : {"simple", "overlap", "guarded"}
        When a sample has passed a bound; an undecided one only widens the interval.
    axis : {"hours", "distance", "days"} or None
        What to count in; hours if any sample has them, else distance, else days.
    settings : IntervalSettings or None
        Those of the library otherwise, without costs.

    Returns
    -------
    Intervals
        One for each group.

    Raises
    ------
    NotEnoughDataError
        If no fill gives a lifetime.
    ValueError
        If the axis, the rule or the grouping is none.
    """
    settings = settings or IntervalSettings.from_library()
    if axis is not None and axis not in AXES:
        raise ValueError(not_one_of(axis, AXES, "axis"))
    rows = trend_rows(readings, events, axis, None)
    if limits:
        choice = named_choices(readings.samples, limits)[0]
        assumed: tuple[str, ...] = ()
    else:
        choice, assumed = default_choice(readings.samples)
    levelled, offsets = levelled_readings(readings, rows, choice.sets)
    judged = judge(
        levelled,
        choice.sets,
        choice.set_of_sample,
        rule=rule,
        name=choice.name,
        fresh=rows.fresh,
    )
    lives = fleet_lifetimes(readings.samples, rows, judged, grouping)
    tests = _tests(lives)
    label, sentence = _apart(lives, grouping, tests, settings.significance)
    groups = tuple(
        _group(name, lives, label == name, rows, settings) for name in sorted(set(label))
    )
    if not any(np.any(np.where(np.isinf(g.upper), g.lower, g.upper) > 0.0) for g in groups):
        sentence = f"{NOTHING_SURVIVED} {sentence}"
    return Intervals(
        axis=rows.usage.axis,
        axis_unit=AXES[rows.usage.axis],
        settings=settings,
        grouping=grouping,
        groups=groups,
        tests=tests,
        sentence=sentence,
        remarks=pd.DataFrame([*rows.set_aside, *_left_out(lives)], columns=["what", "reason"]),
        readings=readings,
        offsets=offsets,
        sets=choice.sets,
        cautions=tuple(dict.fromkeys(key for each in choice.sets for key in each.cautions)),
        assumptions=(
            *assumed,
            *_assumptions(rows, rule, settings, AXES[rows.usage.axis]),
            *((ONE_LEVEL,) if offsets else ()),
        ),
    )


def _tests(lives: FleetLifetimes) -> tuple[GroupDifference, ...]:
    """Test every grouping on the fills that have a label in it."""
    lower, upper = lives.seen.lower, lives.seen.upper
    known = {name: _filled(labels) for name, labels in lives.labels.items()}
    try:
        family = choose_family(lower, upper).lifetime.family
    except NotEnoughDataError:
        family = "weibull"
    return compare_groupings(lower, upper, known, family=family)


def _filled(labels: npt.NDArray[np.object_]) -> npt.NDArray[np.object_]:
    return np.where(pd.isna(labels), REST, labels)


def _apart(
    lives: FleetLifetimes, grouping: str, tests: Sequence[GroupDifference], significance: float
) -> tuple[npt.NDArray[np.object_], str]:
    """Return the group of each fill, and say why: apart only where groups differ."""
    labels = _filled(lives.labels[grouping])
    test = next(test for test in tests if test.grouping == grouping)
    if len(set(labels)) == 1:
        return labels, f"All fills are of one {grouping}."
    if test.reason is not None:
        return labels, (
            f"Whether {grouping} makes a difference cannot be tested ({test.reason}): each group "
            "stands by itself, with what its own fills say."
        )
    tested_ways = f"{len(tests)} grouping{'s' if len(tests) > 1 else ''}"
    chance = f"p = {test.adjusted_p_value:.2g}, adjusted for {tested_ways}"
    if test.adjusted_p_value < significance:
        return labels, f"Fills differ by {grouping} ({chance}): each group has its own interval."
    fitted = sorted(str(label) for label in test.lifetimes)
    tested, merged = np.isin(labels.astype(np.str_), fitted), ", ".join(fitted)
    return np.where(tested, f"{ALL} of {merged}", labels), (
        f"No difference by {grouping} is shown ({chance}): {merged} share one interval; groups "
        "with too few crossings to be tested stand by themselves."
    )


def _group(
    name: str,
    lives: FleetLifetimes,
    mine: npt.NDArray[np.bool_],
    rows: TrendRows,
    settings: IntervalSettings,
) -> GroupInterval:
    """Fit the lifetimes of one group and find its intervals."""
    lower, upper = lives.seen.lower[mine], lives.seen.upper[mine]
    failures = int(np.isfinite(upper).sum())
    choice: FamilyChoice | None = None
    few: FewFailures | None = None
    by_risk: RiskInterval | None = None
    reason = None
    try:
        choice = choose_family(lower, upper)
    except NotEnoughDataError as problem:
        reason = TOO_FEW if failures < FEWEST_FAILURES else str(problem)
        try:
            few = bound_from_few_failures(lower, upper)
        except NotEnoughDataError as nothing:
            reason = str(nothing)
    known = choice.lifetime if choice is not None else few
    if known is not None:
        rate = rows.usage.rate[lives.unit[mine]]
        rate = rate[np.isfinite(rate)]
        lead = settings.lead_time * float(np.median(rate)) if rate.size else 0.0
        by_risk = interval_by_risk(known, settings.risk, lead)
    by_cost, sampling = None, None
    if choice is not None:
        by_cost = _by_cost(choice.lifetime, settings)
        sampling = _sampling(
            choice.lifetime, settings, 0.0 if by_risk is None else by_risk.lead_time
        )
        reason = NO_COSTS if by_cost is None else by_cost.reason
    return GroupInterval(
        group=str(name),
        units=int(np.unique(lives.unit[mine]).size),
        fills=int(mine.sum()),
        failures=failures,
        censored=int(mine.sum()) - failures,
        choice=choice,
        few=few,
        by_risk=by_risk,
        by_cost=by_cost,
        sampling=sampling,
        no_benefit_reason=reason,
        lower=lower,
        upper=upper,
    )


def delay_lifetime(settings: IntervalSettings) -> Lifetime | None:
    """Return the time from crossing to damage that the user stated by its mean.

    Examples
    --------
    >>> round(delay_lifetime(IntervalSettings.from_library(delay=1000.0)).mean)
    1000
    """
    if settings.delay is None:
        return None
    scale = settings.delay / gamma(1.0 + 1.0 / settings.delay_shape)
    return Lifetime.stated("weibull", scale, settings.delay_shape)


def _by_cost(lifetime: Lifetime, settings: IntervalSettings) -> BestInterval | None:
    if settings.planned_cost is None or settings.failure_cost is None:
        return None
    return best_interval_before_damage(
        lifetime, delay_lifetime(settings), settings.planned_cost, settings.failure_cost
    )


def _sampling(
    lifetime: Lifetime, settings: IntervalSettings, lead_time: float
) -> CostOfSampling | None:
    """Say what sampling saves, where every cost is known."""
    costs = (
        settings.planned_cost,
        settings.correction_cost,
        settings.failure_cost,
        settings.sample_cost,
    )
    stated = [cost for cost in costs if cost is not None]
    if len(stated) < len(costs) or settings.delay is None:
        return None
    every = np.array(SHARES) * settings.delay
    delay = delay_lifetime(settings)
    return cost_of_sampling(
        lifetime, delay, every, Costs(*stated), settings.detection_chance, lead_time
    )


def _left_out(lives: FleetLifetimes) -> Iterator[tuple[str, str]]:
    """Say which fills and samples give no lifetime."""
    for code, why in enumerate(PROBLEMS):
        count = int((lives.seen.problem == code).sum())
        if count:
            yield f"{count} fill{'s' if count > 1 else ''}", why
    if lives.seen.samples_not_used:
        yield (
            f"{lives.seen.samples_not_used:,} samples",
            "undecided by this rule, or not judged: they only widen the lifetimes",
        )


def _assumptions(
    rows: TrendRows, rule: str, settings: IntervalSettings, unit: str
) -> Iterator[str]:
    """Say what an interval takes for granted."""
    yield (
        f"A fill's life ends at its first sample beyond any action bound (decision rule: {rule}); "
        "top-ups and doses belong to its use."
    )
    unlogged = int((~rows.usage.origin_logged[rows.last_of_present_fill]).sum())
    if unlogged:
        yield (
            f"{unlogged} of {len(rows.last_of_present_fill)} units have no logged change: their "
            "age counts from the first sample, so that lifetimes come out too short."
        )
    if settings.delay is not None:
        yield (
            f"From crossing to damage: Weibull, mean {settings.delay:g} {unit} as stated, shape "
            f"{settings.delay_shape:g} (memory)."
        )
