"""Densities of coolant against a property library and a handbook table."""

import numpy as np
import pytest

from chemcheck.intake.coolant_density import coolant_density


@pytest.mark.parametrize("percent", [10, 20, 30, 40, 50, 60])
def test_between_two_fluids_of_a_property_library(percent):
    # library: CoolProp, AEG and APG (inhibited glycols), volume fractions, 20 C.
    props = pytest.importorskip("CoolProp.CoolProp")
    light, dense = (
        props.PropsSI("D", "T", 293.15, "P", 101325, f"INCOMP::{fluid}[{percent / 100}]") / 1000
        for fluid in ("APG", "AEG")
    )
    low, high = coolant_density([percent], [percent])
    assert low.item() == pytest.approx(light, abs=2e-4)
    # The handbook's fluid is up to 1 kg/m3 denser than the library's.
    assert dense <= high.item() <= dense + 0.0012


def test_unknown_glycol_spans_what_is_usual():
    low, high = coolant_density([np.nan, 30], [np.nan, 60])
    assert low[0] == low[1]
    assert high[0] == high[1]


def test_more_glycol_is_denser():
    low, high = coolant_density(np.arange(0, 101), np.arange(0, 101))
    assert (np.diff(low) >= 0).all()
    assert (np.diff(high) >= 0).all()
    assert (low < high).all()
