"""Samples of every fill in the order of their age: the one before, sums so far, first and last."""

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.trend_rows import TrendRows

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Integers = npt.NDArray[np.int64]


def previous_samples(rows: TrendRows, known: Bools) -> Integers:
    """Return the sample before each in its fill, -1 where there is none."""
    order = in_order(rows, known)
    previous = np.full(len(known), -1, dtype=np.int64)
    group = rows.fills.group[order]
    follows = group[1:] == group[:-1]
    previous[order[1:][follows]] = order[:-1][follows]
    return previous


def in_order(rows: TrendRows, known: Bools) -> Integers:
    """Return the rows of some samples, fill by fill, each along its axis."""
    here = np.flatnonzero(known)
    return here[np.lexsort((rows.usage.age[here], rows.fills.group[here]))]


def running_sums(steps: Floats, rows: TrendRows) -> Floats:
    """Add up steps along every fill."""
    order = in_order(rows, rows.usable)
    total = np.cumsum(steps[order])
    group = rows.fills.group[order]
    starts = np.flatnonzero(np.diff(group, prepend=-1))
    before = np.append(0.0, total)[starts]
    answer = np.zeros(len(steps))
    answer[order] = total - np.repeat(before, np.diff(np.append(starts, order.size)))
    return answer


def first_and_last(rows: TrendRows, mask: Bools) -> tuple[Integers, Integers]:
    """Return the first and the last sample of each fill among some."""
    order = in_order(rows, mask)
    group = rows.fills.group[order]
    begins = np.r_[True, group[1:] != group[:-1]]
    return order[begins], order[np.r_[begins[1:], True]]
