"""Small tables as CSV in which no text becomes a formula."""

import pandas as pd
import pyarrow as pa

from chemcheck.reports.spreadsheet_safe import without_formulas


def safe_csv(table: pd.DataFrame) -> str:
    r"""Write a table so that no text of it becomes a formula in a spreadsheet.

    Parameters
    ----------
    table : DataFrame
        Numbers, dates and texts.

    Returns
    -------
    str
        Lines that end in a line feed; dates as year-month-day.

    Examples
    --------
    >>> safe_csv(pd.DataFrame({"group": ["a", "b"], "fills": [1, 2]}))
    'group,fills\na,1\nb,2\n'
    >>> safe_csv(pd.concat([pd.DataFrame({"a": ["=1"]})] * 2))
    "a\n'=1\n'=1\n"
    """
    safe = table.copy()
    for name in table.columns:
        if not pd.api.types.is_numeric_dtype(table[name]) and not pd.api.types.is_datetime64_dtype(
            table[name]
        ):
            texts = pa.array(table[name].astype("str"), type=pa.large_string(), from_pandas=True)
            # A table put together from others holds its texts in pieces.
            whole = texts.combine_chunks() if isinstance(texts, pa.ChunkedArray) else texts
            safe[name] = without_formulas(whole).to_pandas()
    return safe.to_csv(index=False, lineterminator="\n", date_format="%Y-%m-%d")
