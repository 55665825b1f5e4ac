"""What a report says, before it is written as text or as a page."""

import math
from dataclasses import dataclass

from chemcheck.reports.text_pieces import U_DIGITS


@dataclass(frozen=True, slots=True)
class ResultNumbers:
    """The numbers of one result, as JSON says them.

    Parameters
    ----------
    key : str
        The analyte, or the rule's id.
    basis : str or None
        As in the readings.
    lower, upper, u : float
        Ends of the reading and standard uncertainty of the method [canonical unit]; NaN
        where unknown.
    bound : float
        The decisive bound [canonical unit]; NaN where there is none.
    least, most : float
        Bounds of the same kind on both sides, the decisive one among them; NaN where there
        is none.
    """

    key: str
    basis: str | None
    lower: float
    upper: float
    u: float
    bound: float
    least: float
    most: float

    @property
    def attributes(self) -> dict[str, str]:
        """Data attributes of the result's row on a page: what is unknown or open is left out."""
        words = {"data-analyte": self.key, "data-basis": self.basis or ""}
        rounded = float(f"{self.u:.{U_DIGITS}g}")
        numbers = {"lower": self.lower, "upper": self.upper, "u": rounded, "bound": self.bound}
        for name, value in numbers.items():
            words[f"data-{name}"] = repr(value) if math.isfinite(value) else ""
        return {name: text for name, text in words.items() if text}


@dataclass(frozen=True, slots=True)
class ResultLine:
    """One result held against its bound, in words.

    Parameters
    ----------
    quantity : str
        What was measured.
    reading, unit, bound, margin : str
        Numbers as a person reads them, all in one unit.
    state : str
        ``inside``, ``warning``, ``undecided``, ``outside`` or ``not judged``.
    source : str
        Who says the bound, and how well that is known; empty where there is no bound.
    numbers : ResultNumbers or None
        The same as numbers.
    """

    quantity: str
    reading: str
    unit: str
    bound: str
    margin: str
    state: str
    source: str
    numbers: ResultNumbers | None = None


@dataclass(frozen=True, slots=True)
class OverviewLine:
    """What is said of one sample among many.

    Parameters
    ----------
    name : str
        The sample as its file names it.
    verdict : str
        ``fit``, ``undecided`` or ``unfit``.
    because : str
        What decided it.
    sources : tuple of str
        Who says the bounds that decided it.
    disposition : str
        What to do.
    """

    name: str
    verdict: str
    because: str
    sources: tuple[str, ...]
    disposition: str


@dataclass(frozen=True, slots=True)
class Section:
    """A list under a heading."""

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FigureTable:
    """Figures of one sample under several headings, with what is said of them.

    Parameters
    ----------
    title : str
        What they are.
    columns : tuple of str
        The heads, that of the names first.
    rows : tuple of tuple of str
        A name, and a cell under each of the other heads.
    notes : tuple of str
        By what method, what for, and what follows.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Finding:
    """What is said of one sample.

    Parameters
    ----------
    name : str
        The sample as its file names it.
    sentence : str
        The verdict.
    lines : tuple of ResultLine
        The results, the worst first.
    why : tuple of str
        What follows from what is, or may be, beyond a bound.
    to_do : tuple of str
        What to do, in the order of doing it.
    remarks : tuple of str
        Questions the readings raise, and what they leave open.
    parts : tuple of Section
        What else is said of it, each under a heading of its own.
    figures : FigureTable or None
        What was reckoned of the sample beside its results.
    """

    name: str
    sentence: str
    lines: tuple[ResultLine, ...]
    why: tuple[str, ...]
    to_do: tuple[str, ...]
    remarks: tuple[str, ...] = ()
    parts: tuple[Section, ...] = ()
    figures: FigureTable | None = None


@dataclass(frozen=True, slots=True)
class Document:
    """A whole report.

    Parameters
    ----------
    title : str
        What kind of page this is.
    in_use : str
        The limit sets in use; the first line of every output.
    sentence : str
        The verdict, or how many samples got which.
    counts : tuple of str
        What was counted, in sentences.
    overview : tuple of OverviewLine
        One line a sample, the worst first; empty where the findings say it all.
    findings : tuple of Finding
        Sample by sample, the worst first.
    cut : str
        What overview and findings leave out; empty where they are complete.
    sections : tuple of Section
        Limit sets and versions, assumptions, what was not known, cautions.
    """

    title: str
    in_use: str
    sentence: str
    counts: tuple[str, ...]
    overview: tuple[OverviewLine, ...]
    findings: tuple[Finding, ...]
    cut: str
    sections: tuple[Section, ...]

    @property
    def sources(self) -> tuple[str, ...]:
        """Who says the bounds that are shown, each once, in the order of the document."""
        of_overview = (source for one in self.overview for source in one.sources)
        of_findings = (line.source for one in self.findings for line in one.lines)
        return tuple(dict.fromkeys(filter(None, (*of_overview, *of_findings))))
