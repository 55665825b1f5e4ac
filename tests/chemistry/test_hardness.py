"""Hardness against the printed factors."""

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry import hardness


def test_printed_factors() -> None:
    """Arithmetic of the IUPAC 2021 atomic weights: 2.4973 per Ca, 4.1179 per Mg."""
    assert pytest.approx(2.4973, abs=5e-5) == hardness.CACO3_PER_CALCIUM
    assert pytest.approx(4.1179, abs=5e-5) == hardness.CACO3_PER_MAGNESIUM


def test_usgs_formula() -> None:
    """USGS prints hardness = 2.497 Ca + 4.118 Mg."""
    assert hardness.hardness_as_caco3(43.0, 20.0) == pytest.approx(
        2.497 * 43.0 + 4.118 * 20.0, rel=2e-4
    )


@given(st.floats(0.0, 1e5))
def test_back_and_forth(value: float) -> None:
    assert hardness.calcium_from_hardness(hardness.calcium_hardness(value)) == pytest.approx(value)
    assert hardness.magnesium_from_hardness(hardness.magnesium_hardness(value)) == pytest.approx(
        value
    )


def test_missing_and_infinite_stay() -> None:
    found = hardness.hardness_as_caco3(pd.Series([math.nan, math.inf, 1.0]), [1.0, 1.0, math.nan])
    assert np.isnan(found).tolist() == [True, False, True]
    assert np.isposinf(found[1])
