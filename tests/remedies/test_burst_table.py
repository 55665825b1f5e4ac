"""Burst protection by lines of a maker's table: invented lines, no figure of our own."""

import numpy as np
import pytest

from chemcheck.errors import QuantityError
from chemcheck.remedies.burst_table import burst_table, bursts_below, read_burst_point
from chemcheck.remedies.estimate import between, exact

LINES = [(exact(33.0), exact(-27.0)), (exact(50.0), exact(-51.0)), (exact(40.0), exact(-37.0))]


def test_lines_of_the_table_are_kept():
    table = burst_table(LINES)
    for share, cold in LINES:
        assert float(bursts_below(table, share).value) == float(cold.value)


def test_between_them_it_is_straight_and_beyond_them_unknown():
    table = burst_table(LINES)
    assert float(bursts_below(table, exact(45.0)).value) == pytest.approx(-44.0)
    assert np.isnan(bursts_below(table, exact(32.9)).value)
    assert np.isnan(bursts_below(table, exact(50.1)).value)


def test_an_uncertain_share_has_both_ends():
    found = bursts_below(burst_table(LINES), between(40.0, 50.0))
    assert (float(found.lower), float(found.upper)) == (-51.0, -37.0)


def test_fahrenheit():
    # -60 F are -51.1 C (NIST SP 811).
    _, cold = read_burst_point("50 %=-60 F", "--burst")
    assert float(cold.value) == pytest.approx(-51.11, abs=0.01)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ([*LINES, LINES[0]], "a percent stands twice"),
        ([(exact(40.0), exact(27.0)), (exact(50.0), exact(51.0))], "are the signs right"),
    ],
)
def test_what_cannot_be_is_refused(lines, said):
    with pytest.raises(QuantityError, match=said):
        burst_table(lines)
