"""A finished fill's expected levels as a row that `check` reads back as a reference."""

from datetime import date
from pathlib import Path

import pandas as pd

from chemcheck.assessment.expected_fill import ExpectedFill
from chemcheck.assessment.reckoned_levels import level_cell, level_title
from chemcheck.readings.sample_types import EXPECTED_FILL
from chemcheck.reports.safe_tables import safe_csv
from chemcheck.reports.whole_files import whole_file


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
        **{level_title(column): level_cell(level) for column, level in fill.levels.items()},
    }
    return safe_csv(pd.DataFrame([row]))
