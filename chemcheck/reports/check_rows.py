"""Results and dates of a stretch of samples, ready to be written as pieces of text."""

import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa

from chemcheck.judging.record import INSIDE, NO_RESULT, Judged
from chemcheck.judging.result_values import result_values
from chemcheck.reports.text_pieces import Pieces

# So many samples are written at once, few enough for their text to stay in a cache; and of
# so many the distinct results are kept.
STRETCH = 1 << 13
BLOCK = 1 << 18

Places = npt.NDArray[np.int64]
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class StretchResults:
    """The results of a stretch of samples, sample by sample in the order of quantities.

    Parameters
    ----------
    sample : ndarray of int64, shape (m,)
        Position in the stretch of each result's sample, ascending.
    code : ndarray of int64, shape (m,)
        Position of each result among the distinct ones of its block.
    """

    sample: Places
    code: Places


@dataclass(frozen=True, slots=True)
class BlockResults:
    """The results of a block of samples, each distinct one once.

    Parameters
    ----------
    start : int
        The first sample.
    columns : tuple of (ndarray of int64, ndarray of int32)
        By quantity, which samples of the block have a result, and its position among the
        distinct ones.
    row, quantity : ndarray of int64, shape (k,)
        Sample and quantity of one result of each kind.

    Notes
    -----
    Laboratories report few digits, so that most results of a batch say the same as many
    others: the same reading, held against the same bound. What is written of a result is
    worked out once for each kind.
    """

    start: int
    columns: tuple[tuple[Places, npt.NDArray[np.int32]], ...]
    row: Places
    quantity: Places

    def of(self, rows: slice) -> StretchResults:
        """Return the results of a stretch of the block."""
        size = rows.stop - rows.start
        first = rows.start - self.start
        here = []
        count = np.zeros(size, dtype=np.int64)
        for at, code in self.columns:
            begin, end = np.searchsorted(at, (first, first + size))
            local = at[begin:end] - first
            count[local] += 1
            here.append((local, code[begin:end]))
        sample = np.repeat(np.arange(size), count)
        answer = np.empty(sample.size, dtype=np.int64)
        place = np.cumsum(count) - count  # where the next result of each sample goes
        for local, code in here:
            to = place[local]
            answer[to] = code
            place[local] = to + 1
        return StretchResults(sample, answer)


def block_results(judged: Judged, rows: slice, *, all_results: bool) -> BlockResults:
    """Gather the results of a block of samples.

    Parameters
    ----------
    judged : Judged
        All results.
    rows : slice
        The block.
    all_results : bool
        Whether results that are plainly inside are wanted too.
    """
    least = NO_RESULT if all_results else INSIDE

    def of_quantity(j: int) -> tuple[Places, Places, Places]:
        at = np.flatnonzero(judged.state[rows, j] > least)
        return (at, *_kinds(judged, at + rows.start, j))

    with ThreadPoolExecutor(_processors()) as pool:
        found = list(pool.map(of_quantity, range(len(judged.quantities))))
    columns, row, quantity, kinds = [], [], [], 0
    for j, (at, code, first) in enumerate(found):
        columns.append((at, (code + kinds).astype(np.int32)))
        row.append(at[first] + rows.start)
        quantity.append(np.full(first.size, j, dtype=np.int64))
        kinds += first.size
    return BlockResults(rows.start, tuple(columns), _joined(row), _joined(quantity))


def _joined(parts: list[Places]) -> Places:
    return np.concatenate(parts) if parts else np.zeros(0, dtype=np.int64)


def _kinds(judged: Judged, at: Places, quantity: int) -> tuple[Places, Places]:
    """Tell the results of a quantity apart by all that is written of them."""
    if quantity < len(judged.readings.columns):
        lower, upper = judged.readings.lower[at, quantity], judged.readings.upper[at, quantity]
    else:
        of_rule = result_values(judged, at, np.full(at.size, quantity, dtype=np.int64))
        lower, upper = of_rule.lower, of_rule.upper
    code, distinct = pd.factorize(lower, use_na_sentinel=False)
    kinds = (code.astype(np.int64), _first(code, len(distinct)))
    kinds = _refined(*kinds, upper)
    kinds = _refined(*kinds, judged.uncertainty[at, quantity])
    if judged.bound_value is not None:
        kinds = _refined(*kinds, judged.bound_value[at, quantity])
    decided = judged.decisive[at, quantity] * np.int64(8) + judged.state[at, quantity]
    return _refined(*kinds, decided)


def _refined(code: Places, first: Places, values: npt.NDArray[Any]) -> tuple[Places, Places]:
    """Divide kinds further by the values of something else, where it differs within one."""
    alike = values[first][code]
    if ((alike == values) | ((alike != alike) & (values != values))).all():
        return code, first
    inner, distinct = pd.factorize(values, use_na_sentinel=False)
    finer, kinds = pd.factorize(code * len(distinct) + inner)
    return finer.astype(np.int64), _first(finer, len(kinds))


def _first(code: npt.NDArray[np.integer], kinds: int) -> Places:
    """Return where one of each kind stands."""
    first = np.empty(kinds, dtype=np.int64)
    first[code] = np.arange(code.size)
    return first


_PROBABILITIES = tuple(f"{k / 10000:g}" for k in range(10001))


def probabilities(values: npt.NDArray[np.float64], missing: str, end: str) -> Pieces:
    """Write probabilities to four digits.

    Examples
    --------
    >>> pieces = probabilities(np.array([0.02275, 1.0, np.nan]), "", ",")
    >>> [pieces.table[code].as_py() for code in pieces.code]
    ['0.0228,', '1,', ',']
    """
    texts = [text + end for text in _PROBABILITIES]
    texts.append(missing + end)
    code = np.rint(np.nan_to_num(values, nan=1.0001) * 10000).astype(np.int64)
    return Pieces(pa.array(texts, pa.large_string()), code)


def dates(column: pd.Series, missing: str, start: str, end: str) -> Pieces:
    """Write dates, with the time of day where any has one.

    Parameters
    ----------
    column : Series of datetime64, shape (n,)
        NaT is written as ``missing``.
    missing, start, end : str
        What stands for no date; what precedes and follows a date.

    Examples
    --------
    >>> pieces = dates(pd.Series(pd.to_datetime(["2031-05-01", None])), "null", '"', '"')
    >>> [pieces.table[code].as_py() for code in pieces.code]
    ['"2031-05-01"', 'null']
    """
    moments = column.to_numpy().astype("datetime64[s]")
    code, distinct = pd.factorize(moments.view(np.int64), use_na_sentinel=False)
    days = np.asarray(distinct, dtype=np.int64).view("datetime64[s]")
    known = days[~np.isnat(days)]
    whole_days = (known == known.astype("datetime64[D]")).all()
    written = np.datetime_as_string(days.astype("datetime64[D]") if whole_days else days)
    texts = [missing if text == "NaT" else f"{start}{text}{end}" for text in written.tolist()]
    return Pieces(pa.array(texts, pa.large_string()), code)


def blocks(n: int) -> Iterator[slice]:
    """Yield blocks of so many samples; one that is empty where there is no sample."""
    for start in range(0, max(n, 1), BLOCK):
        yield slice(start, min(start + BLOCK, n))


def in_order(work: Callable[[slice], T], rows: slice) -> Iterator[T]:
    """Do some work on all stretches of some samples, and yield the answers in order.

    Whoever asks writes the answers meanwhile, and needs a processor too. Only a few answers
    wait at a time, so that memory does not grow with the samples.
    """
    workers = max(1, _processors() - 1)
    waiting: deque[Future[T]] = deque()
    with ThreadPoolExecutor(workers) as pool:
        for start in range(rows.start, rows.stop, STRETCH):
            stretch = slice(start, min(start + STRETCH, rows.stop))
            waiting.append(pool.submit(work, stretch))
            if len(waiting) > workers:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()


def _processors() -> int:
    return min(4, os.cpu_count() or 1)
