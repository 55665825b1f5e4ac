"""What a check found as a whole: counts, sets in use, shares, assumptions, cautions."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from chemcheck._version import __version__
from chemcheck.assessment.dispositions import DISPOSITIONS
from chemcheck.assessment.record import Assessment
from chemcheck.judging.record import STATE_NAMES, VERDICT_NAMES, Judged
from chemcheck.limit_library import cautions
from chemcheck.reports.json_text import json_value

SUMMARY_SCHEMA = "chemcheck/check-summary/1"


def document_head(assessment: Assessment, schema: str) -> dict[str, Any]:
    """Return what every document of a check begins with.

    Parameters
    ----------
    assessment : Assessment
        What was found.
    schema : str
        The document's schema.
    """
    return {
        "schema": schema,
        "version": __version__,
        "limit_sets": [
            {
                "id": each.id,
                "version": each.version,
                "title": each.title,
                "sha256": each.sha256,
                "note": each.note,
            }
            for each in assessment.limit_sets
        ],
        "headline": assessment.headline.name,
        "rule": assessment.headline.rule,
        "shared_causes": list(assessment.shared_causes),
        "assumptions": list(assessment.assumptions),
        "cautions": [
            {"key": key, "text": text} for key in assessment.cautions for text in cautions([key])
        ],
        "files": [
            {
                "name": file.name,
                "layout": file.layout,
                "found": file.found,
                "rows_read": file.rows_read,
                "rejected_rows": file.rejected_rows,
            }
            for file in assessment.readings.files
        ],
        "counts": dict(assessment.counts),
    }


def check_summary(assessment: Assessment) -> dict[str, Any]:
    """Return the summary of a check, ready for JSON.

    Parameters
    ----------
    assessment : Assessment
        What was found.

    Returns
    -------
    dict
        The head of the document, ``verdicts`` by choice of sets, ``dispositions``,
        ``undecided_share`` of samples under each decision rule, and ``results``: by
        quantity, how many are in each state.
    """
    disposition = np.bincount(assessment.disposition, minlength=len(DISPOSITIONS))
    return document_head(assessment, SUMMARY_SCHEMA) | {
        "verdicts": {judged.name: _verdict_counts(judged) for judged in assessment.judged},
        "dispositions": dict(zip(DISPOSITIONS, disposition.tolist(), strict=True)),
        "undecided_share": dict(assessment.headline.undecided_share),
        "results": _result_counts(assessment.headline),
        "questions": len(assessment.readings.questions),
    }


def write_summary(assessment: Assessment, folder: Path) -> None:
    """Write summary.json."""
    text = json_value(check_summary(assessment))
    (folder / "summary.json").write_text(text + "\n", encoding="utf-8")


def _verdict_counts(judged: Judged) -> Mapping[str, int]:
    """Count the verdicts of the samples that a choice of sets judges."""
    verdict = judged.verdict[judged.set_of_sample >= 0]
    counts = np.bincount(verdict, minlength=len(VERDICT_NAMES)).tolist()
    not_covered = int(np.count_nonzero(judged.set_of_sample < 0))
    return dict(zip(VERDICT_NAMES, counts, strict=True)) | {"no set applies": not_covered}


def _result_counts(judged: Judged) -> list[Mapping[str, Any]]:
    """Count the states of each quantity."""
    answer: list[Mapping[str, Any]] = []
    for j, quantity in enumerate(judged.quantities):
        # -1, no result, is counted first.
        counts = np.bincount(judged.state[:, j] + 1, minlength=len(STATE_NAMES) + 1).tolist()
        states = dict(zip(STATE_NAMES, counts[1:], strict=True))
        answer.append({"analyte": quantity.key, "basis": quantity.basis, "states": states})
    return answer
