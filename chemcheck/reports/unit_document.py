"""What a unit page says, before it is written."""

from collections.abc import Mapping
from dataclasses import dataclass

from chemcheck.reports.cause_words import CauseStory
from chemcheck.reports.charts import Chart
from chemcheck.reports.document import Finding, Section


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """One quantity, last time and now.

    Parameters
    ----------
    quantity, unit : str
        What was measured, and in what.
    before, after : str
        Both readings.
    difference : str
        The interval of the difference; empty where nothing is subtracted.
    found : str
        What the difference shows.
    attributes : mapping of str to str
        Data attributes with the same as numbers.
    """

    quantity: str
    unit: str
    before: str
    after: str
    difference: str
    found: str
    attributes: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class CrossingLine:
    """A bound, and when it is reached.

    Parameters
    ----------
    quantity, bound, unit : str
        What is bounded, how, and in what.
    places : tuple of str
        Where the chance of having passed it is 10, 50 and 90 %.
    date : str
        When it is 50 %; empty where it has no date.
    status, source : str
        Whether it is ahead, and who says the bound.
    attributes : mapping of str to str
        Data attributes with the same as numbers.
    """

    quantity: str
    bound: str
    unit: str
    places: tuple[str, ...]
    date: str
    status: str
    source: str
    attributes: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Outlook:
    """What is ahead of a unit.

    Parameters
    ----------
    sentence : str
        By when to change and to sample.
    axis : str
        What the places are counted in.
    lines : tuple of CrossingLine
        Each bound, the earliest first.
    charts : tuple of Chart
        Of the bounds that are reached first.
    key : str
        How the charts are read.
    """

    sentence: str
    axis: str
    lines: tuple[CrossingLine, ...]
    charts: tuple[Chart, ...]
    key: str


@dataclass(frozen=True, slots=True)
class Item:
    """Something that should be on record.

    Parameters
    ----------
    label : str
        What.
    value : str
        What is on record; empty leaves a line to write on.
    """

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One sample of the unit in its list of samples.

    Parameters
    ----------
    name, verdict, because : str
        The sample, its verdict and what decided it.
    """

    name: str
    verdict: str
    because: str


@dataclass(frozen=True, slots=True)
class UnitPage:
    """A unit's page.

    Parameters
    ----------
    title : str
        The unit.
    in_use : str
        The limit sets in use.
    disposition : str
        What to do, and why, in a sentence.
    finding : Finding
        Of the latest sample; what to do is in the order of doing it.
    readings : Chart or None
        The readings of the latest sample against their bounds.
    changes : tuple of ChangeLine
        What rose or fell since the sample before.
    unchanged : tuple of str
        Of what no change is shown, and what is not compared.
    since : str
        What the changes are held against, and what was done in between.
    histories : tuple of Chart
        Analytes over time or use.
    outlook : Outlook or None
        What is ahead; None where nothing was forecast.
    samples : tuple of HistoryLine
        All samples of the unit, the latest first.
    shared : tuple of str
        What several units show at once.
    causes : CauseStory or None
        What may have gone wrong; None where nothing speaks for it.
    remedies : tuple of Section
        Ways to put it right, each with its steps in order, the cheapest first.
    evidence : tuple of Item
        What is on record of the latest sample.
    to_fill_in : tuple of Item
        What a job card should hold besides.
    cautions : tuple of str
        What can hurt people.
    sections : tuple of Section
        Sets and versions, assumptions, what was not known.
    """

    title: str
    in_use: str
    disposition: str
    finding: Finding
    readings: Chart | None
    changes: tuple[ChangeLine, ...]
    unchanged: tuple[str, ...]
    since: str
    histories: tuple[Chart, ...]
    outlook: Outlook | None
    samples: tuple[HistoryLine, ...]
    shared: tuple[str, ...]
    causes: CauseStory | None
    remedies: tuple[Section, ...]
    evidence: tuple[Item, ...]
    to_fill_in: tuple[Item, ...]
    cautions: tuple[str, ...]
    sections: tuple[Section, ...]

    @property
    def sources(self) -> dict[str, int]:
        """Who says the bounds of the table, each once and numbered."""
        told = dict.fromkeys(line.source for line in self.finding.lines if line.source)
        return {source: place for place, source in enumerate(told, start=1)}


@dataclass(frozen=True, slots=True)
class UnitLink:
    """A unit's page in an index.

    Parameters
    ----------
    unit : int
        Position among the units.
    unit_id : str
        As in the files.
    file : str
        The page, from the index.
    verdict, disposition : str
        Of the unit's latest sample.
    """

    unit: int
    unit_id: str
    file: str
    verdict: str
    disposition: str
