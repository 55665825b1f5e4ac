"""Volumes of systems: as told, by a column of any spelling, and what cannot be."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.assessment.system_size import system_sizes
from chemcheck.errors import QuantityError
from chemcheck.remedies.estimate import between, exact


def table(**columns):
    n = len(next(iter(columns.values())))
    return pd.DataFrame({"file": "a.csv", "row": np.arange(2, n + 2), **columns})


@pytest.mark.parametrize(
    ("title", "cell", "litres"),
    [
        ("System (L)", "40", 40.0),
        ("System volume [gal]", "10", 37.854),
        ("Tank (L) (= system_volume)", "40", 40.0),
        ("Kühlmittelmenge (L)", "40", 40.0),
        ("system_capacity", "40 qt", 37.854),
        ("System (L)", "10 gal", 37.854),
    ],
)
def test_a_column_of_any_spelling(title, cell, litres):
    # A US gallon is 3.785412 L, four quarts (NIST SP 811).
    found = system_sizes(table(**{title: [cell]}))
    assert found.system.value[0] == pytest.approx(litres, abs=0.001)
    assert len(found.questions) == 0


def test_a_range_stays_one():
    found = system_sizes(table(**{"System (L)": ["38-42", None]}))
    assert (found.system.lower[0], found.system.upper[0]) == (38.0, 42.0)
    assert np.isnan(found.system.value[1])
    assert found.of(1) == (None, None)


def test_a_rows_own_volume_counts_before_the_one_told():
    found = system_sizes(table(**{"System (L)": ["40", None]}), exact(12.0), exact(8.0))
    assert found.system.value.tolist() == [40.0, 12.0]
    assert found.drains.value.tolist() == [8.0, 8.0]


def test_what_cannot_be_read_is_asked_about():
    found = system_sizes(table(**{"System": ["big", "40", "-3 L"]}))
    assert found.questions["row"].tolist() == [2, 3, 4]
    said = found.questions["question"].tolist()
    assert "states no unit" in said[1]
    assert all("taken as unknown" in one for one in said)
    assert np.isnan(found.system.value).all()


def test_more_that_drains_than_the_system_holds_is_not_used():
    found = system_sizes(table(**{"System (L)": ["12"], "Drains (L)": ["13"]}))
    assert "more drains than the system holds" in found.questions["question"].iloc[0]
    assert found.of(0)[1] is None


def test_volumes_told_that_cannot_be():
    with pytest.raises(QuantityError, match=r"more drains \(13 L\) than the system holds \(12 L\)"):
        system_sizes(table(x=["y"]), exact(12.0), exact(13.0))
    with pytest.raises(QuantityError, match="must be above zero"):
        system_sizes(table(x=["y"]), between(0.0, 12.0), exact(1.0))


def test_a_volume_of_nothing_is_refused_by_itself():
    with pytest.raises(QuantityError, match="the system's volume must be above zero"):
        system_sizes(table(x=["y"]), exact(0.0))
    with pytest.raises(QuantityError, match="what drains must be above zero"):
        system_sizes(table(x=["y"]), None, exact(0.0))


def test_other_columns_are_left_alone():
    found = system_sizes(table(**{"Ecosystem (L)": ["3"], "Remarks": ["system"]}))
    assert np.isnan(found.system.value).all()
