"""Waters whose readings rule each other out."""

import numpy as np
import pytest

from chemcheck.judging.water_doubts import water_doubts
from tests.builders import readings

# Charges of an invented water that balance: 2 meq/L each of calcium and sulfate.
BALANCED = {
    "ph": 7.4,
    "calcium": 40.08,
    "magnesium": 0.0,
    "sodium": 0.0,
    "chloride": 0.0,
    "sulfate": 96.06,
    "total_alkalinity": 0.0,
}


def doubts(material="water", **changes):
    cells = {key: [cell] for key, cell in (BALANCED | changes).items() if cell is not None}
    return water_doubts(readings(cells, material=material))


def test_balanced_waters_are_left_alone():
    assert doubts() is None


@pytest.mark.parametrize(
    ("sodium", "doubted"),
    # 100 (C - A) / (C + A) of 2.0 + x against 2.0 meq/L: 10 % at x = 0.444, 10.2 mg/L of sodium.
    [(10.0, False), (10.5, True), ((0.0, 10.5), False), ((10.5, 90.0), True)],
)
def test_an_imbalance_beyond_ten_percent_doubts_the_whole_sample(sodium, doubted):
    found = doubts(sodium=sodium)
    assert (found is not None) == doubted
    if found is not None:
        assert found.of_sample.tolist() == [0]
        assert found.of_cell is None
        assert "10 % of all charges" in found.kinds[0].says


def test_an_incomplete_analysis_says_nothing_of_its_charges():
    assert doubts(sodium=None, sulfate=500.0) is None


@pytest.mark.parametrize(
    ("conductivity", "doubted"),
    # 300 mg/L stands for 333 to 600 uS/cm (factor 0.5 to 0.9).
    [(450.0, False), (45.0, True), (4500.0, True), (200.0, False), ((30.0, 400.0), False)],
)
def test_solids_off_by_ten_from_the_conductivity(conductivity, doubted):
    found = doubts(total_dissolved_solids=300.0, conductivity=conductivity)
    assert (found is not None) == doubted
    if found is not None:
        assert found.of_sample.tolist() == [-1]
        # pH and ions are not touched; the last two columns are.
        assert (found.of_cell[0] >= 0).tolist() == [False] * 7 + [True, True]


@pytest.mark.parametrize(
    ("ph", "alkalinity", "doubted"),
    # pH 11 is 1 meq/L of hydroxide, 50 mg/L as CaCO3, or 31 with 0.2 off and more when cold.
    # At pH 4.3 an acid capacity to pH 4.3 is none, and at 5 carbon dioxide would bubble out.
    [
        (11.0, 60.0, False),
        (11.0, 3.0, True),
        ((9.0, 11.0), 3.0, False),
        (4.3, 100.0, True),
        (5.0, 400.0, True),
        (6.0, 400.0, False),
        (7.4, 2000.0, False),
        (4.5, 0.0, False),
        (8.8, 0.0, False),
    ],
)
def test_an_alkalinity_that_is_impossible_at_the_ph(ph, alkalinity, doubted):
    found = doubts(sodium=None, ph=ph, total_alkalinity=alkalinity)
    assert (found is not None) == doubted
    if found is not None:
        assert (found.of_cell[0] >= 0).tolist() == [True] + [False] * 4 + [True]
        [said] = found.questions["question"]
        assert "a water has at" in said
        assert found.questions["column"].tolist() == ["total_alkalinity"]


def test_coolant_is_left_alone():
    assert doubts(material="coolant", sodium=500.0, ph=11.0) is None


def test_several_doubts_stand_beside_each_other():
    cells = {key: [cell, cell] for key, cell in BALANCED.items()}
    cells |= {"sodium": [50.0, 0.0], "ph": [7.4, 11.0], "total_alkalinity": [0.0, 1.0]}
    cells |= {"total_dissolved_solids": [300.0, 300.0], "conductivity": [450.0, 45.0]}
    found = water_doubts(readings(cells, material="water"))
    assert found.of_sample.tolist() == [0, -1]
    assert len(found.kinds) == 3
    assert np.unique(found.of_cell[0]).tolist() == [-1]
    assert sorted(np.unique(found.of_cell[1]).tolist()) == [-1, 1, 2]
