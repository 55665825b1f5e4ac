"""Share of glycol from readings: other sources, wrong scales, methods that disagree."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry.glycol_density import density
from chemcheck.chemistry.glycol_freezing import freezing_point
from chemcheck.limit_library.glycol_properties import glycol_properties
from chemcheck.remedies.density_text import read_density
from chemcheck.remedies.estimate import between, exact
from chemcheck.remedies.glycol_reading import by_density, by_freezing_point, combine, without_second
from chemcheck.remedies.refractometer import (
    by_brix,
    by_refractive_index,
    index_at_20,
    on_the_wrong_scale,
)

ETHYLENE = glycol_properties("ethylene_glycol")
PROPYLENE = glycol_properties("propylene_glycol")


@pytest.mark.parametrize(
    ("freezing", "percent"),
    # A maker's manual: 40, 50, 60 % of coolant at -24, -37, -52 C, in whole degrees (published).
    [(-24.0, 40.0), (-37.0, 50.0), (-52.0, 60.0)],
)
def test_share_by_freezing_point_against_a_manual(freezing, percent):
    found = by_freezing_point(exact(freezing), 0.3, ETHYLENE, "inhibited").percent
    assert float(found.value) == pytest.approx(percent, abs=1.0)


def test_an_unknown_basis_holds_both():
    # 50 vol% free of additives freezes at -39.8 C, inhibited coolant at -37.1 (library:
    # CoolProp 8.0.0): at -37.1 C the first is about 48 vol%.
    both = by_freezing_point(exact(-37.1), 0.0, ETHYLENE).percent
    pure = by_freezing_point(exact(-37.1), 0.0, ETHYLENE, "pure").percent
    assert both.lower == pytest.approx(float(pure.value))
    assert both.upper == pytest.approx(50.0, abs=0.1)
    assert 47.5 < float(pure.value) < 48.5


def test_colder_than_any_table_is_marked():
    found = by_freezing_point(exact(-60.0), 0.3, ETHYLENE)
    assert found.uncertain
    assert float(found.percent.value) == 60.0


def test_two_shares_freeze_at_one_temperature():
    # library: egasp 0.1.9: 89.7 vol% freezes at -29.8 C too.
    found = by_freezing_point(exact(-29.8), 0.3, ETHYLENE)
    assert float(found.second) == pytest.approx(89.7)
    assert np.isnan(by_freezing_point(exact(-29.8), 0.3, PROPYLENE).second)


@pytest.mark.parametrize(
    ("percent", "kilogram_per_litre"),
    # An engine maker's table of relative density and percent (published).
    [(38.5, 1.0506), (47.8, 1.0627), (54.0, 1.0713)],
)
def test_share_by_density_against_a_makers_table(percent, kilogram_per_litre):
    # Its reference temperature is not stated: within the interval of an unknown basis, or 2 %.
    found = by_density(exact(1e3 * kilogram_per_litre), 1.0, 20.0, ETHYLENE).percent
    assert float(found.lower) - 2.0 <= percent <= float(found.upper) + 2.0


def test_inhibitors_bias_a_density():
    # 5 kg/m3 at 50 vol%, about 4 vol% (computed here).
    pure = by_density(exact(1073.3), 0.0, 20.0, ETHYLENE, "pure").percent
    assert float(pure.value) - 50.0 == pytest.approx(4.0, abs=0.5)


def test_a_warm_sample_is_corrected():
    [table] = ETHYLENE.of("density", "inhibited")
    warm = density(table, 50.0, 40.0)
    found = by_density(exact(warm), 0.0, 40.0, ETHYLENE, "inhibited").percent
    assert float(found.value) == pytest.approx(50.0)
    uncorrected = by_density(exact(warm), 0.0, 20.0, ETHYLENE, "inhibited").percent
    assert float(uncorrected.value) < 44.0


def test_relative_density_refers_to_water_at_two_temperatures():
    # Water 998.21 kg/m3 at 20 C, 999.05 at 15.6 C (library: CoolProp 8.0.0).
    found = read_density("1.050")
    assert float(found.lower) == pytest.approx(1.05 * 998.21)
    assert float(found.upper) == pytest.approx(1.05 * 999.05)


def test_index_and_brix_say_the_same():
    # Computed pairs, 50 vol%: 1.3866 and 33.0 Bx, 1.3913 and 35.5 Bx (memory).
    for glycol, index, brix in ((ETHYLENE, 1.3866, 33.0), (PROPYLENE, 1.3913, 35.5)):
        one = by_refractive_index(exact(index), 0.0, glycol, "pure").percent
        two = by_brix(exact(brix), 0.0, glycol, "pure").percent
        assert float(one.value) == pytest.approx(50.0, abs=0.1)
        assert float(two.value) == pytest.approx(50.0, abs=0.3)
        # The table's own error of 0.0015 is worth about 1.5 vol%.
        assert 1.0 < float(one.upper - one.value) < 2.0


def test_inhibitors_raise_an_index():
    pure = by_refractive_index(exact(1.3866), 0.0, ETHYLENE, "pure").percent
    inhibited = by_refractive_index(exact(1.3866), 0.0, ETHYLENE, "inhibited").percent
    unknown = by_refractive_index(exact(1.3866), 0.0, ETHYLENE).percent
    assert float(inhibited.value) < float(pure.value)
    assert float(unknown.lower) <= float(inhibited.lower)
    assert float(unknown.upper) >= float(pure.upper) - 1e-9


def test_a_warm_index_is_corrected():
    # dn/dT -0.0002 to -0.0003 a degree (memory).
    found = index_at_20(exact(1.3840), 30.0)
    assert float(found.lower) == pytest.approx(1.3860)
    assert float(found.upper) == pytest.approx(1.3870)
    cold = index_at_20(exact(1.3890), 10.0)
    assert float(cold.upper) == pytest.approx(1.3870)
    assert float(cold.lower) == pytest.approx(1.3860)


def test_the_wrong_scale_errs_by_several_degrees():
    # ASTM D3321: the wrong glycol's scale errs by 10 C and more (published).
    freezing, percent = on_the_wrong_scale(-37.0, ETHYLENE, PROPYLENE)
    assert float(freezing) - -37.0 > 7.0
    assert 43.0 < float(percent) < 48.0
    back, _ = on_the_wrong_scale(freezing, PROPYLENE, ETHYLENE)
    assert float(back) == pytest.approx(-37.0, abs=0.01)


def test_methods_that_exclude_each_other_are_named_and_both_kept():
    one = without_second("density", between(30.0, 34.0))
    two = without_second("freezing point", between(44.0, 47.0))
    percent, apart = combine([one, two])
    assert apart == (("density", "freezing point"),)
    assert (float(percent.lower), float(percent.upper)) == (30.0, 47.0)


def test_methods_that_agree_narrow_each_other():
    one = without_second("density", between(40.0, 50.0))
    two = without_second("freezing point", between(44.0, 47.0))
    percent, apart = combine([one, two])
    assert apart == ()
    assert (float(percent.lower), float(percent.upper)) == (44.0, 47.0)
    assert float(percent.value) == 45.5


@given(
    st.sampled_from([ETHYLENE, PROPYLENE]), st.floats(5.0, 55.0), st.floats(0.0, 2.0),
    st.floats(-1.0, 1.0),
)  # fmt: skip
def test_the_interval_of_a_reading_holds_the_share(glycol, percent, spread, error):
    table = glycol.of("freezing_point", "inhibited")[0]
    true, _ = freezing_point(table, percent)
    read = min(float(true) + 1.9 * error * spread, 0.0)
    found = by_freezing_point(exact(read), spread, glycol, "inhibited").percent
    assert found.lower - 1e-6 <= percent <= found.upper + 1e-6


def test_columns_are_read_at_once():
    found = by_freezing_point(exact([-24.0, -37.0, np.nan]), 0.3, ETHYLENE).percent
    assert found.value[:2] == pytest.approx([39.2, 49.9], abs=0.3)
    assert np.isnan(found.value[2])
