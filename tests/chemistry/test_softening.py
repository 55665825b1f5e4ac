"""Softening: charges stay equal, and the saturation index falls as the carbonate model says."""

import numpy as np
import pytest

from chemcheck.chemistry.carbonate import speciate
from chemcheck.chemistry.ions import charge_sums
from chemcheck.chemistry.saturation import saturation_index
from chemcheck.chemistry.softening import (
    saturation_change,
    sodium_of_softening,
    solids_of_softening,
)


def test_sodium_by_hand():
    # 2 x 22.990 / 100.09 (atomic weights of IUPAC 2021): 0.4594 mg for each mg of CaCO3.
    assert sodium_of_softening(310.0) == pytest.approx(310.0 * 2 * 22.990 / 100.09, rel=1e-3)


def test_charges_do_not_change():
    before = {"calcium": 96.0, "magnesium": 17.0, "sodium": 25.0}
    # 96 mg/L calcium and 17 mg/L magnesium are 309.7 mg/L as CaCO3 (2.497 and 4.118).
    hardness = 96.0 * 100.086 / 40.078 + 17.0 * 100.086 / 24.305
    after = {"sodium": 25.0 + float(sodium_of_softening(hardness))}
    assert charge_sums(after)[0] == pytest.approx(charge_sums(before)[0], rel=1e-4)


def test_solids_lie_between_all_calcium_and_all_magnesium():
    lower, upper = solids_of_softening(100.0, 100.0)
    for calcium, magnesium in ((40.04, 0.0), (0.0, 24.28), (20.02, 12.14)):
        rise = float(sodium_of_softening(100.0)) - calcium - magnesium
        assert lower - 0.01 <= rise <= upper + 0.01


def test_the_index_falls_by_the_ratio_of_calcium():
    # Against the carbonate model: 100 mg/L calcium to 2 mg/L, sodium in its place.
    analysis = {
        "ph": 7.5, "alkalinity": 220.0, "magnesium": 0.0, "potassium": 2.0, "chloride": 40.0,
        "sulfate": 50.0,
    }  # fmt: skip
    sodium = 15.0 + float(sodium_of_softening((100.0 - 2.0) * 100.086 / 40.078))
    hard = speciate(**analysis, calcium=100.0, sodium=15.0)
    soft = speciate(**analysis, calcium=2.0, sodium=sodium)
    change = float(saturation_index(soft, "calcite") - saturation_index(hard, "calcite"))
    assert float(saturation_change(100.0, 2.0)) == pytest.approx(change, abs=0.08)


def test_no_calcium_has_no_index_to_fall():
    assert np.isnan(saturation_change(0.0, 0.0))
    assert saturation_change(10.0, 20.0) == 0.0
