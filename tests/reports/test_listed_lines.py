"""Long lists are cut, and what is left out is counted."""

import pytest

from chemcheck.reports.listed_lines import LISTED, listed_lines


@pytest.mark.parametrize("n", [0, 1, LISTED])
def test_what_fits_is_listed_whole(n: int) -> None:
    lines = [str(k) for k in range(n)]
    assert listed_lines(lines) == lines


def test_the_rest_is_counted() -> None:
    lines = [str(k) for k in range(LISTED + 1234)]
    assert listed_lines(lines) == [*lines[:LISTED], "And 1,234 more: --format json lists all."]
