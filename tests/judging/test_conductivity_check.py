"""Conductivity against the sum of the ions."""

from pathlib import Path

import pytest

from chemcheck.intake.read import read_results
from chemcheck.judging.conductivity_check import conductivity_questions
from tests.builders import readings

# 4 meq/L each of calcium and sodium bicarbonate together, invented.
WATER = {
    "ph": 7.6,
    "calcium": 40.08,
    "magnesium": 0.0,
    "sodium": 45.98,
    "chloride": 35.45,
    "sulfate": 0.0,
    "total_alkalinity": 150.1,
    "conductivity": 400.0,
}


def asked(material="water", **changes):
    cells = {key: [cell] for key, cell in (WATER | changes).items() if cell is not None}
    return conductivity_questions(readings(cells, material=material))["question"].tolist()


@pytest.mark.parametrize(
    ("conductivity", "count"),
    # 4 meq/L let expect 360 to 440 uS/cm (Standard Methods 1030 E, memory).
    [(400.0, 0), (330.0, 0), (500.0, 0), (40.0, 1), (4000.0, 1), ((40.0, 380.0), 0), (600.0, 1)],
)
def test_asked_only_where_far_off(conductivity, count):
    said = asked(conductivity=conductivity)
    assert len(said) == count
    if said:
        assert "to 440 from the ions at 90 to 110 for each meq/L" in said[0]


@pytest.mark.parametrize(
    "changes", [{"ph": 3.5}, {"sodium": None}, {"ph": None}, {"chloride": 3000.0, "sodium": 2000.0}]
)
def test_left_alone(changes):
    assert asked(conductivity=4000.0, **changes) == []


def test_coolant_is_left_alone():
    assert asked("coolant", conductivity=40.0) == []


def test_published_groundwaters_raise_no_question(open_data: Path):
    """18 analyses of the hgc package (MIT), rain to brackish: no false alarm but for acid rain."""
    found = read_results(open_data / "water" / "hgc_dataset_basic.csv", material="water")
    assert len(conductivity_questions(found)) == 0
