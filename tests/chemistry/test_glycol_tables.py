"""The arithmetic on property tables, on invented tables and on those that ship."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry.glycol_density import density, share_of_density
from chemcheck.chemistry.glycol_freezing import freezing_point, ice_share, share_that_freezes_at
from chemcheck.chemistry.glycol_percent import mass_percent, volume_percent
from chemcheck.chemistry.glycol_tables import PropertyTable, read_back, read_table
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


def test_points_of_a_table_are_kept_and_nothing_is_carried_on():
    assert read_table(STRAIGHT, [0.0, 30.0, 60.0, 61.0, -1.0]) == pytest.approx(
        [0.0, -15.0, -30.0, np.nan, np.nan], nan_ok=True
    )


def test_between_points_the_curve_neither_overshoots_nor_turns():
    steps = invented([0.0, 10.0, 20.0, 30.0], [0.0, 0.0, -10.0, -10.0])
    found = read_table(steps, np.linspace(0.0, 30.0, 301))
    assert np.all(np.diff(found) <= 1e-12)
    assert found.min() >= -10.0


def test_a_table_that_turns_is_not_read_back():
    with pytest.raises(ValueError, match="does not only rise or only fall"):
        read_back(invented([0.0, 10.0, 20.0], [0.0, -5.0, -4.0]), -3.0)


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


def test_ice_by_the_masses_of_a_lever():
    # 100 volumes with 20 of glycol, cooled to where 40 % freezes: the liquid holds all 20 of
    # glycol and so 30 of water; 50 of 80 volumes of water are ice.
    assert ice_share(STRAIGHT, 20.0, -20.0) == pytest.approx(50 / 80)
    assert ice_share(STRAIGHT, 20.0, -10.0) == 0.0
    assert np.isnan(ice_share(STRAIGHT, 20.0, -31.0))


def test_mass_and_volume_per_cent():
    # 50 vol% are 52.73 mass% by densities 1113.39 and 998.21 kg/m3 (library: thermo 0.6.1,
    # CoolProp 8.0.0); a table of an inhibited fluid has 50 mass% at 47.6 vol% (library: egasp).
    assert mass_percent(50.0, ETHYLENE.pure) == pytest.approx(52.73, abs=0.01)
    [pairs] = ETHYLENE.of("mass_percent")
    assert volume_percent(50.0, ETHYLENE.pure, pairs) == pytest.approx(47.6, abs=0.01)


@given(BOTH, st.sampled_from(["inhibited", "pure"]), st.floats(0.0, 57.0))
def test_freezing_point_read_back_is_the_share(glycol, basis, percent):
    for table in glycol.of("freezing_point", basis):
        if percent <= table.percent[-1]:
            value, _ = freezing_point(table, percent)
            lower, _, _ = share_that_freezes_at(table, None, value)
            assert lower == pytest.approx(percent, abs=1e-6)


@given(BOTH, st.floats(0.0, 55.0), st.floats(0.0, 100.0))
def test_density_read_back_is_the_share(glycol, percent, temperature):
    for table in glycol.of("density"):
        value = density(table, percent, temperature)
        assert share_of_density(table, value, temperature) == pytest.approx(percent, abs=1e-6)


@given(BOTH, st.floats(0.0, 100.0))
def test_mass_per_cent_read_back_is_the_volume_per_cent(glycol, percent):
    for table in (None, *glycol.of("mass_percent")):
        by_mass = mass_percent(percent, glycol.pure, table)
        assert volume_percent(by_mass, glycol.pure, table) == pytest.approx(percent, abs=1e-6)


@given(BOTH, st.floats(5.0, 55.0), st.floats(-45.0, 5.0), st.floats(0.0, 20.0))
def test_colder_never_melts_ice(glycol, percent, temperature, colder):
    table = glycol.of("freezing_point", "inhibited")[0]
    less, more = ice_share(table, percent, [temperature, temperature - colder])
    if not np.isnan(more):
        assert more >= less - 1e-9
