"""What was reckoned for an evidence page as a JSON document."""

from typing import Any

import numpy as np

from chemcheck._version import __version__
from chemcheck.assessment.job_figures import JobFigures
from chemcheck.assessment.job_record import JobRecord
from chemcheck.remedies.estimate import Estimate
from chemcheck.reports.evidence_document import EvidencePage

EVIDENCE_SCHEMA = "chemcheck/evidence/1"


def evidence_document(
    unit_id: str, job: JobRecord, figures: JobFigures, page: EvidencePage
) -> dict[str, Any]:
    """Return what was reckoned from a job's record.

    Parameters
    ----------
    unit_id : str
        The unit.
    job : JobRecord
        The record.
    figures : JobFigures
        Reckoned from it.
    page : EvidencePage
        What is said of it.

    Returns
    -------
    dict
        ``rinses`` with the share of the old fill left by volumes and by reading [1],
        ``proven_residue`` [1], ``refill_percent`` reckoned and ``measured_percent`` [%],
        ``not_known``. What cannot be told is null.
    """
    proof = figures.proof
    return {
        "schema": EVIDENCE_SCHEMA,
        "version": __version__,
        "unit_id": unit_id,
        "before": job.before or None,
        "after": job.after or None,
        "water": job.water or None,
        "rinses": [
            {"left_by_volumes": _ends(by_volumes), "left_by_reading": _ends(by_reading)}
            for by_volumes, by_reading in zip(figures.residue, figures.read, strict=True)
        ],
        "proven_residue": None
        if proof is None
        else {"lower": float(proof.residue.lower[0]), "upper": float(proof.residue.upper[0])},
        "tail_is_flat": None if proof is None else bool(proof.flat[0]),
        "refill_percent": _ends(figures.percent),
        "measured_percent": None if job.refill.measured is None else _ends(job.refill.measured),
        "not_known": list(page.not_known),
        "assumptions": list(figures.remarks),
        "cautions": list(page.cautions),
    }


def _ends(value: Estimate) -> dict[str, float] | None:
    if not np.isfinite(value.value):
        return None
    return {"value": float(value.value), "lower": float(value.lower), "upper": float(value.upper)}
