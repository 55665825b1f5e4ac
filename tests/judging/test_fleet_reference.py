"""References brought to the strength of new coolant: by hand, and what must always hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.judging.fleet_reference import fleet_reference
from chemcheck.judging.glycol_of_concentrate import GLYCOL
from chemcheck.judging.plan import material_codes
from chemcheck.judging.uncertainty import precision_table
from tests.readings.build import readings_of

EG, PG = "ethylene_glycol", "propylene_glycol"
ABSENT = {"silicon": 10.0, "nitrite": 50.0}


def held_against(lower, upper=None, kinds=EG, goods=(0,), references=(1,), technology="hybrid"):
    samples = {"technology": technology, "glycol_type": kinds}
    readings = readings_of(samples, [GLYCOL, "silicon"], lower, upper)
    table = precision_table((), readings.columns)
    return fleet_reference(
        readings,
        np.array(goods, dtype=np.intp),
        np.array(references, dtype=np.intp),
        table,
        material_codes(readings),
        ABSENT,
    )


def test_an_inhibitor_falls_with_the_strength():
    # 160 mg/L at 48 vol% are 160 x 36/48 = 120 at 36.
    found = held_against([[36.0, 0.0], [48.0, 160.0]])
    for end in (found.least, found.most):
        assert end.lower[0, 1] == pytest.approx(120.0)
        assert end.upper[0, 1] == pytest.approx(120.0)


def test_uncertainties_of_reading_and_strengths_add_in_quadrature():
    # JCGM 100:2008, 5.1.6. Laboratory, coolant: silicon 9 %/(1.96 sqrt 2) as a standard
    # uncertainty of a reproducibility limit, glycol 1 vol% (limits/methods).
    found = held_against([[40.0, 0.0], [50.0, 200.0]])
    silicon = 0.09 / (1.96 * 2**0.5)
    expected = 160.0 * np.sqrt(silicon**2 + (1 / 50) ** 2 + (1 / 40) ** 2)
    assert found.most.u[0, 1] == pytest.approx(expected, rel=0.02)


def test_glycol_is_compared_as_it_is():
    found = held_against([[36.0, 0.0], [48.0, 160.0]])
    assert found.least.lower[0, 0] == found.most.upper[0, 0] == 48.0


def test_of_several_references_the_whole_range_counts():
    found = held_against(
        [[50.0, 0.0], [50.0, 100.0], [25.0, 80.0], [50.0, 120.0]], references=(1, 2, 3)
    )
    assert found.least.lower[0, 1] == pytest.approx(100.0)
    assert found.most.upper[0, 1] == pytest.approx(160.0)  # 80 at half the strength


def test_a_reference_is_not_held_against_itself():
    found = held_against([[50.0, 100.0], [50.0, 130.0]], goods=(0, 1), references=(0, 1))
    assert found.most.upper[:, 1] == pytest.approx([130.0, 100.0])
    assert found.of(0).tolist() == [1]
    alone = held_against([[50.0, 100.0]], goods=(0,), references=(0,))
    assert np.isnan(alone.most.upper[0, 1])


def test_what_counts_as_none_asks_for_nothing():
    # Below 5 in the reference, below 10 counts as none: up to 10 is no more than it.
    found = held_against([[50.0, 0.0], [50.0, 0.0]], [[50.0, 0.0], [50.0, 5.0]])
    assert found.least.lower[0, 1] == -np.inf
    assert found.most.lower[0, 1] == found.most.upper[0, 1] == 10.0


def test_strength_as_an_interval_leaves_an_interval():
    found = held_against([[40.0, 0.0], [50.0, 200.0]], [[44.0, 0.0], [50.0, 200.0]])
    assert found.least.lower[0, 1] == pytest.approx(160.0)
    assert found.least.upper[0, 1] == pytest.approx(176.0)


def test_without_a_strength_nothing_can_be_compared():
    found = held_against([[np.nan, 5.0], [50.0, 200.0]])
    assert np.isnan(found.most.upper[0, 1])
    assert found.most.upper[0, 0] == 50.0


@pytest.mark.parametrize(
    ("kinds", "expected"),
    [([EG, EG], [1]), ([EG, PG], []), ([EG, None], [1]), ([None, PG], [1])],
)
def test_a_reference_has_the_glycol_of_the_sample(kinds, expected):
    found = held_against([[50.0, 0.0], [50.0, 160.0]], kinds=kinds)
    assert found.of(0).tolist() == expected


@pytest.mark.parametrize("technology", [["hybrid", "organic_acid"], [None, None]])
def test_a_reference_has_the_technology_of_the_sample(technology):
    found = held_against([[50.0, 0.0], [50.0, 160.0]], technology=technology)
    assert found.of(0).size == 0
    assert np.isnan(found.most.upper[0, 1])


@given(st.floats(20, 95), st.floats(20, 95), st.floats(11, 1e4))
def test_a_dilution_of_the_reference_matches_it(strong, weak, amount):
    held = amount * weak / strong
    found = held_against([[weak, held], [strong, amount]])
    if held >= ABSENT["silicon"]:
        assert found.least.lower[0, 1] == pytest.approx(held)
    assert found.most.upper[0, 1] >= held * (1 - 1e-9)
