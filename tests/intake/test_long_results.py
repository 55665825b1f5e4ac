"""Long tables in columns, against a plain loop over the results."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.intake.long_results import place_results
from chemcheck.readings.record import ABSENT, BLANK, READ, REJECTED

result = st.tuples(
    st.integers(0, 3),
    st.integers(0, 2),
    st.sampled_from([1.0, 2.0]),
    st.sampled_from([READ, READ, BLANK, REJECTED]),
)


@given(st.lists(result, max_size=30))
def test_against_a_loop(results):
    sample, column, value, status = (
        (np.array(x) for x in zip(*results, strict=True)) if results else (np.zeros(0),) * 4
    )
    status = np.asarray(status, np.int8)
    value = np.where(status == READ, value, np.nan)
    placed = place_results(
        (4, 3), np.asarray(sample, np.int64), np.asarray(column, np.int64), value, value, status
    )
    for i in range(4):
        for j in range(3):
            here = [k for k, found in enumerate(results) if found[:2] == (i, j)]
            read = [k for k in here if status[k] == READ]
            values = {value[k] for k in read}
            if not here:
                assert placed.status[i, j] == ABSENT
            elif len(values) > 1:
                assert placed.status[i, j] == REJECTED
                assert placed.contradictory[read].all()
            elif values:
                assert placed.status[i, j] == READ
                assert placed.lower[i, j] == placed.upper[i, j] == values.pop()
                assert placed.repeated[read].tolist() == [False] + [True] * (len(read) - 1)
            else:
                assert placed.status[i, j] == min(status[k] for k in here)
            if placed.status[i, j] != READ:
                assert np.isnan(placed.lower[i, j])


def test_columns_are_contiguous():
    nothing = np.zeros(0, np.int64)
    placed = place_results((5, 2), nothing, nothing, nothing * 1.0, nothing * 1.0, np.int8(nothing))
    assert placed.lower.flags.f_contiguous
    assert placed.status.dtype == np.int8
