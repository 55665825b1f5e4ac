"""A finished fill's expected levels as a row that `check` reads back as a reference."""

from datetime import date
from pathlib import Path

import pandas as pd

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.expected_fill import ExpectedFill
from chemcheck.readings.record import ReadingColumn
from chemcheck.readings.sample_types import EXPECTED_FILL
from chemcheck.remedies.estimate import Estimate
from chemcheck.reports.safe_tables import safe_csv
from chemcheck.reports.whole_files import whole_file

_DIGITS = 5


def write_expected_fill(fill: ExpectedFill, path: Path, unit_id: str, filled_on: date) -> None:
    """Write the reference row of one refill.

    Parameters
    ----------
    fill : ExpectedFill
        What it should hold.
    path : Path
        The file; it appears whole or not at all.
    unit_id : str
        The unit that was refilled.
    filled_on : date
        When.

    Raises
    ------
    OutputError
        If the file cannot be written.
    """
    with whole_file(path) as file:
        file.write(expected_fill_text(fill, unit_id, filled_on).encode())


def expected_fill_text(fill: ExpectedFill, unit_id: str, filled_on: date) -> str:
    """Return the reference row of one refill as CSV.

    Parameters
    ----------
    fill, unit_id, filled_on
        As for `write_expected_fill`.
    """
    row = {
        "Sample No": f"expected {filled_on:%Y-%m-%d}",
        "Unit ID": unit_id,
        "Date Sampled": f"{filled_on:%Y-%m-%d}",
        "Sample Type": EXPECTED_FILL,
        "Material": "coolant",
        "Technology": fill.technology or "",
        "Glycol Type": (fill.glycol_type or "").replace("_", " "),
        **{_title(column): _cell(level) for column, level in fill.levels.items()},
    }
    return safe_csv(pd.DataFrame([row]))


def _title(column: ReadingColumn) -> str:
    known = analyte_of(column.analyte)
    basis = known.basis(column.basis) if known.bases else None
    unit = known.unit if basis is None or not basis.unit else basis.unit
    usual = basis is None or basis == known.bases[0]
    return f"{known.title} ({unit})" if usual or basis is None else (
        f"{known.title} {basis.words[0]} ({unit})"
    )  # fmt: skip


def _cell(level: Estimate) -> str:
    low, high = (float(f"{float(end):.{_DIGITS}g}") for end in (level.lower, level.upper))
    if high == low:
        return f"{high:.10g}"
    return f"<{high:.10g}" if low == 0.0 else f"{low:.10g}-{high:.10g}"
