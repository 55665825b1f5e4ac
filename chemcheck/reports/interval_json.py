"""Change intervals as a JSON document."""

from typing import Any

from chemcheck._version import __version__
from chemcheck.assessment.interval import GroupInterval, Intervals
from chemcheck.limit_library import cautions
from chemcheck.planning import CostOfSampling, GroupDifference
from chemcheck.reports.offset_words import offset_document

SCHEMA = "chemcheck/interval/1"


def interval_document(answer: Intervals) -> dict[str, Any]:
    """Return change intervals as a document that JSON can hold.

    Parameters
    ----------
    answer : Intervals
        What to say.

    Returns
    -------
    dict
        ``schema``, ``version``, ``limit_sets``, ``axis``, ``axis_unit``, ``grouping``,
        ``groups``, ``group_tests``, ``method_offsets``, ``left_out``, ``assumptions``,
        ``cautions``. Infinite
        and unknown numbers are null.
    """
    return {
        "schema": SCHEMA,
        "version": __version__,
        "limit_sets": [{"id": s.id, "version": s.version, "sha256": s.sha256} for s in answer.sets],
        "axis": answer.axis,
        "axis_unit": answer.axis_unit,
        "risk": answer.settings.risk,
        "grouping": answer.grouping,
        "grouping_because": answer.sentence,
        "groups": [_group(group) for group in answer.groups],
        "group_tests": [_test(test) for test in answer.tests],
        "method_offsets": offset_document(answer.readings, answer.offsets),
        "left_out": answer.remarks.to_dict("records"),
        "assumptions": list(answer.assumptions),
        "cautions": list(cautions(answer.cautions)),
    }


def _group(group: GroupInterval) -> dict[str, Any]:
    best, risk = group.by_cost, group.by_risk
    flat = None if best is None else best.flat_range
    return {
        "group": group.group,
        "units": group.units,
        "fills": group.fills,
        "failures": group.failures,
        "censored": group.censored,
        "model": _model(group),
        "interval_by_risk": None if risk is None else risk.interval,
        "interval_by_risk_limits": None
        if risk is None
        else {"lower": risk.lower, "upper": risk.upper},
        "interval_by_risk_reason": None if risk is None else risk.reason,
        "lead_time": None if risk is None else risk.lead_time,
        "interval_by_cost": None if best is None else best.interval,
        "cost_rate": None if best is None else best.cost_rate,
        "flat_range": None if flat is None else list(flat),
        "saving": None if best is None else best.saving,
        "no_benefit_reason": group.no_benefit_reason,
        "failure_rate_upper": None if group.few is None else group.few.rate_upper,
        "sampling": None if group.sampling is None else _sampling(group.sampling),
    }


def _model(group: GroupInterval) -> dict[str, Any] | None:
    if group.choice is None:
        return None
    life = group.choice.lifetime
    return {
        "family": life.family,
        "scale": life.scale,
        "shape": life.shape,
        "because": group.choice.reason,
    }


def _sampling(sampling: CostOfSampling) -> dict[str, Any]:
    return {
        "every": list(sampling.every),
        "cost_rate": list(sampling.cost_rate),
        "saving_per_1000": list(sampling.saving_per_1000),
        "best": sampling.best,
        "reason": sampling.reason,
    }


def _test(test: GroupDifference) -> dict[str, Any]:
    return {
        "grouping": test.grouping,
        "p_value": test.p_value,
        "adjusted_p_value": test.adjusted_p_value,
        "not_tested": {str(label): why for label, why in test.set_aside.items()},
        "reason": test.reason,
    }
