"""Freezing points and ice, on an invented table and on those that ship."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry.glycol_freezing import freezing_point, ice_share, share_that_freezes_at
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


def test_beyond_sixty_per_cent_the_safe_side_is_kept_and_marked():
    [table] = ETHYLENE.of("freezing_point", "inhibited")
    value, uncertain = freezing_point(table, [50.0, 60.0, 64.0, 68.0, 69.0])
    assert uncertain.tolist() == [False, False, True, True, True]
    assert value[2] == value[3] == value[1]
    assert np.isnan(value[4])


def test_one_freezing_point_has_two_shares():
    # library: egasp 0.1.9: 89.7 vol% freezes at -29.8 C, as about 44.4 vol% does.
    [table] = ETHYLENE.of("freezing_point", "inhibited")
    [beyond] = ETHYLENE.of("freezing_point_beyond")
    lower, upper, uncertain = share_that_freezes_at(table, beyond, [-29.8, -60.0, 1.0])
    assert lower[0] == pytest.approx(44.4, abs=0.3)
    assert upper[0] == pytest.approx(89.7)
    assert lower[1] == 60.0
    assert uncertain.tolist() == [False, True, False]
    assert np.isnan(lower[2])
    assert np.isnan(upper[1:]).all()


def test_ice_by_the_masses_of_a_lever():
    # 100 volumes with 20 of glycol, cooled to where 40 % freezes: the liquid holds all 20 of
    # glycol and so 30 of water; 50 of 80 volumes of water are ice.
    assert ice_share(STRAIGHT, 20.0, -20.0) == pytest.approx(50 / 80)
    assert ice_share(STRAIGHT, 20.0, -10.0) == 0.0
    assert np.isnan(ice_share(STRAIGHT, 20.0, -31.0))


@given(BOTH, st.sampled_from(["inhibited", "pure"]), st.floats(0.0, 57.0))
def test_freezing_point_read_back_is_the_share(glycol, basis, percent):
    for table in glycol.of("freezing_point", basis):
        if percent <= table.percent[-1]:
            value, _ = freezing_point(table, percent)
            lower, _, _ = share_that_freezes_at(table, None, value)
            assert lower == pytest.approx(percent, abs=1e-6)


@given(BOTH, st.floats(5.0, 55.0), st.floats(-45.0, 5.0), st.floats(0.0, 20.0))
def test_colder_never_melts_ice(glycol, percent, temperature, colder):
    table = glycol.of("freezing_point", "inhibited")[0]
    less, more = ice_share(table, percent, [temperature, temperature - colder])
    if not np.isnan(more):
        assert more >= less - 1e-9
