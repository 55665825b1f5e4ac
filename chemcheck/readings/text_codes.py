"""The distinct texts of a column, and which of them each row has."""

from collections import OrderedDict
from threading import Lock
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

Codes = npt.NDArray[np.int64]

# A check asks for the same few columns of a batch again and again: the last answers are kept,
# each with its texts, so that their identity cannot pass to others.
_KEPT = 6
_LONG = 50_000
_memory: OrderedDict[int, tuple[Any, Codes, tuple[str, ...]]] = OrderedDict()
_lock = Lock()


def text_codes(column: pd.Series) -> tuple[Codes, tuple[str, ...]]:
    """Return the position of each text among the distinct ones, -1 where there is none.

    Parameters
    ----------
    column : Series, shape (n,)
        Text, categorical or not.

    Returns
    -------
    codes : ndarray of int64, shape (n,)
        Positions; not to be written to.
    names : tuple of str
        The distinct texts, in the order they come.

    Examples
    --------
    >>> text_codes(pd.Series(["hybrid", None, "hybrid"]))
    (array([ 0, -1,  0]), ('hybrid',))
    """
    if isinstance(column.dtype, pd.CategoricalDtype):
        codes = np.asarray(column.cat.codes, dtype=np.int64)
        return codes, tuple(map(str, column.cat.categories))
    texts = _texts_behind(column)
    if texts is None:
        return _factorized(column)
    with _lock:
        kept = _memory.get(id(texts))
    if kept is not None:
        return kept[1], kept[2]
    codes, names = _factorized(column)
    codes.flags.writeable = False
    with _lock:
        _memory[id(texts)] = (texts, codes, names)
        while len(_memory) > _KEPT:
            _memory.popitem(last=False)
    return codes, names


def _texts_behind(column: pd.Series) -> Any:
    """Return what a long column's texts are kept in: it never changes, and two views share it."""
    if len(column) < _LONG or not hasattr(column.array, "__arrow_array__"):
        return None
    return column.array.__arrow_array__()


def _factorized(column: pd.Series) -> tuple[Codes, tuple[str, ...]]:
    places, texts = pd.factorize(column)
    # Out of an array of objects texts come far quicker than one by one out of their store.
    names = np.asarray(texts, dtype=object).tolist()
    return np.asarray(places, dtype=np.int64), tuple(map(str, names))
