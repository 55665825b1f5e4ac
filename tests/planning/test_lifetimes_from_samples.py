"""From samples to intervals: every kind by hand, and brute force."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.planning import KINDS, PROBLEMS, lifetimes_from_samples

NAN, INF = np.nan, np.inf


def one(age, outside, planned=None):
    n = len(age)
    changed = None if planned is None else [planned] * n
    found = lifetimes_from_samples(age, outside, ["f"] * n, changed)
    if found.fill.size == 0:
        return PROBLEMS[found.problem[0]]
    return found.lower[0], found.upper[0], KINDS[found.kind[0]]


@pytest.mark.parametrize(
    ("age", "outside", "expected"),
    [
        ([250, 500, 750], [0, 0, 1], (500, 750, "between two samples")),
        ([750, 250, 500], [1, 0, 0], (500, 750, "between two samples")),
        ([250, 500], [0, 0], (500, INF, "still inside")),
        ([250, 500], [1, 1], (0, 250, "outside at first sample")),
        # Of two crossings the first counts.
        ([250, 500, 750, 1000], [0, 1, 0, 1], (250, 500, "between two samples")),
        # An undecided sample widens the interval.
        ([250, 500, 750], [0, NAN, 1], (250, 750, "between two samples")),
        ([250, 500, 750], [0, 0, NAN], (500, INF, "still inside")),
        # At one age outside wins.
        ([250, 250, 100], [0, 1, 0], (100, 250, "between two samples")),
        # A sample of the fresh fill says that it began inside.
        ([0, 300], [0, 1], (0, 300, "between two samples")),
        ([0], [0], (0, INF, "still inside")),
        ([NAN, 300, -5], [1, 0, 1], (300, INF, "still inside")),
        ([NAN, 300], [0, NAN], "no sample with an age and a state"),
        ([0, 300], [1, 1], "outside at age 0: when the fill began is not known"),
    ],
)
def test_every_kind(age, outside, expected):
    assert one(age, outside) == expected


@pytest.mark.parametrize(
    ("age", "outside", "planned", "expected"),
    [
        # Nobody looked between the last sample and the change.
        ([250, 500], [0, 0], 600, (500, INF, "planned change")),
        ([250, 500], [0, 1], 600, (250, 500, "between two samples")),
        # What is sampled after the change is of the next fill.
        ([250, 700], [0, 1], 600, (250, INF, "planned change")),
        ([700], [0], 600, "no sample with an age and a state"),
        ([250], [0], NAN, (250, INF, "still inside")),
    ],
)
def test_planned_changes(age, outside, planned, expected):
    assert one(age, outside, planned) == expected


def test_fills_are_told_apart_and_counted():
    found = lifetimes_from_samples(
        [100, 100, 200, NAN, 300, 0],
        [0, 1, 1, 0, NAN, 1],
        ["b", "a", "b", "b", "c", "d"],
    )
    assert found.fill.tolist() == ["a", "b"]
    assert found.lower.tolist() == [0.0, 100.0]
    assert found.upper.tolist() == [100.0, 200.0]
    assert found.set_aside.tolist() == ["c", "d"]
    assert found.problem.tolist() == [0, 1]
    assert found.samples_not_used == 2


def by_hand(samples):
    """One fill's interval, sample by sample."""
    last, first = 0.0, INF
    for age, outside in sorted(samples, key=lambda sample: (sample[0], -sample[1])):
        if outside:
            first = age
            break
        last = age
    return last, first


@given(
    st.lists(
        st.tuples(st.integers(0, 4), st.integers(1, 20), st.booleans()), min_size=1, max_size=60
    )
)
@settings(max_examples=60, deadline=None)
def test_as_sample_by_sample(rows):
    fill, age, outside = (np.array(column) for column in zip(*rows, strict=True))
    found = lifetimes_from_samples(age, outside, fill)
    for place, label in enumerate(found.fill):
        mine = [(float(a), bool(o)) for f, a, o in rows if f == label]
        assert (found.lower[place], found.upper[place]) == by_hand(mine)
    assert set(found.fill) == set(fill)


def test_no_samples_no_lifetimes():
    found = lifetimes_from_samples([], [], [])
    assert found.fill.size == found.set_aside.size == found.samples_not_used == 0


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (([1.0, 2.0], [0], [1, 1]), "equal length"),
        (([1.0, 2.0], [0, 1], [1]), "fill: 1 labels: expected one for each of 2"),
        (([1.0], [0.5], [1]), "sample 0: 0.5: expected 1 outside, 0 inside or NaN"),
        (([1.0], [0], [1], [1.0, 2.0]), "equal length"),
    ],
)
def test_refusals(arguments, message):
    with pytest.raises(ValueError, match=message):
        lifetimes_from_samples(*arguments)
