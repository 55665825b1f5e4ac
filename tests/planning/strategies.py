"""Lifetimes of every kind, drawn by hypothesis."""

import numpy as np
from hypothesis import strategies as st

INF = np.inf


@st.composite
def lifetimes(draw):
    """Intervals of every kind that leave neither scale nor shape open."""
    n = draw(st.integers(6, 25))
    start = draw(st.lists(st.floats(1.0, 1000.0), min_size=n, max_size=n))
    widths = draw(st.lists(st.sampled_from([1.0, 1.05, 1.5, 3.0, INF]), min_size=n, max_size=n))
    lower, upper = np.array(start), np.array(start) * np.array(widths)
    # Two exact ends apart, and one more, make every fit possible.
    lower, upper = np.append(lower, [100.0, 300.0, 500.0]), np.append(upper, [100.0, 300.0, 500.0])
    early = np.append(np.array(draw(st.lists(st.booleans(), min_size=n, max_size=n))), [False] * 3)
    return np.where(early & np.isfinite(upper), 0.0, lower), upper


FAMILY = st.sampled_from(["weibull", "lognormal", "exponential"])
