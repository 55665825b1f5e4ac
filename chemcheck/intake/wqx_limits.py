"""Detection limits that the WQX layout keeps in a file of their own, beside the results."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
import pyarrow as pa

from chemcheck.errors import IntakeError, Problem
from chemcheck.intake.table import TextTable
from chemcheck.intake.word_lists import word_list
from chemcheck.readings.record import FileRead

LAYOUT = "wqx limits"


@dataclass(frozen=True, slots=True)
class Limits:
    """The detection limits of one file.

    Parameters
    ----------
    table : TextTable
        The file.
    of_result : DataFrame
        ``limit`` and ``unit`` as text, by the identifier of the result.
    """

    table: TextTable
    of_result: pd.DataFrame


def limit_columns(titles: Sequence[str]) -> Mapping[str, int] | None:
    """Return where the columns of a file of detection limits stand.

    Parameters
    ----------
    titles : sequence of str
        A file's header.

    Returns
    -------
    mapping of str to int, or None
        None where the file is none, as where it holds results.

    Examples
    --------
    >>> measure = "DetectionQuantitationLimitMeasure"
    >>> titles = ["ResultIdentifier", f"{measure}/MeasureValue", f"{measure}/MeasureUnitCode"]
    >>> limit_columns(titles)["limit"], limit_columns([*titles, "ResultMeasureValue"])
    (1, None)
    """
    columns = word_list("wqx")["columns"]
    places = {title.strip(): place for place, title in reversed([*enumerate(titles)])}
    found = {
        name: next((places[one] for one in columns[name] if one in places), None)
        for name in ("result", "limit", "limit_unit", "value")
    }
    if found["value"] is not None or found["result"] is None or found["limit"] is None:
        return None
    return {name: place for name, place in found.items() if place is not None}


def read_limits(table: TextTable, places: Mapping[str, int]) -> Limits:
    """Read a file of detection limits.

    Parameters
    ----------
    table : TextTable
        The file.
    places : mapping of str to int
        From `limit_columns`.
    """
    texts = {
        name: pd.Series(table.text(places[name]).to_pylist(), dtype="str").str.strip()
        for name in ("result", "limit", "limit_unit")
        if name in places
    }
    frame = pd.DataFrame(texts)
    frame = frame[(frame["result"] != "") & (frame["limit"] != "")]
    return Limits(table, frame.drop_duplicates("result").set_index("result"))


def with_limits(table: TextTable, files: Sequence[Limits]) -> tuple[TextTable, int]:
    """Bring limits of other files into a table of results that states none of its own.

    Parameters
    ----------
    table : TextTable
        Results.
    files : sequence of Limits
        The limits; of two of one result the first counts.

    Returns
    -------
    table : TextTable
        With columns of limits and their units where there were none.
    found : int
        How many results got one.
    """
    columns, header = word_list("wqx")["columns"], [t.strip() for t in table.layout.header]
    result = next((header.index(name) for name in columns["result"] if name in header), None)
    if not files or result is None:
        return table, 0
    limits = pd.concat([one.of_result for one in files])
    limits = limits[~limits.index.duplicated()]
    own = pd.Index(table.text(result).to_pylist()).str.strip()
    place = limits.index.get_indexer(own)
    missing = place < 0
    cells = table.cells
    for name in ("limit", "limit_unit"):
        if name not in limits.columns:
            continue
        found = np.append(limits[name].to_numpy(dtype=object), "")[place]
        at = next((header.index(one) for one in columns[name] if one in header), None)
        if at is None:
            header.append(columns[name][0])
            filled = np.where(missing, "", found)
            cells = cells.append_column(str(len(header) - 1), pa.array(filled, pa.string()))
            continue
        stated = np.array(table.text(at).to_pylist(), dtype=object)
        if name == "limit":
            missing |= np.array([bool(text.strip()) for text in stated])
        filled = np.where(missing, stated, found)
        cells = cells.set_column(at, cells.column_names[at], pa.array(filled, pa.string()))
    layout = replace(table.layout, header=tuple(header))
    return replace(table, cells=cells, layout=layout), int((~missing).sum())


def file_read(limits: Limits, used: int) -> FileRead:
    """Say how a file of limits was read: none of its rows is a result."""
    count = f"{len(limits.of_result):,} detection limits of results, no results"
    return FileRead(
        limits.table.name, LAYOUT, f"{limits.table.found}; {count}; {used:,} used", 0, 0
    )


def no_results(limits: Sequence[Limits]) -> IntakeError:
    """Say that limits alone are nothing to judge."""
    problem = "detection limits without the results they are of; name the file of results as well"
    return IntakeError(
        [Problem(one.table.name, one.table.layout.header_row, None, "", problem) for one in limits]
    )
