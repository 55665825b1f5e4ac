"""What a sample is held against: the fill's first sample, the fresh fill, else the wider range."""

import numpy as np
import pandas as pd

from chemcheck.causes import find_causes
from chemcheck.causes.references import MOST_ORDERED, find_references, what_is_not_looked_for
from tests.builders import readings


def _log(unit: str, date: str) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "unit_id": [unit],
            "date": pd.to_datetime([date]),
            "hours": [np.nan],
            "distance": [np.nan],
            "event": ["change"],
        }
    )


def test_first_sample_of_the_same_fill() -> None:
    read = readings(
        {"ph": [8.0] * 5},
        unit_id=["A", "A", "A", "B", None],
        taken_on=["2031-03-01", "2031-01-01", "2031-06-01", "2031-01-01", "2031-01-01"],
    )
    plain = find_references(read)
    assert plain.baseline.tolist() == [1, -1, 1, -1, -1]
    assert plain.previous.tolist() == [1, -1, 0, -1, -1]
    changed = find_references(read, _log("A", "2031-04-01"))
    assert changed.baseline.tolist() == [1, -1, -1, -1, -1]
    # The unit's sample before is held against whatever fill it was of.
    assert changed.previous.tolist() == [1, -1, 0, -1, -1]


def test_fresh_fill_without_a_unit_serves_its_technology() -> None:
    read = readings(
        {"ph": [8.4, 7.9, 7.9]},
        unit_id=[None, "A", "B"],
        technology=["organic_acid", "organic_acid", "hybrid"],
        sample_type=["fresh fill", "routine", "routine"],
        taken_on=["2031-01-01", "2031-06-01", "2031-06-01"],
    )
    assert find_references(read).fresh.tolist() == [-1, 0, -1]


def test_water_and_the_laboratorys_own_samples_are_left_out() -> None:
    read = readings(
        {"ph": [7.0, 8.0, 8.0]},
        material=["water", "coolant", "coolant"],
        sample_type=["routine", "blank", "routine"],
    )
    assert find_references(read).use.tolist() == [False, False, True]


def test_shares_of_a_life() -> None:
    read = readings(
        {"ph": [8.0, 8.0, 8.0]}, unit_id=["A"] * 3, hours=[0.0, 1000.0, 5000.0], taken_on=pd.NaT
    )
    found = find_references(read)
    # A life of 2000 h (memory, limits/checks/causes.yaml): half, then more than all.
    np.testing.assert_allclose(found.since_first, [1.0, 0.5, 1.0])
    np.testing.assert_allclose(found.since_before, [1.0, 0.5, 1.0])


def test_ageing_alone_raises_nothing_and_the_same_at_once_does() -> None:
    # Half of the nitrite over a whole life is what in-service floors allow (memory).
    def raised(date: str) -> list[str]:
        found = find_causes(
            readings(
                {"nitrite": [1600.0, 850.0], "nitrate": [600.0, 880.0], "ph": [10.0, 9.2],
                 "glycol": [50.0, 50.0], "reserve_alkalinity": [7.0, 4.5]},
                unit_id=["A", "A"],
                taken_on=["2029-01-01", date],
                technology=["heavy_duty_additive"] * 2,
            )
        )  # fmt: skip
        assert found is not None
        return [one.cause for one in found.of_sample(1) if one.raised]

    assert raised("2031-01-01") == []
    assert raised("2029-01-20")


def test_a_large_batch_is_held_against_the_first_sample_alone() -> None:
    n = MOST_ORDERED + 2
    read = readings(
        {"ph": [8.0] * n},
        unit_id=["A", "A", *(f"U{k}" for k in range(n - 2))],
        taken_on="2031-01-01",
        hours=np.arange(n, dtype=float),
    )
    found = find_references(read)
    assert found.baseline[:3].tolist() == [-1, 0, -1]
    assert found.previous is found.baseline
    assert "first sample of the fill" in what_is_not_looked_for(n)
    assert not what_is_not_looked_for(MOST_ORDERED)
