"""What `check` says, for a person: verdict first, then the samples, the worst first."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.because import missing_essentials
from chemcheck.assessment.record import Assessment
from chemcheck.judging import Judged
from chemcheck.judging.record import FIT, NOT_DECIDED, NOT_JUDGED, UNFIT, VERDICT_NAMES, WARNING
from chemcheck.limit_library import cautions
from chemcheck.limit_library.records import LimitSet
from chemcheck.reports.document import Document, Finding, Section
from chemcheck.reports.numbers import counted, number
from chemcheck.reports.sample_findings import finding, overview_line

RULE_WORDS = {
    "overlap": "decided only where the whole 95 % interval, reading and method together, lies on "
    "one side of the bound",
    "simple": "simple acceptance (JCGM 106:2012): the reading's interval counts, the method's "
    "uncertainty does not",
    "guarded": "guarded acceptance (JCGM 106:2012): the bound is moved in by 1.645 standard "
    "uncertainties",
}
UNKNOWN_QUANTITIES = 8
ROWS = {"samples": "sample", "duplicate_rows": "duplicate row", "rejected_rows": "rejected row"}
CELLS = {
    "cells_judged": "judged",
    "cells_not_judged": "not judged",
    "cells_blank": "blank",
    "cells_rejected": "rejected",
}


@dataclass(frozen=True, slots=True)
class Size:
    """How many samples a document tells of.

    Parameters
    ----------
    few : int
        Up to so many, all are told in full.
    whole : int
        Of more, so many are told in full, the worst first.
    listed : int
        Of more, so many are listed in one line each.
    """

    few: int
    whole: int
    listed: int

    def of(self, n: int) -> tuple[int, int]:
        """Return how many of so many samples are told in full, and how many listed.

        Examples
        --------
        >>> size = Size(few=3, whole=0, listed=20)
        >>> size.of(2), size.of(12), size.of(500)
        ((2, 0), (0, 12), (0, 20))
        """
        return (n, 0) if n <= self.few else (min(n, self.whole), min(n, self.listed))


# In a terminal, and on a page.
TEXT = Size(few=3, whole=0, listed=20)
PAGE = Size(few=50, whole=20, listed=200)


def check_document(
    assessment: Assessment,
    size: Size,
    questions: pd.DataFrame | None = None,
    only: npt.NDArray[np.intp] | None = None,
) -> Document:
    """Return what is said of all samples.

    Parameters
    ----------
    assessment : Assessment
        All samples.
    size : Size
        How much of it.
    questions : DataFrame, optional
        All questions; by default those of the readings.
    only : ndarray of int, optional
        Positions of one unit's samples, the latest first, which is told in full; by default
        all samples count, the worst first.

    Returns
    -------
    Document
        To be written as text or as a page.
    """
    judged = assessment.headline
    n = judged.verdict.size if only is None else only.size
    told, listed = size.of(n) if only is None else (1, size.listed if n > 1 else 0)
    order = worst_first(judged, max(told, listed)) if only is None else only
    lost = missing_essentials(judged)
    asked = assessment.readings.questions if questions is None else questions
    if assessment.remedies is not None:
        assessment.remedies.prepare(order[:told].tolist())
    if assessment.causes is not None:
        assessment.causes.prepare(order[:told])
    findings = [finding(assessment, row, lost, asked) for row in order[:told].tolist()]
    overview = order[:listed]
    return Document(
        title="Check page",
        in_use=in_use(assessment, None if only is None else int(only[0])),
        sentence=_sentence(assessment, findings, only),
        counts=((*_counts(assessment), *_shared(assessment)) if n != 1 and only is None else ()),
        overview=tuple(overview_line(assessment, row, lost) for row in overview.tolist()),
        findings=tuple(findings),
        cut=cut(n, len(findings), len(overview)) if only is None else "",
        sections=tuple(sections(assessment, len(asked))),
    )


def _sentence(
    assessment: Assessment, findings: Sequence[Finding], only: npt.NDArray[np.intp] | None
) -> str:
    """Say the verdict of the one sample, of the unit's latest, or of all in numbers."""
    if only is not None:
        verdict = VERDICT_NAMES[assessment.headline.verdict[only[0]]]
        return f"{counted(only.size, 'sample')} of this unit; the latest is {verdict}."
    single = assessment.headline.verdict.size == 1
    return findings[0].sentence if single else summary(assessment)


def _shared(assessment: Assessment) -> Iterator[str]:
    """Say what several units share, before anything is said of single ones."""
    for cause in assessment.shared_causes:
        yield f"In several at once: {cause}."


def worst_first(judged: Judged, count: int) -> npt.NDArray[np.intp]:
    """Return the positions of so many samples: unfit, undecided, fit with warnings, fit."""
    chosen: list[npt.NDArray[np.intp]] = []
    for where in _groups(judged):
        left = count - sum(map(len, chosen))
        if left <= 0:
            break
        chosen.append(np.flatnonzero(where)[:left])
    return np.concatenate(chosen) if chosen else np.zeros(0, dtype=np.intp)


def in_use(assessment: Assessment, row: int | None = None) -> str:
    """Name the limit sets in use, those of the headline first; of one sample or of all."""
    used = assessment.limit_sets if row is None else sets_of(assessment, row)
    sets = [f"{one.id} (version {one.version})" for one in used]
    if not sets:
        return "Judged against no limit set: none applies to these samples."
    lead = "Judged against limit set" if len(sets) == 1 else "Judged against limit sets"
    return f"{lead} {', '.join(sets)}, by the rule '{assessment.headline.rule}'."


def sets_of(assessment: Assessment, row: int) -> tuple[LimitSet, ...]:
    """Return the limit sets that judge one sample, the headline's first."""
    places = [(judged, int(judged.set_of_sample[row])) for judged in assessment.judged]
    used = {judged.sets[k].id: judged.sets[k] for judged, k in places if k >= 0}
    return tuple(used.values())


def summary(assessment: Assessment) -> str:
    """Say how many samples got which verdict."""
    counts = assessment.counts
    n = counts["samples"]
    if not n:
        return "No sample could be read."
    told = [f"{counts[name]:,} {name}" for name in ("unfit", "undecided", "fit") if counts[name]]
    others = [
        f"by {judged.name}: "
        + ", ".join(
            f"{np.count_nonzero(judged.verdict == code):,} {VERDICT_NAMES[code]}"
            for code in (UNFIT, NOT_DECIDED, FIT)
        )
        for judged in assessment.judged[1:]
    ]
    lead = f"Of {counted(n, 'sample')}: {', '.join(told)}"
    return ". ".join([lead, *others]) + "."


def cut(n: int, told: int, listed: int) -> str:
    """Say what is left out."""
    if told >= n:
        return ""
    full = f"told in full: the worst {told:,}" if told else "none told in full"
    lines = f"listed: the worst {listed:,}" if listed < n else "listed: all"
    return f"Of {counted(n, 'sample')} {lines}; {full}."


def sections(assessment: Assessment, questions: int) -> Iterator[Section]:
    """Give what every page ends with: sets, rule, files, assumptions, unknowns, cautions."""
    judged = assessment.headline
    yield Section("Limit sets and versions", tuple(map(set_words, assessment.limit_sets)))
    shares = "; ".join(
        f"{share * 100:.0f} % under '{rule}'" for rule, share in judged.undecided_share.items()
    )
    yield Section(
        "Decision rule",
        (f"'{judged.rule}': {RULE_WORDS[judged.rule]}.", f"Left undecided: {shares}."),
    )
    yield Section("Files", tuple(_file_words(assessment)))
    yield Section("Assumptions", assessment.assumptions)
    yield Section("What was not known", tuple(_not_known(assessment, questions)))
    yield Section("Cautions", cautions(assessment.cautions))


def _groups(judged: Judged) -> Iterator[npt.NDArray[np.bool_]]:
    yield judged.verdict == UNFIT
    yield judged.verdict == NOT_DECIDED
    fit = judged.verdict == FIT
    warned = (judged.state == WARNING).any(axis=1)
    yield fit & warned
    yield fit & ~warned


def _counts(assessment: Assessment) -> Iterator[str]:
    """Say where every row and cell went; the parts are a sum wherever they add up."""
    counts = assessment.counts
    rows = [counted(counts[key], noun) for key, noun in ROWS.items()]
    yield _sum_words(counted(counts["rows_read"], "row"), rows, _adds_up(counts, "rows_read", ROWS))
    cells = [f"{counts[key]:,} {words}" for key, words in CELLS.items()]
    whole = counted(counts["cells_read"], "cell")
    yield _sum_words(whole, cells, _adds_up(counts, "cells_read", CELLS))


def _adds_up(counts: Mapping[str, int], whole: str, parts: Iterable[str]) -> bool:
    return counts[whole] == sum(counts[part] for part in parts)


def _sum_words(whole: str, parts: Sequence[str], adds_up: bool) -> str:
    return (
        f"{whole} read = {' + '.join(parts)}." if adds_up else f"{whole} gave {', '.join(parts)}."
    )


def set_words(limit_set: LimitSet) -> str:
    """Name a limit set with its version, its title and what identifies its file."""
    said = f"{limit_set.id}, version {limit_set.version}: {limit_set.title}."
    partial = f" {limit_set.partial}" if limit_set.partial else ""
    return f"{said}{partial} SHA-256 {limit_set.sha256[:16]}…"


def _file_words(assessment: Assessment) -> Iterator[str]:
    for file in assessment.readings.files:
        rows = counted(file.rows_read, "row")
        rejected = f", {file.rejected_rows:,} set aside" if file.rejected_rows else ""
        yield f"{file.name}: {file.layout}, {file.found}; {rows}{rejected}."


def _not_known(assessment: Assessment, questions: int) -> Iterator[str]:
    judged, counts = assessment.headline, assessment.counts
    if counts["cells_rejected"] or counts["rejected_rows"]:
        rows = counted(counts["rejected_rows"], "row")
        cells = counted(counts["cells_rejected"], "cell")
        yield f"{rows} and {cells} were set aside; each is listed with its place and reason."
    without = int(np.count_nonzero(judged.set_of_sample < 0))
    if without:
        yield f"{counted(without, 'sample')} could not be judged: no limit set applies."
    for key, lost in missing_essentials(judged):
        count = int(np.count_nonzero(lost))
        if count:
            yield f"{counted(count, 'sample')} without a usable reading of {analyte_of(key).title}."
    unjudged = [
        quantity.title
        for place, quantity in enumerate(judged.quantities)
        if (judged.state[:, place] == NOT_JUDGED).any()
    ]
    if unjudged:
        more = len(unjudged) - UNKNOWN_QUANTITIES
        tail = f" and {more} more" if more > 0 else ""
        names = ", ".join(unjudged[:UNKNOWN_QUANTITIES])
        yield f"Read but not judged in some sample: {names}{tail}."
    if questions:
        yield f"{counted(questions, 'question')} about values that are possible but unusual."
    # Where one number stands for many cells it is looked at once.
    factor = assessment.readings.shared_factor
    each = tuple(slice(None) if step else slice(0, 1) for step in factor.strides)
    shared = float(np.nanmax(factor[each], initial=1.0))
    if shared > 1:
        yield (
            "Whether ppm means mg/kg or mg/L: readings in ppm reach up to a factor of "
            f"{number(shared)}; --columns settles it."
        )
