"""The samples of each unit, in the order of time."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.assessment.unit_samples import unit_order, unit_samples
from chemcheck.errors import UnknownUnitError
from tests.builders import samples


def table(**more) -> pd.DataFrame:
    return samples(len(next(iter(more.values()))), **more)


def test_samples_are_ordered_by_date_then_by_meter_then_as_written():
    days = pd.to_datetime(["2031-03-01", "2031-01-01", None, "2031-03-01", "2031-03-01"])
    found = unit_samples(
        table(unit_id=["A"] * 5, taken_on=days, hours=[50.0, 90.0, 99.0, 40.0, 50.0])
    )
    assert found.of(0).tolist() == [2, 1, 3, 0, 4]
    assert found.latest.tolist() == [4]


def test_blanks_and_new_coolant_belong_to_no_unit():
    kinds = ["routine", "blank", "bulk tank", "fresh fill"]
    assert unit_samples(table(unit_id=["A"] * 4, sample_type=kinds)).rows.tolist() == [0, 3]


def test_without_units_there_are_none():
    found = unit_samples(table(unit_id=[None, None]))
    assert found.unit_ids == ()
    assert found.latest.size == 0


def test_an_unknown_unit_is_told_apart_and_the_nearest_named():
    found = unit_samples(table(unit_id=["HT-07", "WL-02"]))
    assert found.find("WL-02") == 1
    with pytest.raises(UnknownUnitError, match=r"'HT-7' is no unit.*HT-07"):
        found.find("HT-7")


def test_every_sample_of_a_unit_is_in_it_once():
    rng = np.random.default_rng(3)
    ids = rng.choice(["A", "B", "C", None], 200)
    found = unit_samples(table(unit_id=ids))
    assert sorted(found.rows.tolist()) == [k for k, one in enumerate(ids) if one is not None]
    for place, unit in enumerate(found.unit_ids):
        assert set(ids[found.of(place)]) == {unit}


@given(st.data())
def test_the_order_is_that_of_a_whole_sort(data) -> None:
    n = data.draw(st.integers(0, 40))

    def drawn(values) -> list:
        return data.draw(st.lists(values, min_size=n, max_size=n))

    code = np.array(drawn(st.integers(0, 3) | st.integers(0, 10**6)), dtype=np.int64)
    nat = np.iinfo(np.int64).min
    day = np.array(drawn(st.sampled_from([nat, 0, 86400, 86401, 10**9])), dtype=np.int64)
    hours = np.array(drawn(st.sampled_from([-np.inf, 0.0, 5.5, 7.0])), dtype=np.float64)
    for keys in ([], [day], [hours], [hours, day]):
        assert unit_order(code, keys).tolist() == np.lexsort((*keys, code)).tolist()
