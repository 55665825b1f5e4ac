"""The evidence page of a unit: what a warranty file asks for, and what is not known."""

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.because import missing_essentials
from chemcheck.assessment.job_figures import JobFigures
from chemcheck.assessment.job_record import JobRecord
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.unit_samples import unit_samples
from chemcheck.errors import UnknownSampleError, not_one_of, shorten
from chemcheck.judging import Judged
from chemcheck.limit_library import cautions
from chemcheck.reports.check_document import in_use, set_words, sets_of
from chemcheck.reports.document import Finding, ResultLine, Section
from chemcheck.reports.event_words import event_lines
from chemcheck.reports.evidence_document import BeforeAfter, EvidencePage
from chemcheck.reports.evidence_rinses import (
    refill_items,
    rinse_lines,
    rinse_words,
    volume_items,
)
from chemcheck.reports.sample_findings import finding
from chemcheck.reports.unit_charts import latest_chart
from chemcheck.reports.unit_document import Item

# What a warranty file asks for, common practice, no source.
IDENTITY = ("machine", "engine", "odometer", "hour meter", "coolant filled, and when", "owner")
TESTS = (
    "level, colour, smell, oil film",
    "cap: rating, opened at, vacuum valve",
    "pressure test: pressure, minutes, result",
    "combustion leak: method, result",
    "voltage, coolant against battery negative",
)
PARTS = ("pump", "gasket and sealant", "thermostat", "other")
CAUTIONS = (
    "hot_system",
    "glycol_is_poison",
    "disposal",
    "flushing_agent",
    "pressure_test",
    "maker_and_local_rules",
)


def evidence_page(
    assessment: Assessment,
    unit_id: str,
    job: JobRecord,
    figures: JobFigures,
    log: pd.DataFrame | None,
) -> EvidencePage:
    """Return the evidence page of a unit.

    Parameters
    ----------
    assessment : Assessment
        All samples, the unit's among them.
    unit_id : str
        The unit.
    job : JobRecord
        What was recorded by hand.
    figures : JobFigures
        Reckoned from it.
    log : DataFrame or None
        What was logged of the unit.

    Raises
    ------
    UnknownSampleError
        If the record names a sample that the files do not hold, or that is of another unit.
    """
    judged = assessment.headline
    units = unit_samples(assessment.readings.samples)
    rows = units.of(units.find(unit_id))
    after = _row_of(assessment, rows, job.after, job, "after") if job.after else int(rows[-1])
    before = _row_of(assessment, rows, job.before, job, "before") if job.before else None
    told = [_finding(assessment, row) for row in (before, after)]
    water_row = _found(assessment, job.water) if job.water else None
    water = None if water_row is None else _finding(assessment, water_row)
    identity = _labelled(job.identity.items(), IDENTITY)
    tests, parts = _labelled(job.tests.items(), TESTS), _labelled(job.parts.items(), PARTS)
    volumes, refill = volume_items(job), refill_items(job, figures)
    signature = (Item("Done by", job.done_by), Item("Date", job.date))
    seen = [row for row in (before, after, water_row) if row is not None]
    sets = {s.id: s for row in seen for s in sets_of(assessment, row)}
    results = tuple(_results(judged, before, after, told))
    return EvidencePage(
        title=f"Evidence page: unit {unit_id}",
        in_use=in_use(assessment, after),
        identity=identity,
        complaint=job.complaint,
        history=(*job.history, *(event_lines(log) if log is not None else ())),
        before=_verdict(told[0]),
        after=_verdict(told[1]),
        results=results,
        chart=latest_chart(
            f"Unit {unit_id} after the job: readings against their bounds",
            () if told[1] is None else told[1].lines,
        ),
        tests=tests,
        volumes=volumes,
        rinses=rinse_lines(job, figures),
        rinse_words=tuple(rinse_words(figures)),
        water=water,
        water_words=job.water,
        refill=refill,
        teardown=job.teardown,
        parts=parts,
        not_known=tuple(
            _not_known(job, before, (*identity, *tests, *volumes, *refill, *parts), results)
        ),
        signature=signature,
        sources=_sources(told, water),
        cautions=cautions((*CAUTIONS, *assessment.cautions)),
        sections=(
            Section("Limit sets and versions", tuple(map(set_words, sets.values()))),
            Section("Assumptions", assessment.assumptions),
        ),
    )


def _row_of(
    assessment: Assessment, rows: npt.NDArray[np.intp], name: str, job: JobRecord, key: str
) -> int:
    """Return the unit's last sample of a number; another unit's is no evidence."""
    ids = assessment.readings.samples["sample_id"]
    own = ids.iloc[rows]
    places = (own == name).fillna(False).to_numpy().nonzero()[0]
    if places.size:
        return int(rows[places[-1]])
    if _found(assessment, name) is not None:
        problem = f"{job.file}: {key}: sample {shorten(name)!r} is of another unit"
        raise UnknownSampleError(problem)
    known = tuple(dict.fromkeys(own.dropna().astype(str)))
    problem = f"{job.file}: {key}: {not_one_of(name, known, 'sample of this unit')}"
    raise UnknownSampleError(problem)


def _found(assessment: Assessment, name: str) -> int | None:
    """Return the last sample of a number, None where there is none."""
    ids = assessment.readings.samples["sample_id"]
    places = (ids == name).fillna(False).to_numpy().nonzero()[0]
    return int(places[-1]) if places.size else None


def _finding(assessment: Assessment, row: int | None) -> Finding | None:
    if row is None:
        return None
    none = assessment.readings.questions.iloc[:0]
    return finding(assessment, row, missing_essentials(assessment.headline), none, with_work=False)


def _verdict(told: Finding | None) -> str:
    return "" if told is None else f"{told.name}: {told.sentence}"


def _labelled(known: Iterable[tuple[str, str]], asked: Sequence[str]) -> tuple[Item, ...]:
    """Return what is recorded, and a blank for each thing asked for that is not.

    A label counts for what it begins with: ``cap`` for ``cap: rating, opened at``.
    """
    recorded = [Item(label.capitalize(), text) for label, text in known]
    names = [item.label.casefold() for item in recorded]
    blanks = [
        Item(one.capitalize(), "")
        for one in asked
        if not any(name.startswith(_head(one)) for name in names)
    ]
    return (*recorded, *blanks)


def _head(label: str) -> str:
    return label.replace(",", ":").partition(":")[0].casefold()


def _results(
    judged: Judged, before: int | None, after: int, told: Sequence[Finding | None]
) -> Iterator[BeforeAfter]:
    """Put the readings of both samples side by side, in the order of the later one."""
    lines: list[dict[tuple[str, str | None], ResultLine]] = [
        {} if one is None else {(n.key, n.basis): line for line in one.lines if (n := line.numbers)}
        for one in told
    ]
    for key in dict.fromkeys([*lines[1], *lines[0]]):
        first, last = lines[0].get(key), lines[1].get(key)
        shown = last or first
        if shown is None:
            continue
        yield BeforeAfter(
            quantity=shown.quantity,
            unit=shown.unit,
            bound=shown.bound,
            before=_reading(first),
            after=_reading(last),
            methods=_methods(judged, key, (before, after)),
            attributes=_numbers(key, first, last),
        )


def _reading(line: ResultLine | None) -> str:
    return "" if line is None else f"{line.reading} ({line.state})".strip()


def _numbers(
    key: tuple[str, str | None], first: ResultLine | None, last: ResultLine | None
) -> dict[str, str]:
    found = {"data-analyte": key[0], "data-basis": key[1] or ""}
    for name, line in (("before", first), ("after", last)):
        if line is not None and line.numbers is not None:
            known = line.numbers.attributes
            for end in ("lower", "upper"):
                if f"data-{end}" in known:
                    found[f"data-{name}-{end}"] = known[f"data-{end}"]
    return found


def _methods(judged: Judged, key: tuple[str, str | None], rows: Sequence[int | None]) -> str:
    readings = judged.readings
    place = readings.position(*key)
    if place is None:
        return ""
    coded = readings.method
    codes = [int(coded.codes[row, place]) for row in rows if row is not None]
    return ", ".join(dict.fromkeys(coded.names[code] for code in codes if code >= 0))


def _sources(told: Sequence[Finding | None], water: Finding | None) -> tuple[str, ...]:
    every = [one for one in (*told, water) if one is not None]
    return tuple(dict.fromkeys(line.source for one in every for line in one.lines if line.source))


def _not_known(
    job: JobRecord,
    before: int | None,
    items: Sequence[Item],
    results: Sequence[BeforeAfter],
) -> Iterator[str]:
    """Say what is not known: what the record says, and everything left blank."""
    yield from job.not_known
    if before is None:
        yield "What the coolant was like before the job: no sample is named."
    if not job.water:
        yield "What water was filled, and its test."
    if not any(one.methods for one in results):
        yield "How the readings were measured: the file names no method."
    blanks = [item.label for item in items if not item.value]
    if not job.rinses:
        blanks.append("Rinses")
    if not job.teardown:
        blanks.append("What was found in the old parts")
    if blanks:
        yield f"Not recorded: {'; '.join(blanks)}."
