"""Levels that were reckoned, judged as a sample that held them would be."""

from chemcheck.assessment.record import Assessment
from chemcheck.judging.record import VERDICT_NAMES
from chemcheck.reports.bench_page import BenchTable
from chemcheck.reports.result_lines import result_lines

_COLUMNS = ("what", "expected", "unit", "bound", "state")


def judged_levels(judged: Assessment | None, title: str) -> tuple[BenchTable, ...]:
    """Return a table of what a bound speaks of.

    Parameters
    ----------
    judged : Assessment or None
        Of one sample.
    title : str
        The table's heading.

    Returns
    -------
    tuple of BenchTable
        One; none where nothing was judged, or no bound speaks of it.
    """
    if judged is None:
        return ()
    lines = [line for line in result_lines(judged.headline, 0) if line.bound]
    rows = tuple((line.quantity, line.reading, line.unit, line.bound, line.state) for line in lines)
    return (BenchTable(title, _COLUMNS, rows),) if rows else ()


def judged_fields(judged: Assessment | None) -> dict[str, object] | None:
    """Return the verdict and the state of each analyte for JSON, null where nothing was judged."""
    if judged is None:
        return None
    table = judged.results
    return {
        "verdict": VERDICT_NAMES[judged.headline.verdict[0]],
        "states": dict(zip(table["analyte"], table["state"], strict=True)),
    }
