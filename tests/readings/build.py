"""Readings from a few columns, for tests of what works on readings."""

import numpy as np
import pandas as pd

from chemcheck.readings.record import (
    ASSUMPTION_COLUMNS,
    BLANK,
    DUPLICATE_COLUMNS,
    PROBLEM_COLUMNS,
    QUESTION_COLUMNS,
    READ,
    SAMPLE_COLUMNS,
    Coded,
    FileRead,
    ReadingColumn,
    Readings,
)

_TEXT = (
    "file", "sample_id", "unit_id", "material", "technology", "glycol_type", "sample_type",
    "sampling_point",
)  # fmt: skip
_USUAL = {"file": "a.csv", "material": "coolant", "sample_type": "routine"}


def samples_of(n: int, given) -> pd.DataFrame:
    """Complete a table of samples with what is usual."""
    columns = {}
    for name in SAMPLE_COLUMNS:
        if name in given:
            column = pd.Series(given[name])
            column = pd.Series([given[name]] * n) if np.isscalar(given[name]) else column
        elif name == "row":
            column = pd.Series(np.arange(2, n + 2))
        elif name in _TEXT:
            column = pd.Series([_USUAL.get(name)] * n)
        elif name == "taken_on":
            column = pd.Series([pd.NaT] * n)
        else:
            column = pd.Series(np.full(n, np.nan))
        if name in _TEXT:
            column = column.astype("str")
        if name == "taken_on":
            column = pd.to_datetime(column, format="ISO8601").astype("datetime64[us]")
        columns[name] = column.reset_index(drop=True)
    free = {name: pd.Series(given[name], dtype="str") for name in given if name not in columns}
    return pd.DataFrame(columns | free)


def readings_of(samples, columns, lower, upper=None, **coded) -> Readings:
    """Build readings; NaN is a blank, and a column is an analyte or a ReadingColumn."""
    lower = np.asfortranarray(lower, dtype=float)
    upper = lower if upper is None else np.asfortranarray(upper, dtype=float)
    n = len(lower)
    nobody = Coded(np.broadcast_to(np.int16(-1), lower.shape), ())
    return Readings(
        samples=samples_of(n, samples),
        columns=tuple(c if isinstance(c, ReadingColumn) else ReadingColumn(c) for c in columns),
        lower=lower,
        upper=upper,
        status=np.where(np.isnan(lower), BLANK, READ).astype(np.int8, order="F"),
        shared_factor=np.broadcast_to(np.float32(1), lower.shape),
        method=coded.get("method", nobody),
        laboratory=coded.get("laboratory", nobody),
        lot=coded.get("lot", nobody),
        files=(FileRead("a.csv", "wide", "", n, 0),),
        rejected=pd.DataFrame(columns=list(PROBLEM_COLUMNS)),
        questions=pd.DataFrame(columns=list(QUESTION_COLUMNS)),
        duplicates=pd.DataFrame(columns=list(DUPLICATE_COLUMNS)),
        assumptions=pd.DataFrame(columns=list(ASSUMPTION_COLUMNS)),
    )


def coded(names, codes, width: int) -> Coded:
    """Code one text a sample for all columns."""
    column = np.asarray(codes, dtype=np.int16)[:, None]
    return Coded(np.broadcast_to(column, (len(column), width)), tuple(names))
