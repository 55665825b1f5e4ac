"""Shares of glycol by mass and by volume."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry.glycol_percent import mass_percent, volume_percent
from chemcheck.limit_library.glycol_properties import glycol_properties

ETHYLENE = glycol_properties("ethylene_glycol")
PROPYLENE = glycol_properties("propylene_glycol")
BOTH = st.sampled_from([ETHYLENE, PROPYLENE])


def test_mass_and_volume_per_cent():
    # 50 vol% are 52.73 mass% by densities 1113.39 and 998.21 kg/m3 (library: thermo 0.6.1,
    # CoolProp 8.0.0); a table of an inhibited fluid has 50 mass% at 47.6 vol% (library: egasp).
    assert mass_percent(50.0, ETHYLENE.pure) == pytest.approx(52.73, abs=0.01)
    [pairs] = ETHYLENE.of("mass_percent")
    assert volume_percent(50.0, ETHYLENE.pure, pairs) == pytest.approx(47.6, abs=0.01)


@given(BOTH, st.floats(0.0, 100.0))
def test_mass_per_cent_read_back_is_the_volume_per_cent(glycol, percent):
    for table in (None, *glycol.of("mass_percent")):
        by_mass = mass_percent(percent, glycol.pure, table)
        assert volume_percent(by_mass, glycol.pure, table) == pytest.approx(percent, abs=1e-6)
