"""The factor of water is told by freezing points where no glycol was read."""

import numpy as np
import pytest

from chemcheck.causes import find_causes
from chemcheck.causes.quantities import Quantities
from tests.builders import readings

# Freezing points of inhibited ethylene glycol at 50, 40 and 30 vol% [deg C]: CoolProp 8.0.0, fluid
# AEG.
FIFTY, FORTY, THIRTY = -37.1, -24.8, -15.7


def _factor(
    before: float, now: float, glycol_type: str | None = "ethylene_glycol"
) -> tuple[float, int]:
    found = find_causes(
        readings(
            # A column of a species that only water moves, not read in the sample.
            {"freezing_point": [before, now], "boron": [400.0, None]},
            unit_id=["A", "A"],
            taken_on=["2031-01-10", "2031-09-10"],
            technology=["heavy_duty_additive"] * 2,
            glycol_type=[glycol_type] * 2,
        )
    )
    assert found is not None
    common = Quantities(found.plan, np.array([1])).common()
    return float(np.exp(common.middle[0])), int(common.species[0])


@pytest.mark.parametrize(("now", "share"), [(FORTY, 40), (THIRTY, 30)])
def test_a_warmer_freezing_point_is_dilution(now: float, share: float) -> None:
    factor, species = _factor(FIFTY, now)
    assert factor == pytest.approx(share / 50, abs=0.03)
    assert species == 1


def test_a_colder_one_is_evaporation() -> None:
    factor, _ = _factor(FORTY, FIFTY)
    assert factor == pytest.approx(50 / 40, abs=0.04)


def test_without_the_kind_of_glycol_it_says_nothing() -> None:
    assert _factor(FIFTY, FORTY, None) == (1.0, 0)
