"""Causes of samples as JSON."""

from typing import Any

import numpy as np
import pyarrow as pa

from chemcheck.causes import Causes, Hypothesis
from chemcheck.reports.json_text import json_value


def causes_json(causes: Causes, rows: slice) -> pa.LargeStringArray:
    """Write the causes of each sample of a stretch as a JSON list.

    Parameters
    ----------
    causes : Causes
        Of all samples.
    rows : slice
        The stretch.

    Returns
    -------
    LargeStringArray
        One text a sample, the causes ranked; an empty list where no cause is thought of.
    """
    told = np.arange(rows.start, rows.stop)
    texts = [
        json_value([hypothesis_fields(one) for one in each]) if each else "[]"
        for each in causes.of_rows(told)
    ]
    return pa.array(texts, pa.large_string())


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
