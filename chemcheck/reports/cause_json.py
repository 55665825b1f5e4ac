"""Causes of samples as JSON."""

import json
from functools import lru_cache
from typing import Any

import numpy as np
import pyarrow as pa

from chemcheck.causes import CauseFindings, Causes, Hypothesis, TechnologyCheck


def causes_json(causes: Causes, rows: slice) -> pa.LargeStringArray:
    """Write the causes of each sample of a stretch as JSON, and what they leave open.

    Parameters
    ----------
    causes : Causes
        Of all samples.
    rows : slice
        The stretch.

    Returns
    -------
    LargeStringArray
        One text a sample: the causes ranked, an empty list where no cause is thought of, and
        the fields after them.
    """
    told = np.arange(rows.start, rows.stop)
    return pa.array([_fields(each) for each in causes.findings(told)], pa.large_string())


def no_causes() -> str:
    """Write what stands in the place of causes where no sample is of coolant.

    Examples
    --------
    >>> no_causes()
    '[], "alike": [], "next_test": null, "technology_check": null'
    """
    return '[], "alike": [], "next_test": null, "technology_check": null'


def _fields(found: CauseFindings) -> str:
    causes = [hypothesis_fields(one) for one in found.hypotheses]
    return (
        f'{_json(causes) if causes else "[]"}, "alike": {_json(found.alike)},'
        f' "next_test": {_json(found.next_test)},'
        f' "technology_check": {_technology(found.technology)}'
    )


def _json(value: Any) -> str:
    # Weights are finite: to look through everything for what is not would take half the time.
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


@lru_cache(maxsize=1024)
def _technology(found: TechnologyCheck | None) -> str:
    if found is None:
        return "null"
    return _json({name: getattr(found, name) for name in TechnologyCheck.__slots__})


def hypothesis_fields(one: Hypothesis) -> dict[str, Any]:
    """Return what is written of a cause, by name."""
    return {
        "cause": one.cause,
        "title": one.title,
        "weight_of_evidence": one.weight_of_evidence,
        "least": one.least,
        "most": one.most,
        "raised": one.raised,
        "evidence_for": one.evidence_for,
        "evidence_against": one.evidence_against,
        "missing": one.missing,
        "confirm_by": one.confirm_by,
        "remedy": one.remedy,
        "cautions": one.cautions,
        "looks_like": one.looks_like,
        "source": one.source,
        "evidence": one.evidence,
    }
