"""Questions about readings: what is possible but unusual, asked of the user in one line."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.readings.record import QUESTION_COLUMNS

_TYPES = {name: "Int64" if name == "row" else "str" for name in QUESTION_COLUMNS}


def ask(
    samples: pd.DataFrame,
    rows: npt.NDArray[np.integer],
    columns: str | Sequence[str],
    texts: Sequence[str],
    questions: str | Sequence[str],
) -> pd.DataFrame:
    """Write one question for each of some samples.

    Parameters
    ----------
    samples : DataFrame, n_samples rows
        With ``file`` and ``row``.
    rows : ndarray of int, shape (n,)
        Positions of the samples in question.
    columns, texts, questions : str or sequence of str
        The column that each is about, what was found there, and what is asked; one text
        stands for all.

    Returns
    -------
    DataFrame
        ``QUESTION_COLUMNS``.

    Examples
    --------
    >>> samples = pd.DataFrame({"file": ["a.csv"], "row": [7]})
    >>> ask(samples, np.array([0]), "glycol", ["0.5"], "a fraction?").values.tolist()
    [['a.csv', 7, 'glycol', '0.5', 'a fraction?']]
    """
    at = samples.iloc[rows]
    table = pd.DataFrame(
        {
            "file": at["file"].to_numpy(),
            "row": at["row"].to_numpy(),
            "column": columns if isinstance(columns, str) else list(columns),
            "text": list(texts),
            "question": questions if isinstance(questions, str) else list(questions),
        },
        columns=list(QUESTION_COLUMNS),
    )
    return table.astype(_TYPES)


def no_questions() -> pd.DataFrame:
    """Return a table of no questions."""
    return pd.DataFrame(columns=list(QUESTION_COLUMNS)).astype(_TYPES)


def join_questions(tables: Sequence[pd.DataFrame]) -> pd.DataFrame:
    """Put questions together, in the order of the files and their rows.

    Parameters
    ----------
    tables : sequence of DataFrame
        Each with ``QUESTION_COLUMNS``.

    Returns
    -------
    DataFrame
        Without repetitions. The files keep the order in which they first appear.
    """
    filled = [table for table in tables if len(table)]
    if not filled:
        return no_questions()
    if len(filled) == 1:
        return filled[0].reset_index(drop=True)
    table = pd.concat(filled, ignore_index=True).drop_duplicates(ignore_index=True)
    file = pd.factorize(table["file"])[0]
    row = table["row"].to_numpy(dtype=np.int64, na_value=0)
    return table.take(np.lexsort((row, file))).reset_index(drop=True)


def interval_text(lower: float, upper: float, unit: str = "") -> str:
    """Write a reading as a person would: one number, a range, ``<`` or ``>``.

    Parameters
    ----------
    lower, upper : float
        The ends.
    unit : str
        Put behind it.

    Examples
    --------
    >>> interval_text(7.8, 7.8), interval_text(0.0, 0.5, "mg/L"), interval_text(300, np.inf)
    ('7.8', '<0.5 mg/L', '>300')
    """
    if np.isinf(upper):
        text = f">{lower:.4g}"
    elif lower == upper:
        text = f"{lower:.4g}"
    elif lower == 0:
        text = f"<{upper:.4g}"
    else:
        text = f"{lower:.4g} to {upper:.4g}"
    return f"{text} {unit}" if unit and unit not in ("pH", "1", "rank") else text
