"""The table of coolant densities: sourced, and refused where it is damaged."""

import pytest

from chemcheck.errors import LimitFileError
from chemcheck.limit_library import limit_folder
from chemcheck.limit_library.coolant_density import density_range, read_density_range

GOOD = (limit_folder() / "properties" / "coolant_density.yaml").read_text("utf-8")


def test_both_curves_say_who_says_so():
    table = density_range()
    for curve in (table.heaviest, table.lightest):
        assert len(curve.values) == len(table.percent)
        assert curve.source
    assert table.usual_share.source


@pytest.mark.parametrize(
    ("before", "after", "problem"),
    [
        ("percent: [0, 10,", "percent: [10, 0,", "each greater than the last"),
        ("percent: [0, 10,", "percent: [0,", "expected 6 numbers, found 7"),
        ("unit: kg/L", "unit: g/L", "expected 'kg/L'"),
        ("evidence: library", "evidence: hearsay", "no evidence known here"),
        ("usual_share", "other_share", "'usual_share' is missing"),
        ("0.998, 1.0081", "1.2, 1.0081", "heavier than the heaviest"),
    ],
)
def test_a_damaged_table(tmp_path, before, after, problem):
    file = tmp_path / "mine.yaml"
    file.write_text(GOOD.replace(before, after), encoding="utf-8")
    with pytest.raises(LimitFileError, match=problem):
        read_density_range(file)
