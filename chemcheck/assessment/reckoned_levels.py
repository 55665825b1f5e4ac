"""Levels that were reckoned, written as cells and judged as if they had been read."""

from collections.abc import Mapping

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.check import check
from chemcheck.assessment.record import Assessment
from chemcheck.intake.quantities import read_quantities
from chemcheck.readings.record import ReadingColumn
from chemcheck.remedies.estimate import Estimate

_DIGITS, _THOUSANDS = 5, 3


def level_title(column: ReadingColumn) -> str:
    """Return the title of a column, as files are read.

    Examples
    --------
    >>> level_title(ReadingColumn("chloride")), level_title(ReadingColumn("iron", "digested"))
    ('chloride (mg/L)', 'iron digested (mg/L)')
    """
    known = analyte_of(column.analyte)
    basis = known.basis(column.basis) if known.bases else None
    unit = known.unit if basis is None or not basis.unit else basis.unit
    if basis is None or basis == known.bases[0]:
        return f"{known.title} ({unit})"
    return f"{known.title} {basis.words[0]} ({unit})"


def level_cell(level: Estimate) -> str:
    """Return an interval as a cell, as files are read.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import between, exact
    >>> level_cell(exact(50.0)), level_cell(between(0.0, 6.5)), level_cell(between(41.667, 52.0))
    ('50', '<6.5', '41.6670-52')
    """
    low, high = (_number(float(end)) for end in (level.lower, level.upper))
    if high == low:
        return high
    return f"<{high}" if low == "0" else f"{low}-{high}"


def _number(value: float) -> str:
    text = f"{float(f'{value:.{_DIGITS}g}'):.10g}"
    # Three digits behind a point may be thousands to whoever reads them.
    return f"{text}0" if len(text.partition(".")[2]) == _THOUSANDS else text


def judge_levels(
    levels: Mapping[ReadingColumn, Estimate],
    technology: str | None = None,
    glycol_type: str | None = None,
    limits: str | None = None,
) -> Assessment:
    """Judge levels of one coolant as `check` judges a sample.

    Parameters
    ----------
    levels : mapping of ReadingColumn to Estimate
        [canonical units].
    technology, glycol_type : str, optional
        Of the coolant.
    limits : str, optional
        A limit set instead of the technology's, by id or path.

    Returns
    -------
    Assessment
        Of one sample.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import between
    >>> answer = judge_levels({ReadingColumn("glycol", "by_volume"): between(28.0, 31.0)})
    >>> answer.results["state"].tolist()
    ['outside']
    """
    cells = {level_title(column): level_cell(level) for column, level in levels.items()}
    if glycol_type is not None:
        cells["Glycol Type"] = glycol_type.replace("_", " ")
    readings = read_quantities(cells, name="reckoned", material="coolant", decimal=".")
    return check(readings, limits, technology)
