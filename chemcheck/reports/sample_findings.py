"""What is said of one sample: its verdict in a sentence, why it matters and what to do."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.dispositions import DISPOSITIONS, NEW_COOLANT_USE
from chemcheck.assessment.record import Assessment
from chemcheck.intake.quantities import LAYOUT as QUANTITIES
from chemcheck.judging import Judged
from chemcheck.judging.record import NOT_DECIDED, OUTSIDE, UNDECIDED, UNFIT, VERDICT_NAMES, WARNING
from chemcheck.judging.rules import analytes_of
from chemcheck.readings.holders import holder_of
from chemcheck.readings.record import REJECTED, Readings
from chemcheck.reports.balance_words import balance_words
from chemcheck.reports.cause_words import cause_sections
from chemcheck.reports.document import Finding, OverviewLine, ResultLine, Section
from chemcheck.reports.received_words import received_section
from chemcheck.reports.remedy_words import remedy_sections
from chemcheck.reports.result_lines import (
    amount,
    decisive_bound,
    places_by_state,
    result_lines,
    tied,
    without_bound,
)

# By what kind of question a set answers: what fit, undecided and unfit mean there.
VERDICT_WORDS = {
    "fill water": (
        "This water may be mixed with coolant concentrate",
        "Whether this water may be mixed with coolant concentrate is not decided",
        "This water must not be mixed with coolant concentrate as it is",
    ),
    "coolant in service": (
        "The coolant is fit for further service",
        "Whether the coolant is fit for further service is not decided",
        "The coolant is unfit for further service",
    ),
    "new coolant": (
        "The coolant meets what is asked of a new one",
        "Whether the coolant meets what is asked of a new one is not decided",
        "The coolant does not meet what is asked of a new one",
    ),
}
# In an overview so many results are named.
REASONS = 3
OTHER_WORDS = (
    "The sample meets this limit set",
    "Whether the sample meets this limit set is not decided",
    "The sample does not meet this limit set",
)
# By essential analyte, the samples without it.
Lost = Sequence[tuple[str, npt.NDArray[np.bool_]]]
NO_SET = "The sample was not judged, because no limit set applies to it"


def sample_name(readings: Readings, row: int) -> str:
    """Name a sample as its file does: id, unit or source, date, and where it stands.

    Parameters
    ----------
    readings : Readings
        All samples.
    row : int
        Position of the sample.

    Returns
    -------
    str
        The file is named, without its folder, only where there are several.
    """
    sample = readings.samples.iloc[row]
    parts = [str(sample["sample_id"])] if _has(sample["sample_id"]) else []
    if _has(sample["unit_id"]):
        holder, name = holder_of(readings.samples, row), str(sample["unit_id"])
        parts.append(name if holder in name.casefold().split() else f"{holder} {name}")
    if _has(sample["taken_on"]):
        parts.append(f"{sample['taken_on']:%Y-%m-%d}")
    if readings.files[0].layout == QUANTITIES:
        return ", ".join(parts) or "The sample given"
    place = tied(f"row {sample['row']}")
    if len(readings.files) > 1:
        place = f"{Path(str(sample['file'])).name}, {place}"
    return f"{', '.join(parts)} ({place})" if parts else place


def finding(
    assessment: Assessment,
    row: int,
    lost: Lost,
    questions: pd.DataFrame,
    *,
    with_work: bool = True,
) -> Finding:
    """Return what is said of one sample by the sets that make the headline.

    Parameters
    ----------
    assessment : Assessment
        All samples.
    row : int
        Position of the sample.
    lost : list of (str, ndarray of bool)
        From `missing_essentials`, for all samples.
    questions : DataFrame
        Those of all samples.
    with_work : bool, default True
        Whether causes and remedies are told; a page that has places of its own for them
        asks for them there.
    """
    judged = assessment.headline
    lines = result_lines(judged, row)
    lacking = _lacking(row, lost)
    return Finding(
        name=sample_name(judged.readings, row),
        sentence=sentence(judged, row, lines, lacking),
        lines=tuple(line for line in lines if line.source),
        why=_why(judged, row),
        to_do=_to_do(assessment, row, lines, lacking),
        remarks=(
            *filter(None, [without_bound(lines)]),
            *_asked(judged.readings, row, questions),
        ),
        parts=tuple(_parts(assessment, row, with_work=with_work)),
    )


def _parts(assessment: Assessment, row: int, *, with_work: bool) -> Iterator[Section]:
    """Give what other answers say of one sample."""
    received = received_section(assessment, row)
    if received is not None:
        yield received
    if with_work:
        yield from cause_sections(assessment, row)
    if assessment.balances is not None:
        yield Section("Balances", balance_words(assessment.balances.of_sample(row)))
    if with_work and assessment.remedies is not None:
        yield from remedy_sections(assessment, row)


def _asked(readings: Readings, row: int, questions: pd.DataFrame) -> Iterator[str]:
    """Return what is asked about the values of one sample."""
    sample = readings.samples.iloc[row]
    here = questions["row"] == sample["row"]
    if readings.files[0].layout == QUANTITIES:
        here |= questions["row"].isna()
    for line in questions[here.fillna(False)].to_dict("records"):
        if line["file"] == sample["file"]:
            text = f" {line['text']}" if line["text"] else ""
            yield f"{line['column']}{text}: {line['question']}"


def overview_line(assessment: Assessment, row: int, lost: Lost) -> OverviewLine:
    """Return what is said of one sample among many.

    Parameters
    ----------
    assessment, row, lost
        As for `finding`.
    """
    judged = assessment.headline
    lines = result_lines(judged, row)
    deciding = _deciding(judged, row, lines)
    told = [_reason(judged, row, lines, line) for line in deciding[:REASONS]]
    if len(deciding) > REASONS:
        told.append(f"{len(deciding) - REASONS} more")
    if judged.verdict[row] == NOT_DECIDED:
        told += _wanting(judged, row, _lacking(row, lost))
    return OverviewLine(
        name=sample_name(judged.readings, row),
        verdict=VERDICT_NAMES[judged.verdict[row]],
        because="; ".join(told) or assessment.because_texts[int(assessment.because[row])],
        sources=tuple(dict.fromkeys(line.source for line in deciding[:REASONS])),
        disposition=DISPOSITIONS[int(assessment.disposition[row])],
    )


def _deciding(judged: Judged, row: int, lines: tuple[ResultLine, ...]) -> list[ResultLine]:
    """Return the results that decided the verdict."""
    state = {UNFIT: "outside", NOT_DECIDED: "undecided"}.get(judged.verdict[row], "warning")
    return _in_state(lines, state)


def _reason(judged: Judged, row: int, lines: tuple[ResultLine, ...], line: ResultLine) -> str:
    """Say a result with its bound, or the condition that keeps it from being decided."""
    if line.bound:
        return f"{amount(line)} ({line.bound})"
    bound = decisive_bound(judged, row, int(places_by_state(judged, row)[lines.index(line)]))
    return amount(line) if bound is None else f"{amount(line)}: {bound.consequence.rstrip('.')}"


def sentence(
    judged: Judged, row: int, lines: tuple[ResultLine, ...], lacking: tuple[str, ...]
) -> str:
    """Say the verdict of a sample in one sentence.

    Parameters
    ----------
    judged : Judged
        All samples.
    row : int
        Position of the sample.
    lines : tuple of ResultLine
        Its results.
    lacking : tuple of str
        Titles of the essentials it lacks.
    """
    position = int(judged.set_of_sample[row])
    if position < 0:
        return f"{NO_SET}."
    limit_set = judged.sets[position]
    verdict = judged.verdict[row]
    words = VERDICT_WORDS.get(limit_set.use, OTHER_WORDS)[int(verdict)]
    if verdict == UNFIT:
        return f"{words}: {_listed(lines, 'outside')}."
    if verdict == NOT_DECIDED:
        reasons = [_listed(lines, "undecided")] if _in_state(lines, "undecided") else []
        reasons += _wanting(judged, row, lacking)
        if not reasons:
            reasons.append(limit_set.partial.rstrip(".") or "too little could be judged")
        return f"{words}: {'; '.join(reasons)}."
    if _in_state(lines, "warning"):
        return f"{words}. To watch: {_listed(lines, 'warning')}."
    return f"{words}: every reading that was judged is inside its bounds."


def _in_state(lines: tuple[ResultLine, ...], state: str) -> list[ResultLine]:
    return [line for line in lines if line.state == state]


def _listed(lines: tuple[ResultLine, ...], state: str) -> str:
    told = _in_state(lines, state)
    return ", ".join(
        f"{amount(line)} ({line.bound})" if line.bound else amount(line) for line in told
    )


def _lacking(row: int, lost: Lost) -> tuple[str, ...]:
    return tuple(analyte_of(key).title for key, missing in lost if missing[row])


def _wanting(judged: Judged, row: int, lacking: tuple[str, ...]) -> list[str]:
    """Say what keeps a sample from being fit, apart from its results."""
    unusable = [title for title in _unusable(judged, row) if title not in lacking]
    told = [f"no usable reading of {' and '.join(lacking)}"] if lacking else []
    if unusable:
        told.append(f"{' and '.join(unusable)} could not be used and {_has_bound(unusable)}")
    limit_set = judged.sets[int(judged.set_of_sample[row])]
    if limit_set.use == NEW_COOLANT_USE and limit_set.partial:
        told.append(limit_set.partial.rstrip("."))
    return told


def _has_bound(titles: list[str]) -> str:
    return "has a bound" if len(titles) == 1 else "have bounds"


def _unusable(judged: Judged, row: int) -> list[str]:
    """Return what was there, could not be read, and has an action bound."""
    readings = judged.readings
    position = int(judged.set_of_sample[row])
    if position < 0:
        return []
    limit_set = judged.sets[position]
    bounded = {
        limit.analyte
        for limit in limit_set.limits
        if any(bound.kind == "action" for bound in limit.bounds)
    }
    bounded.update(key for rule in limit_set.rules for key in analytes_of(rule))
    places = np.flatnonzero(readings.status[row] == REJECTED)
    keys = dict.fromkeys(readings.columns[place].analyte for place in places)
    return [analyte_of(key).title for key in keys if key in bounded]


def _why(judged: Judged, row: int) -> tuple[str, ...]:
    """Return the consequences of what is or may be beyond a bound, each once."""
    told = []
    for place in places_by_state(judged, row).tolist():
        bound = decisive_bound(judged, row, place)
        if bound is not None and judged.state[row, place] in (OUTSIDE, UNDECIDED, WARNING):
            told.append(bound.consequence)
    return tuple(dict.fromkeys(filter(None, told)))


def _to_do(
    assessment: Assessment, row: int, lines: tuple[ResultLine, ...], lacking: tuple[str, ...]
) -> tuple[str, ...]:
    disposition = DISPOSITIONS[int(assessment.disposition[row])]
    because = assessment.because_texts[int(assessment.because[row])]
    told = [f"{disposition.capitalize()}: {because}."]
    judged = assessment.headline
    spanning = [line for line in _in_state(lines, "undecided") if line.reading and line.bound]
    if spanning:
        names = ", ".join(line.quantity for line in spanning)
        told.append(
            f"Measure {names} by a more exact method: the reading, with its uncertainty, reaches "
            "over its bound."
        )
    unusable = [title for title in _unusable(judged, row) if title not in lacking]
    if judged.verdict[row] == NOT_DECIDED and unusable:
        told.append(f"Settle what was set aside: {' and '.join(unusable)}.")
    if lacking:
        told.append(
            f"Have {' and '.join(lacking)} measured: without that nothing can be found fit."
        )
    return tuple(told)


def _has(value: Any) -> bool:
    return value != "" and not pd.isna(value)
