"""Readings made of intervals that were reckoned, so that they are judged as any others."""

from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.readings.record import (
    ABSENT,
    ASSUMPTION_COLUMNS,
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

LAYOUT = "reckoned"
_NUMBERS = ("hours", "distance", "days")


def readings_of_intervals(
    names: Sequence[str],
    ends: Mapping[ReadingColumn, tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]],
    *,
    file: str,
    material: str = "water",
    methods: Sequence[str | None] | None = None,
) -> Readings:
    """Return readings of samples whose intervals are known.

    Parameters
    ----------
    names : sequence of str, n_samples
        The samples' names.
    ends : mapping of ReadingColumn to (ndarray, ndarray), each of shape (n_samples,)
        Lower and upper ends [the analyte's canonical unit]; NaN in both where there is none.
    file : str
        What stands where a file's name would.
    material : {"water", "coolant"}
        Of all samples.
    methods : sequence of str or None, optional
        How each sample was measured; the usual method of the material where nobody knows.

    Returns
    -------
    Readings
        As if read from a file without mistakes.

    Examples
    --------
    >>> chloride = ReadingColumn("chloride"), (np.array([39.3]), np.array([40.0]))
    >>> blend = readings_of_intervals(["blend"], dict([chloride]), file="blend")
    >>> float(blend.upper[0, 0])
    40.0
    """
    n, columns = len(names), tuple(ends)
    lower = np.full((n, len(columns)), np.nan, order="F")
    upper = lower.copy(order="F")
    for place, (low, high) in enumerate(ends.values()):
        lower[:, place], upper[:, place] = low, high
    status = np.where(np.isnan(lower), ABSENT, READ)
    known = tuple(dict.fromkeys(name for name in methods or () if name))
    codes = np.array(
        [-1 if name is None else known.index(name) for name in methods or [None] * n],
        dtype=np.int16,
    )
    unknown = Coded(np.full((n, len(columns)), -1, dtype=np.int16, order="F"), ())
    return Readings(
        samples=_samples(names, file, material),
        columns=columns,
        lower=lower,
        upper=upper,
        status=np.asfortranarray(status),
        shared_factor=np.broadcast_to(np.float32(1), lower.shape),
        method=Coded(np.broadcast_to(codes[:, np.newaxis], lower.shape), known),
        laboratory=unknown,
        lot=unknown,
        files=(FileRead(file, LAYOUT, "as given", n, 0),),
        rejected=pd.DataFrame(columns=list(PROBLEM_COLUMNS)),
        questions=pd.DataFrame(columns=list(QUESTION_COLUMNS)),
        duplicates=pd.DataFrame(columns=list(DUPLICATE_COLUMNS)),
        assumptions=pd.DataFrame(columns=list(ASSUMPTION_COLUMNS)),
    )


def _samples(names: Sequence[str], file: str, material: str) -> pd.DataFrame:
    table = pd.DataFrame(
        {
            **dict.fromkeys(SAMPLE_COLUMNS),
            "file": file,
            "row": np.arange(1, len(names) + 1),
            "sample_id": list(names),
            "taken_on": pd.NaT,
            "material": material,
            "sample_type": "routine",
            **dict.fromkeys(_NUMBERS, np.nan),
        },
        index=range(len(names)),
    )
    table["taken_on"] = pd.to_datetime(table["taken_on"])
    text = [name for name in SAMPLE_COLUMNS if name not in (*_NUMBERS, "row", "taken_on")]
    return table.astype(dict.fromkeys(text, "str"))
