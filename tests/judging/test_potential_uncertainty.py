"""Uncertainty of the precipitation potential, against draws of the readings."""

import numpy as np
import pytest

from chemcheck.chemistry.carbonate import heat, speciate
from chemcheck.chemistry.precipitation import precipitation_potential
from chemcheck.judging.potential_uncertainty import potential_uncertainty
from chemcheck.judging.water_analysis import water_analysis
from chemcheck.judging.water_figures import IndexTemperature
from tests.builders import readings

WATER = {
    "ph": 7.6,
    "total_alkalinity": 180.0,
    "calcium": 70.0,
    "magnesium": 10.0,
    "sodium": 30.0,
    "potassium": 3.0,
    "chloride": 40.0,
    "sulfate": 50.0,
    "water_temperature": 15.0,
}
U = {"ph": 0.1, "total_alkalinity": 5.0, "calcium": 2.0}
ROWS = np.array([0])


def found(degrees: float, **changes):
    cells = {key: [cell] for key, cell in (WATER | changes).items() if cell is not None}
    water = readings(cells, material="water")
    u = np.array([[U.get(column.analyte, 0.0) for column in water.columns]])
    asked = [IndexTemperature("asked", degrees)]
    return potential_uncertainty(water, u, ROWS, water_analysis(water, ROWS), asked)["asked"][0]


@pytest.mark.parametrize("degrees", [15.0, 60.0, 90.0])
def test_it_is_the_spread_of_drawn_readings(degrees: float) -> None:
    """20,000 normal draws of the readings: standard deviation within 5 %."""
    rng = np.random.default_rng(5)
    drawn = {key: rng.normal(value, U.get(key, 0.0), 20_000) for key, value in WATER.items()}
    drawn["alkalinity"] = drawn.pop("total_alkalinity")
    drawn["temperature"] = drawn.pop("water_temperature")
    potential = precipitation_potential(heat(speciate(**drawn), degrees)).potential
    assert found(degrees) == pytest.approx(potential.std(), rel=0.05)


def test_an_open_end_has_no_uncertainty_and_a_missing_calcium_that_of_the_hardness() -> None:
    assert np.isnan(found(60.0, calcium=(70.0, np.inf)))
    assert np.isfinite(found(60.0, calcium=None, total_hardness=216.0))
