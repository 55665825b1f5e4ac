"""The page of each unit of a check: its latest sample, what changed, and what to do."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.assessment.because import missing_essentials
from chemcheck.assessment.changes import (
    FALLEN,
    NO_CHANGE,
    OTHER_METHOD,
    RISEN,
    Change,
    changes,
)
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.unit_samples import UnitSamples, unit_samples
from chemcheck.fills.event_order import all_events
from chemcheck.history.record import Events
from chemcheck.judging import Judged
from chemcheck.judging.record import FIT, VERDICT_NAMES
from chemcheck.limit_library import cautions
from chemcheck.readings.holders import holder_of
from chemcheck.reports.cause_words import cause_story
from chemcheck.reports.check_document import in_use, sections, set_words, sets_of
from chemcheck.reports.document import Section
from chemcheck.reports.event_words import events_between
from chemcheck.reports.lines_by_key import LinesByKey
from chemcheck.reports.numbers import number
from chemcheck.reports.remedy_words import remedy_sections
from chemcheck.reports.result_lines import quantity_text, reading_text, tied, unit_text
from chemcheck.reports.sample_findings import Lost, finding, sample_name
from chemcheck.reports.sample_record import TO_FILL_IN, record_of
from chemcheck.reports.unit_charts import history_charts, latest_chart
from chemcheck.reports.unit_document import ChangeLine, HistoryLine, UnitPage

if TYPE_CHECKING:  # what is ahead takes the estimators, which a check alone does not need
    from chemcheck.reports.unit_outlook import Outlooks

# Of a unit's samples so many are listed, the latest first.
LISTED = 12


@dataclass(frozen=True, slots=True)
class UnitPages:
    """What the pages of all units have in common.

    Parameters
    ----------
    assessment : Assessment
        All samples.
    units : UnitSamples
        Which samples are of which unit.
    events : mapping of (str,) to DataFrame
        What was logged, by unit.
    lost : list of (str, ndarray of bool)
        Essentials that samples lack.
    questions : mapping of (str, int) to DataFrame
        By file and row.
    common : tuple of Section
        What every page of the check ends with.
    outlooks : Outlooks or None
        What is ahead of the units, where that was forecast.
    """

    assessment: Assessment
    units: UnitSamples
    events: LinesByKey
    lost: Lost
    questions: LinesByKey
    common: tuple[Section, ...]
    outlooks: "Outlooks | None" = None

    @classmethod
    def of(
        cls,
        assessment: Assessment,
        events: Events | None = None,
        outlooks: "Outlooks | None" = None,
    ) -> "UnitPages":
        """Gather what the pages of a check need.

        Parameters
        ----------
        assessment : Assessment
            All samples.
        events : Events, optional
            The log that it was made with.
        outlooks : Outlooks, optional
            What is ahead of the units.
        """
        log = all_events(assessment.readings, events)
        asked = assessment.readings.questions.dropna(subset=["row"])
        return cls(
            assessment=assessment,
            units=unit_samples(assessment.readings.samples),
            events=LinesByKey.of(log, "unit_id"),
            lost=missing_essentials(assessment.headline),
            questions=LinesByKey.of(asked, "file", "row"),
            common=tuple(sections(assessment, 0)),
            outlooks=outlooks,
        )

    @property
    def is_one_unit(self) -> bool:
        """Whether all samples are of one unit."""
        samples = self.assessment.headline.verdict.size
        return len(self.units.unit_ids) == 1 and self.units.rows.size == samples

    def due(self) -> npt.NDArray[np.intp]:
        """Return the units whose latest sample is unfit or undecided, the unfit first."""
        verdict = self.assessment.headline.verdict[self.units.latest]
        order = np.argsort(-verdict, kind="stable")
        return np.asarray(order[verdict[order] != FIT])

    def prepare(self, chosen: npt.NDArray[np.intp]) -> None:
        """Work out for several units at once what is quicker for all than one by one."""
        if self.assessment.remedies is not None:
            self.assessment.remedies.prepare(self.units.latest[chosen].tolist())
        if self.assessment.causes is not None:
            self.assessment.causes.prepare(self.units.latest[chosen])

    def page(self, unit: int) -> UnitPage:
        """Return the page of one unit."""
        assessment, judged = self.assessment, self.assessment.headline
        rows = self.units.of(unit)
        row = int(rows[-1])
        unit_id = self.units.unit_ids[unit]
        sample = assessment.readings.samples.iloc[row]
        asked = self.questions.get((str(sample["file"]), int(sample["row"])))
        none = assessment.readings.questions.iloc[:0]
        found = finding(
            assessment, row, self.lost, none if asked is None else asked, with_work=False
        )
        # As said first of all: the disposition with its reason, then the work.
        disposition, work = found.to_do[0], found.to_do[1:]
        log = self.events.get((unit_id,))
        compared: tuple[Change, ...] = ()
        holder = holder_of(assessment.readings.samples, row)
        since = f"This is the first sample of the {holder} in these files."
        if rows.size > 1:
            before = int(rows[-2])
            compared = changes(judged, before, row)
            since = _since(judged, before, row, log)
        title = f"{holder.capitalize()} {unit_id}"
        causes = cause_story(assessment.causes, row)
        remedies = () if assessment.remedies is None else tuple(remedy_sections(assessment, row))
        return UnitPage(
            title=title,
            in_use=in_use(assessment, row),
            disposition=disposition,
            finding=replace(found, to_do=work),
            readings=latest_chart(f"{title}: latest readings against their bounds", found.lines),
            changes=tuple(
                _change_line(judged, one) for one in compared if one.found in (RISEN, FALLEN)
            ),
            unchanged=tuple(_unchanged(judged, compared)),
            since=since,
            histories=history_charts(judged, rows, found.lines, log),
            outlook=None if self.outlooks is None else self.outlooks.page_part(unit_id),
            samples=tuple(_sample_lines(assessment, rows)),
            shared=tuple(cause for cause in assessment.shared_causes if unit_id in cause),
            causes=causes,
            remedies=remedies,
            evidence=record_of(assessment.readings, row, log),
            to_fill_in=TO_FILL_IN,
            cautions=cautions((*assessment.cautions, *(causes.cautions if causes else ()))),
            sections=self._sections(row, str(sample["file"])),
        )

    def _sections(self, row: int, file: str) -> tuple[Section, ...]:
        """Return what a page ends with, of one sample's sets and file."""
        sets = tuple(map(set_words, sets_of(self.assessment, row)))
        told = {section.title: section for section in self.common}
        files = tuple(line for line in told["Files"].items if line.startswith(f"{file}: "))
        return (
            Section("Limit sets and versions", sets),
            told["Decision rule"],
            Section("File", files),
            told["Assumptions"],
        )


def _unchanged(judged: Judged, compared: Sequence[Change]) -> Iterator[str]:
    """Name in a sentence each what shows no change, and what is not compared."""
    for found in (NO_CHANGE, OTHER_METHOD):
        names = [
            quantity_text(judged.quantities[one.place]) for one in compared if one.found == found
        ]
        if names:
            yield f"{found.capitalize()}: {', '.join(names)}."


def _change_line(judged: Judged, one: Change) -> ChangeLine:
    quantity = judged.quantities[one.place]
    before, after = (reading_text(*ends, np.nan, quantity) for ends in (one.before, one.after))
    difference = "" if np.isnan(one.lower) else _signed(one.lower, one.upper)
    numbers = {
        "before-lower": one.before[0], "before-upper": one.before[1],
        "after-lower": one.after[0], "after-upper": one.after[1],
    }  # fmt: skip
    return ChangeLine(
        quantity=quantity_text(quantity),
        unit=unit_text(quantity),
        before=before,
        after=after,
        difference=difference,
        found=one.found,
        attributes={"data-analyte": quantity.key, "data-basis": quantity.basis or ""}
        | {f"data-{name}": repr(value) for name, value in numbers.items() if np.isfinite(value)},
    )


def _signed(lower: float, upper: float) -> str:
    """Write the ends of a difference, each with its sign."""
    ends = [
        "no end" if np.isinf(end) else f"{'+' if end > 0 else ''}{number(end, 3)}"
        for end in (lower, upper)
    ]
    return tied(" to ".join(dict.fromkeys(ends)))


def _since(judged: Judged, before: int, row: int, log: pd.DataFrame | None) -> str:
    samples = judged.readings.samples
    said = f"Against {sample_name(judged.readings, before)}."
    between = [] if log is None else events_between(log, samples.iloc[before], samples.iloc[row])
    if between:
        said += f" Logged in between: {'; '.join(between)}."
        if any(line.startswith(("change", "partial change")) for line in between):
            said += " The two samples are of different fills."
    elif log is not None:
        said += " Nothing was logged in between."
    return said


def _sample_lines(assessment: Assessment, rows: npt.NDArray[np.intp]) -> Iterator[HistoryLine]:
    judged = assessment.headline
    for row in rows[::-1][:LISTED].tolist():
        yield HistoryLine(
            sample_name(judged.readings, row),
            VERDICT_NAMES[judged.verdict[row]],
            assessment.because_texts[int(assessment.because[row])],
        )
