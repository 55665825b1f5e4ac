"""Names of the results in some state, as one text a sample."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.judging.record import Judged

# So many names fit in the bits of one word.
_WORD = 62
SEPARATOR = "; "


def names_in_state(judged: Judged, state: np.int8) -> tuple[npt.NDArray[np.int32], list[str]]:
    """List, for each sample, the quantities in one state.

    Parameters
    ----------
    judged : Judged
        All samples.
    state : int8
        The state.

    Returns
    -------
    codes : ndarray of int32, shape (n_samples,)
        Position of each sample's list.
    texts : list of str
        The distinct lists: keys, separated by semicolons; empty where there is none.
    """
    columns = [judged.state[:, j] == state for j in range(len(judged.quantities))]
    return name_lists(
        columns, [quantity.key for quantity in judged.quantities], judged.verdict.size
    )


def name_lists(
    columns: Sequence[npt.NDArray[np.bool_]], names: Sequence[str], n: int
) -> tuple[npt.NDArray[np.int32], list[str]]:
    """List, for each row, the names of the columns that are true.

    Parameters
    ----------
    columns : sequence of ndarray of bool, shape (n,)
        One a name.
    names : sequence of str
        Their names; a name that stands twice is listed once.
    n : int
        How many rows.

    Returns
    -------
    codes : ndarray of int32, shape (n,)
        Position of each row's list.
    texts : list of str
        The distinct lists.

    Examples
    --------
    >>> iron, lead = np.array([True, False, True]), np.array([True, False, False])
    >>> codes, texts = name_lists([iron, lead], ["iron", "lead"], 3)
    >>> [texts[code] for code in codes]
    ['iron; lead', '', 'iron']
    """
    codes = np.zeros(n, dtype=np.int64)
    lists: list[tuple[str, ...]] = [()]
    for start in range(0, len(columns), _WORD):
        bits = columns[start : start + _WORD]
        smallest = np.min_scalar_type((1 << len(bits)) - 1)  # less memory to go through
        word = np.zeros(n, dtype=smallest)
        for bit, column in enumerate(bits):
            word |= column.astype(smallest) << smallest.type(bit)
        inner, words = pd.factorize(word)
        if start == 0:
            codes, pairs = inner, np.arange(len(words))
        else:
            codes, pairs = pd.factorize(codes * len(words) + inner)
        lists = [
            lists[pair // len(words)] + _names(int(words[pair % len(words)]), names[start:])
            for pair in pairs
        ]
    texts = [SEPARATOR.join(dict.fromkeys(listed)) for listed in lists]
    return codes.astype(np.int32), texts


def _names(word: int, names: Sequence[str]) -> tuple[str, ...]:
    """Return the names whose bits are set."""
    return tuple(names[bit] for bit in range(word.bit_length()) if word >> bit & 1)
