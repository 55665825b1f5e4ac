"""Tables with a row for each analyte and a column for each sample."""

from dataclasses import replace

import numpy as np
import pyarrow as pa

from chemcheck.intake.choices import Choices
from chemcheck.intake.headers import read_header
from chemcheck.intake.long_columns import long_role
from chemcheck.intake.table import TextTable

TRANSPOSED = "transposed"
_SAID = "analytes down and samples across: a row named here is a column of the file, A counted as 1"
_SAMPLE = "Sample No"
# Fewer analytes may be a coincidence; more rows than this are samples.
_LEAST, _MOST = 2, 2000


def as_rows_of_samples(table: TextTable, choices: Choices) -> TextTable:
    """Turn a table over that has its analytes below each other and its samples side by side.

    Parameters
    ----------
    table : TextTable
        The file.
    choices : Choices
        What the user settled; a layout stated comes first.

    Returns
    -------
    TextTable
        A row for each sample, with the number of its column in place of that of a row. The
        same table where it is laid out another way: where any title is an analyte's, most
        names in the first column are none, or columns beside the results say more of them
        than their unit.
    """
    titles = table.layout.header
    places = range(1, len(titles))
    units = [place for place in places if long_role(titles[place]) == "unit"]
    samples = [place for place in places if place not in units]
    if not _is_turned(table, choices, units, samples):
        return table
    names = [text or "" for text in table.text(0).to_pylist()]
    if units:
        of_unit = [(text or "").strip() for text in table.text(units[0]).to_pylist()]
        names = [
            f"{name} ({unit})" if unit else name for name, unit in zip(names, of_unit, strict=True)
        ]
    first = titles[0] if read_header(titles[0]).role is not None else _SAMPLE
    columns = [[titles[place] or f"column {place + 1}" for place in samples]]
    cells = [table.text(place).to_pylist() for place in samples]
    columns += [list(row) for row in zip(*cells, strict=True)]
    return replace(
        table,
        layout=replace(table.layout, header=(first, *names)),
        cells=pa.table({str(k): pa.array(column, pa.string()) for k, column in enumerate(columns)}),
        row=np.array([place + 1 for place in samples], dtype=np.int64),
        part="; ".join(filter(None, [table.part, _SAID])),
        transposed=True,
    )


def _is_turned(table: TextTable, choices: Choices, units: list[int], samples: list[int]) -> bool:
    """Say whether analytes stand in the rows of a table, and nothing but results beside them."""
    titles = table.layout.header
    if choices.layout not in (None, TRANSPOSED) or not samples or len(units) > 1:
        return False
    if not _LEAST <= len(table.row) <= _MOST:
        return False
    if any(_says_more(titles[place], choices) for place in samples):
        return False
    names = [text.strip() for text in table.text(0).to_pylist() if text and text.strip()]
    known = sum(_is_analyte(name, choices) for name in names)
    return known >= _LEAST and (choices.layout == TRANSPOSED or 2 * known > len(names))


def _is_analyte(title: str, choices: Choices) -> bool:
    choice = choices.of_title(title)
    return read_header(title).analyte is not None or (
        choice is not None and choice.analyte is not None
    )


def _says_more(title: str, choices: Choices) -> bool:
    """Say whether a column is no sample: its title is known, or part of a long table's."""
    if choices.of_title(title) is not None or long_role(title) is not None:
        return True
    return bool(title) and read_header(title).known
