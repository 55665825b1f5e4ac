"""Ditto marks: what stands above is meant again."""

from collections.abc import Iterable
from functools import cache

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.errors import Problem
from chemcheck.intake.characters import plain
from chemcheck.intake.word_lists import word_list

_Codes = npt.NDArray[np.int32]
_Mask = npt.NDArray[np.bool_]


def is_ditto(text: str) -> bool:
    """Say whether a cell stands for the one above it.

    Examples
    --------
    >>> is_ditto('"'), is_ditto("Do."), is_ditto("dose")
    (True, True, False)
    """
    return plain(text).casefold() in _marks()


@cache
def _marks() -> frozenset[str]:
    return frozenset(
        plain(str(word)).casefold() for word in word_list("cell_words")["ditto"]["marks"]
    )


def ditto_texts(texts: pa.Array) -> _Mask:
    """Say which distinct texts are ditto marks; only short texts are looked at.

    Parameters
    ----------
    texts : pyarrow string array, shape (n,)
        Distinct texts.
    """
    longest = max(map(len, _marks())) + 2  # with spaces around
    short = pc.and_(
        pc.less_equal(pc.binary_length(texts), 4 * longest),
        pc.invert(pc.match_substring_regex(texts, r"\d")),
    )
    found = np.asarray(pc.fill_null(short, False), dtype=bool).copy()
    for place in np.flatnonzero(found).tolist():
        found[place] = is_ditto(texts[place].as_py())
    return found


def blocks(row: npt.NDArray[np.int64], rejected: Iterable[Problem]) -> npt.NDArray[np.int64]:
    """Give each run of rows between which none was set aside a number.

    A mark below a row that was set aside stands for nothing that is known.

    Examples
    --------
    >>> cut = [Problem("a.csv", 4, None, "", "cut short")]
    >>> blocks(np.array([2, 3, 5, 9]), cut).tolist()
    [0, 0, 1, 1]
    """
    gone = np.sort(np.array([problem.row or 0 for problem in rejected], dtype=np.int64))
    return np.searchsorted(gone, row)


def filled(codes: _Codes, ditto: _Mask, empty: _Mask, block: npt.NDArray[np.int64]) -> _Codes:
    """Put the text above in place of ditto marks.

    Parameters
    ----------
    codes : ndarray of int32, shape (n_rows,)
        Which of the distinct texts each row has.
    ditto, empty : ndarray of bool, shape (n,)
        Which of the distinct texts are ditto marks, and which are empty.
    block : ndarray of int64, shape (n_rows,)
        From `blocks`.

    Returns
    -------
    ndarray of int32, shape (n_rows,)
        A mark with nothing above it stays.

    Examples
    --------
    >>> codes = np.array([0, 1, 1, 2, 1], dtype=np.int32)
    >>> ditto, empty = np.array([False, True, False]), np.array([False, False, True])
    >>> filled(codes, ditto, empty, np.zeros(5, dtype=np.int64)).tolist()
    [0, 0, 0, 2, 1]
    """
    rows = np.arange(len(codes))
    marked = ditto[codes]
    source = np.maximum.accumulate(np.where(marked, -1, rows))
    good = marked & (source >= 0)
    good[good] = (block[source[good]] == block[good]) & ~empty[codes[source[good]]]
    answer = codes.copy()
    answer[good] = codes[source[good]]
    return answer
