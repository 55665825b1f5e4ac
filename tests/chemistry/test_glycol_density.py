"""Densities by percent and temperature, and back."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry.glycol_density import density, share_of_density
from chemcheck.chemistry.glycol_tables import PropertyTable
from chemcheck.limit_library.glycol_properties import glycol_properties

ETHYLENE = glycol_properties("ethylene_glycol")
PROPYLENE = glycol_properties("propylene_glycol")
BOTH = st.sampled_from([ETHYLENE, PROPYLENE])


def invented(percent, values, **more):
    return PropertyTable(
        "freezing_point", "pure", np.array(percent), np.array(values), "deg C",
        "invented", "memory", **more,
    )  # fmt: skip


STRAIGHT = invented([0.0, 30.0, 60.0], [0.0, -15.0, -30.0])


def test_density_is_straight_between_temperatures_and_carried_on_a_little():
    table = PropertyTable(
        "density", "pure", np.array([0.0, 50.0]), np.array([[1000.0, 990.0], [1080.0, 1060.0]]),
        "kg/m3", "invented", "memory", temperatures=np.array([0.0, 20.0]),
    )  # fmt: skip
    found = density(
        table, [0.0, 50.0, 50.0, 50.0, 50.0, 60.0], [10.0, 5.0, 30.0, 51.0, np.nan, 5.0]
    )
    expected = [995.0, 1075.0, 1050.0, np.nan, np.nan, np.nan]
    assert found == pytest.approx(expected, nan_ok=True)
    with pytest.raises(ValueError, match="several temperatures"):
        density(STRAIGHT, 10.0, 20.0)


@given(BOTH, st.floats(0.0, 55.0), st.floats(0.0, 100.0))
def test_density_read_back_is_the_share(glycol, percent, temperature):
    for table in glycol.of("density"):
        value = density(table, percent, temperature)
        assert share_of_density(table, value, temperature) == pytest.approx(percent, abs=1e-6)
