"""Long texts put together from few distinct pieces, without a loop over rows.

A row of a file is a sequence of pieces: what is the same for a sample, for an analyte, for a
bound, for a number. Each piece stands once in a table; a row is a sequence of positions.
Taking all pieces of all rows in one step leaves the file's text in one buffer.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

# Digits kept of a number: what unit conversion adds behind them is noise.
SIGNIFICANT = 10
# A standard uncertainty is never known better than this.
U_DIGITS = 4


@dataclass(frozen=True, slots=True)
class Pieces:
    """One piece of every row.

    Parameters
    ----------
    table : pyarrow large_string array
        The distinct texts.
    code : ndarray of int, shape (n,)
        Position of each row's text.
    """

    table: pa.LargeStringArray
    code: npt.NDArray[np.integer]

    def __len__(self) -> int:
        """Return the number of rows."""
        return self.code.size


def of_texts(texts: Sequence[str], code: npt.NDArray[np.integer]) -> Pieces:
    """Return pieces from a short list of texts; code -1 is the last of them."""
    table = pa.array(texts, pa.large_string())
    return Pieces(table, np.where(code < 0, code + len(texts), code))


def each_row(table: pa.Array) -> Pieces:
    """Return pieces that differ from row to row."""
    return Pieces(table, np.arange(len(table), dtype=np.int32))


def joined_rows(pieces: Sequence[Pieces]) -> pa.LargeStringArray:
    """Join the pieces of every row.

    Parameters
    ----------
    pieces : sequence of Pieces, each of n rows
        In their order.

    Returns
    -------
    pyarrow large_string array, shape (n,)
        Its data buffer holds all rows one after another.

    Examples
    --------
    >>> pieces = [of_texts(["a", "b"], np.array([0, 1, 1])), of_texts(["!"], np.zeros(3, int))]
    >>> joined_rows(pieces).to_pylist()
    ['a!', 'b!', 'b!']
    """
    n, width = len(pieces[0]), len(pieces)
    places = np.empty((n, width), dtype=np.int64)
    start = 0
    for k, piece in enumerate(pieces):
        np.add(piece.code, np.int64(start), out=places[:, k])
        start += len(piece.table)
    table = pa.concat_arrays([piece.table for piece in pieces])
    taken = table.take(pa.array(places.ravel()))
    offsets = np.frombuffer(taken.buffers()[1], dtype=np.int64)[taken.offset :]
    ends = pa.py_buffer(np.ascontiguousarray(offsets[: n * width + 1 : width]))
    return pa.LargeStringArray.from_buffers(n, ends, taken.buffers()[2])


def text_of(rows: pa.LargeStringArray) -> memoryview:
    """Return all rows one after another, as bytes."""
    if not len(rows):
        return memoryview(b"")
    offsets = np.frombuffer(rows.buffers()[1], dtype=np.int64)
    first, last = offsets[rows.offset], offsets[rows.offset + len(rows)]
    return memoryview(rows.buffers()[2])[first:last]


def numbers(
    values: npt.NDArray[np.floating], missing: str, end: str, digits: int = SIGNIFICANT
) -> Pieces:
    """Write numbers, each distinct one once.

    Parameters
    ----------
    values : ndarray of float, shape (n,)
        NaN and infinity are written as ``missing``.
    missing : str
        What stands where there is no number.
    end : str
        What follows every number.
    digits : int
        Significant digits.

    Returns
    -------
    Pieces
        Without trailing zeros.

    Examples
    --------
    >>> pieces = numbers(np.array([308.12580000000003, np.nan, -34.0, np.inf]), "null", ",")
    >>> joined_rows([pieces]).to_pylist()
    ['308.1258,', 'null,', '-34,', 'null,']
    """
    code, distinct = pd.factorize(values, use_na_sentinel=False)
    distinct = np.asarray(distinct, dtype=np.float64)
    finite = np.isfinite(distinct)
    text = pc.cast(pa.array(rounded(np.where(finite, distinct, 0.0), digits)), pa.large_string())
    text = pc.if_else(pa.array(finite), text, pa.scalar(missing, pa.large_string()))
    return Pieces(with_end(text, end), code)


def whole_numbers(values: npt.NDArray[np.integer], end: str) -> Pieces:
    """Write whole numbers that mostly differ from row to row."""
    return each_row(with_end(pc.cast(pa.array(values), pa.large_string()), end))


def with_end(texts: pa.Array, end: str) -> pa.LargeStringArray:
    """Append the same text to all."""
    return concatenated(texts, end)


def concatenated(*parts: pa.Array | str) -> pa.LargeStringArray:
    """Put texts, or one text for all, together row by row.

    Examples
    --------
    >>> concatenated("<", pa.array(["a", "b"], pa.large_string()), ">").to_pylist()
    ['<a>', '<b>']
    """
    whole = [
        pa.scalar(part, pa.large_string()) if isinstance(part, str) else part for part in parts
    ]
    return pc.binary_join_element_wise(*whole, pa.scalar("", pa.large_string()))


def rounded(values: npt.NDArray[np.float64], digits: int) -> npt.NDArray[np.float64]:
    """Round to so many significant digits.

    Examples
    --------
    >>> rounded(np.array([0.1 + 0.2, 308.12580000000003, 0.0]), 10).tolist()
    [0.3, 308.1258, 0.0]
    """
    with np.errstate(divide="ignore"):
        magnitude = np.floor(np.log10(np.abs(values)))
    places = np.where(np.isfinite(magnitude), digits - 1 - magnitude, 0.0)
    # A power of ten is exact up to 1e22; beyond, the number is left as it is.
    plain = np.abs(places) <= 22
    scale = np.power(10.0, np.abs(np.where(plain, places, 0.0)))
    up = np.round(values * scale) / scale
    down = np.round(values / scale) * scale
    return np.where(plain, np.where(places >= 0, up, down), values)
