"""What a fleet's page says, before it is written."""

from collections.abc import Mapping
from dataclasses import dataclass

from chemcheck.reports.charts import Chart
from chemcheck.reports.document import ResultLine, Section


@dataclass(frozen=True, slots=True)
class FleetLine:
    """One unit of the ranking.

    Parameters
    ----------
    unit, file : str
        The unit, and its page; empty where it has none.
    reaches, source : str
        The bound it is likeliest to pass first, and who says it.
    places : tuple of str
        Where the chance of having passed any bound is 10, 50 and 90 %.
    change_by, next_sample_by : str
        Dates; empty where there is none.
    verdict : str
        Of its latest sample.
    attributes : mapping of str to str
        Data attributes with the same as numbers.
    """

    unit: str
    file: str
    reaches: str
    source: str
    places: tuple[str, ...]
    change_by: str
    next_sample_by: str
    verdict: str
    attributes: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class MarginLine:
    """One of the worst results.

    Parameters
    ----------
    sample : str
        The sample.
    result : ResultLine
        Its result.
    """

    sample: str
    result: ResultLine


@dataclass(frozen=True, slots=True)
class GroupLine:
    """The change interval of one group.

    Parameters
    ----------
    group : str
        Its label.
    counts, model, by_risk, by_cost : str
        Fills and crossings, the lifetime, and the intervals, or why there is none.
    attributes : mapping of str to str
        Data attributes with the same as numbers.
    """

    group: str
    counts: str
    model: str
    by_risk: str
    by_cost: str
    attributes: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class IntervalPart:
    """Change intervals on a page.

    Parameters
    ----------
    sentence : str
        Whether groups differ.
    lines : tuple of GroupLine
        One a group.
    charts : tuple of Chart
        Lifetimes and costs.
    key : str
        How the charts are read.
    """

    sentence: str
    lines: tuple[GroupLine, ...]
    charts: tuple[Chart, ...]
    key: str


@dataclass(frozen=True, slots=True)
class RowTable:
    """Rows set aside, or questions.

    Parameters
    ----------
    columns : tuple of str
        The heads.
    rows : tuple of tuple of str
        The first of them.
    more : str
        How many are left out, and where they are; empty where none is.
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    more: str


@dataclass(frozen=True, slots=True)
class FleetPage:
    """A fleet's page; what did not go in is not there.

    Parameters
    ----------
    title, in_use, sentence : str
        The page, the limit sets in use, and what was found.
    notes : tuple of str
        What comes first: where the choice of bound outweighs the band.
    lines : tuple of FleetLine
        All units, the most urgent first; empty where nothing was forecast.
    left_out : str
        What is said of units without a page.
    axis : str
        What places are counted in.
    crossings : Chart or None
        The most urgent units.
    margins : tuple of MarginLine
        The worst results among the latest samples.
    shared : tuple of str
        What several units show at once.
    suggestions : tuple of str
        Readings that break the pattern.
    calibration : Chart or None
        Past forecasts; None where they were not asked for.
    calibration_words : tuple of str
        What came of them.
    bounds_words : tuple of str
        Whether each bound is right for the fleet; empty where that was not asked.
    intervals : IntervalPart or None
        How long fills may run.
    rejected, questions : RowTable or None
        What was set aside, and what is asked.
    sources : tuple of str
        Who says the bounds of the ranking, numbered from 1.
    sections : tuple of Section
        Work, sets and versions, assumptions, what was not known, cautions.
    """

    title: str
    in_use: str
    sentence: str
    notes: tuple[str, ...]
    lines: tuple[FleetLine, ...]
    left_out: str
    axis: str
    crossings: Chart | None
    margins: tuple[MarginLine, ...]
    shared: tuple[str, ...]
    suggestions: tuple[str, ...]
    calibration: Chart | None
    calibration_words: tuple[str, ...]
    bounds_words: tuple[str, ...]
    intervals: IntervalPart | None
    rejected: RowTable | None
    questions: RowTable | None
    sources: tuple[str, ...]
    sections: tuple[Section, ...]
