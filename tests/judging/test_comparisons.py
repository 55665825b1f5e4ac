"""The least value of a sum of uncertain readings, against every choice of its terms."""

from itertools import combinations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.judging.comparisons import Term, _least_of_some

VALUE = st.floats(0.0, 100.0)
SPREAD = st.floats(0.0, 30.0)


def term(lower: float, u: float) -> Term:
    ends, spread = np.array([lower]), np.array([u])
    return Term(ends, ends, spread, spread, None, np.array([True]), (0.0, np.inf))


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(VALUE, SPREAD), min_size=1, max_size=5), st.floats(0.5, 2.0))
def test_the_best_choice_of_terms(terms: list[tuple[float, float]], width: float) -> None:
    # Any of the terms may be taken as 0, which it cannot be below: the surest bound counts.
    every = range(len(terms))
    best = max(
        sum(terms[k][0] for k in chosen) - width * np.sqrt(sum(terms[k][1] ** 2 for k in chosen))
        for size in range(len(terms) + 1)
        for chosen in combinations(every, size)
    )
    found = _least_of_some([(term(*each), 1.0) for each in terms], width)
    assert np.isclose(found[0], best, rtol=1e-9, atol=1e-9)
