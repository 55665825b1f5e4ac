"""Rows of oil, fuel and other things that are neither water nor coolant."""

from dataclasses import replace
from functools import cache

import numpy as np
import pyarrow as pa

from chemcheck.analytes import plain_name
from chemcheck.errors import shorten
from chemcheck.intake.column_plan import Column
from chemcheck.intake.set_aside import Lines
from chemcheck.intake.table import TextTable
from chemcheck.intake.word_lists import word_list


def is_other_fluid(text: str) -> bool:
    """Say whether a text names what is neither water nor coolant.

    Examples
    --------
    >>> is_other_fluid("Engine Oil"), is_other_fluid("engine coolant")
    (True, False)
    """
    return plain_name(text) in _other_fluids()


@cache
def _other_fluids() -> frozenset[str]:
    return frozenset(plain_name(str(word)) for word in word_list("sample_words")["other_fluids"])


def without_other_fluids(
    table: TextTable, *columns: Column | None
) -> tuple[TextTable, list[Lines]]:
    """Take out the rows of what is neither water nor coolant.

    Parameters
    ----------
    table : TextTable
        The file.
    columns : Column or None
        Those that say what each row is of.

    Returns
    -------
    table : TextTable
        The other rows.
    lines : list of Lines
        One for each column that named such rows.
    """
    lines = []
    for column in columns:
        if column is None:
            continue
        texts, codes = table.coded(column.place)
        other = np.array([is_other_fluid(text or "") for text in texts.to_pylist()], dtype=bool)
        here = other[codes] if other.any() else other[:0]
        if not here.any():
            continue
        rows = np.flatnonzero(here)
        said = [f"{shorten(text or '')} is neither water nor coolant" for text in texts.to_pylist()]
        chosen = pa.array(codes[rows])
        told = pa.array(said, pa.string()).take(chosen)
        lines.append(Lines(None, table.row[rows], texts.take(chosen).cast(pa.string()), told))
        table = replace(table, cells=table.cells.filter(pa.array(~here)), row=table.row[~here])
    return table, lines
