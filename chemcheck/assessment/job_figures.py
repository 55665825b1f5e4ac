"""What a job's record leads to: residue of each rinse, and the percent of the refill."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from chemcheck.assessment.job_record import JobRecord, Reading
from chemcheck.assessment.rinse import RinseAnswer, rinse
from chemcheck.errors import QuantityError
from chemcheck.limit_library.methods import methods, precision_of
from chemcheck.remedies.estimate import Column, Estimate, exact, hull
from chemcheck.remedies.rinse import share_kept
from chemcheck.remedies.rinse_proof import RinseProof
from chemcheck.remedies.rinse_text import RinseReadings

_NOTHING = exact(np.nan)
_REFRACTOMETER, _COVERAGE = "refractometer", 1.96


@dataclass(frozen=True, slots=True)
class JobFigures:
    """What was reckoned from a job's record.

    Parameters
    ----------
    residue : tuple of Estimate
        Share of the old fill left after each rinse, by volumes [1]; NaN where a volume is
        missing.
    read : tuple of Estimate
        The same by the readings, with what the rinse water reads taken off [1].
    proof : RinseProof or None
        What the readings of all rinses show together.
    uneven : bool
        Whether they do not fall as dilution in the volumes recorded does.
    percent : Estimate
        Of the finished fill by what was filled [%]; NaN where a volume is missing.
    remarks : tuple of str
        What was taken for granted, and what does not agree.
    """

    residue: tuple[Estimate, ...]
    read: tuple[Estimate, ...]
    proof: RinseProof | None
    uneven: bool
    percent: Estimate
    remarks: tuple[str, ...]


def job_figures(job: JobRecord) -> JobFigures:
    """Reckon what a job's record leads to.

    Parameters
    ----------
    job : JobRecord
        As it was kept.

    Returns
    -------
    JobFigures
        Where the record says enough.

    Notes
    -----
    A rinse leaves 1 - m D/V, the next that share of it, and so on; a refill holds
    (x s + (V - x - w) r)/V percent, r what the rinse water left inside still held: algebra
    of mixing, volumes taken as additive.

    Examples
    --------
    >>> from chemcheck.assessment.job_record import RinseDone
    >>> job = JobRecord("job.yaml", system=exact(12.0), rinses=(RinseDone(drained=exact(8.0)),) * 2)
    >>> [round(float(left.value), 3) for left in job_figures(job).residue]
    [0.333, 0.111]
    """
    residue = tuple(_by_volumes(job))
    read = tuple(_by_readings(job))
    remarks = list(_remarks(job))
    proven = None
    try:
        proven = _proof(job)
    except QuantityError as problem:
        remarks.append(f"The readings of the rinses prove nothing: {problem}.")
    if proven is not None:
        remarks += proven.questions
    percent = _percent(job, residue, read)
    remarks += _disagreement(job, percent)
    return JobFigures(
        residue=residue,
        read=read,
        proof=None if proven is None else proven.proof,
        uneven=proven is not None and proven.uneven,
        percent=percent,
        remarks=tuple(remarks),
    )


def _mixes(job: JobRecord) -> Estimate:
    return exact(1.0) if job.mixing is None else hull(lambda share: share / 100.0, job.mixing)


def _by_volumes(job: JobRecord) -> Iterator[Estimate]:
    left = exact(1.0)
    for one in job.rinses:
        drained = one.drained if one.drained is not None else job.drains
        if job.system is None or drained is None:
            left = _NOTHING
        else:
            kept = hull(_kept, job.system, drained, _mixes(job))
            left = hull(np.multiply, left, kept)
        yield left


def _kept(system: Column, drained: Column, mixes: Column) -> Column:
    return np.clip(share_kept(system, drained, mixes), 0.0, 1.0)


def _by_readings(job: JobRecord) -> Iterator[Estimate]:
    for one in job.rinses:
        start, now = job.rinse_start, one.reading
        if start is None or now is None or start[0] != now[0]:
            yield _NOTHING
        else:
            yield hull(_left, now[1], start[1], _background(job, start[0]))


def _left(now: Column, start: Column, background: Column) -> Column:
    over = start - background
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(over > 0, np.maximum(now - background, 0.0) / over, np.nan)


def _background(job: JobRecord, analyte: str) -> Estimate:
    water = job.rinse_water
    return water[1] if water is not None and water[0] == analyte else exact(0.0)


def _proof(job: JobRecord) -> RinseAnswer | None:
    """Fit all readings together, where there is one before the first rinse and after each."""
    drains = job.drains or next((one.drained for one in job.rinses if one.drained), None)
    readings = [job.rinse_start, *(one.reading for one in job.rinses)]
    known: list[Reading] = [one for one in readings if one is not None]
    if job.system is None or drains is None or len(known) < 2 or len(known) < len(readings):
        return None
    if len({analyte for analyte, _ in known}) > 1:
        return None
    analyte = known[0][0]
    told = RinseReadings(analyte, tuple(v for _, v in known), _background(job, analyte))
    return rinse(job.system, drains, efficiency=job.mixing, readings=told)


def _percent(job: JobRecord, residue: tuple[Estimate, ...], read: tuple[Estimate, ...]) -> Estimate:
    """Return the percent of the finished fill, the rinse water that stayed inside counted."""
    filled = job.refill
    if job.system is None or filled.concentrate is None or filled.water is None:
        return _NOTHING
    strength = filled.strength or exact(100.0)
    inside = exact(0.0)
    if job.rinses and job.rinse_start is not None and job.rinse_start[0] == "glycol":
        last = next((one for one in (read[-1], residue[-1]) if np.isfinite(one.value)), exact(0.0))
        inside = hull(np.multiply, job.rinse_start[1], last)
    return hull(_mixed, job.system, filled.concentrate, filled.water, strength, inside)


def _mixed(
    system: Column, concentrate: Column, water: Column, strength: Column, inside: Column
) -> Column:
    held = np.maximum(system - concentrate - water, 0.0)
    return np.asarray((concentrate * strength + held * inside) / system)


def _remarks(job: JobRecord) -> Iterator[str]:
    if job.rinses and job.mixing is None:
        yield "Each rinse is taken to mix perfectly with what stays inside; readings show it."
    if job.rinses and job.drains is not None and any(one.drained is None for one in job.rinses):
        yield "Where a rinse has no litres out, what usually drains is taken."
    if job.refill.concentrate is not None and job.refill.strength is None:
        yield "The concentrate counts as 100 %, as the percent on labels does."
    if job.system is not None and job.refill.concentrate is not None and job.refill.water:
        filled = float(job.refill.concentrate.lower + job.refill.water.lower)
        if filled > float(job.system.upper):
            yield "More was filled than the system holds: one of the litres is not right."


def _disagreement(job: JobRecord, percent: Estimate) -> Iterator[str]:
    """Say where the percent measured is not what was filled."""
    measured = job.refill.measured
    if measured is None or not np.isfinite(percent.value):
        return
    precision = precision_of(methods()[_REFRACTOMETER], "glycol")
    value = float(measured.value)
    reach = _COVERAGE * float(np.hypot(precision.absolute, precision.relative * value))
    apart = max(float(measured.lower - percent.upper), float(percent.lower - measured.upper))
    if apart > reach:
        yield (
            "The percent measured is not what was filled: not mixed yet, a litre count that is "
            "not right, or more left inside than was drained off."
        )
