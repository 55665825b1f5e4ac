"""Saturation indices where the answer is known without a model, and against PHREEQC."""

import numpy as np
import pytest

from chemcheck.chemistry import carbonate
from chemcheck.chemistry.molalities import molalities
from chemcheck.chemistry.precipitation import precipitation_potential
from chemcheck.chemistry.saturation import (
    carbon_dioxide_pressure,
    log_solubility,
    saturation_index,
    saturation_indices,
)
from chemcheck.chemistry.waters import totals_per_kilogram

HARD = (7.5, 240.0, 110.0, 25.0, 30.0, 4.0, 60.0, 120.0)


def test_solids_of_one_composition_differ_by_their_solubility() -> None:
    water = carbonate.speciate(*HARD)
    for one, other in (("calcite", "aragonite"), ("calcite", "vaterite")):
        gap = saturation_index(water, one) - saturation_index(water, other)
        expected = log_solubility(other, np.array(25.0)) - log_solubility(one, np.array(25.0))
        assert gap == pytest.approx(expected)


def test_solubility_of_gypsum() -> None:
    """Pure water dissolves 2.1 g/L of CaSO4 (15.2 mmol/kg) as gypsum at 25 deg C (handbooks)."""
    amounts = np.linspace(10.0, 20.0, 201)
    water = carbonate.open_to_air(
        totals_per_kilogram(0.0, amounts * 40.078, 0.0, 0.0, 0.0, 0.0, amounts * 96.056)
    )
    at_rest = amounts[np.argmin(np.abs(saturation_index(water, "gypsum")))]
    assert at_rest == pytest.approx(15.2, abs=0.5)


def test_solubility_of_amorphous_silica() -> None:
    """About 115 to 120 mg/L of SiO2 at 25 deg C (memory: handbooks)."""
    amounts = np.linspace(60.0, 160.0, 201)
    water = carbonate.speciate(*HARD, silica=amounts)
    at_rest = amounts[np.argmin(np.abs(saturation_index(water, "amorphous silica")))]
    assert at_rest == pytest.approx(117.0, abs=6.0)


def test_amorphous_silica_against_phreeqc() -> None:
    """phreeqpython 1.6.2, phreeqc.dat, 60 mg/L SiO2: -0.290 at 25, -0.735 heated to 90 deg C."""
    water = carbonate.speciate(7.6, 120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0, silica=60.0)
    found = saturation_index(carbonate.heat(water, [25.0, 90.0]), "amorphous silica")
    assert found == pytest.approx([-0.290, -0.735], abs=0.002)


def test_brucite_by_its_definition() -> None:
    """At 25 deg C log10 (Mg) (OH)^2 = -11.16, that is 16.84 - 28.0, is saturation."""
    water = carbonate.speciate(11.0, 400.0, 1.0, 20.0, 300.0, 3.0, 100.0, 50.0)
    product = water.log_magnesium + 2.0 * (11.0 - 13.995 + water.log_water)
    assert saturation_index(water, "brucite") == pytest.approx(product + 11.15, abs=0.02)


def test_calcite_in_pure_water_and_air() -> None:
    """Calcite in water open to air (3.5e-4 atm): pH 8.3, 20 mg/L Ca (Stumm and Morgan; memory)."""
    alkalinity = np.linspace(20.0, 80.0, 601)
    calcium = alkalinity / 2.4973
    water = carbonate.open_to_air(
        totals_per_kilogram(alkalinity, calcium, 0.0, 0.0, 0.0, 0.0, 0.0), 25.0, 3.5e-4
    )
    place = np.argmin(np.abs(saturation_index(water, "calcite")))
    assert water.ph[place] == pytest.approx(8.3, abs=0.05)
    assert calcium[place] == pytest.approx(20.0, abs=1.5)


@pytest.mark.parametrize("temperature", [5.0, 25.0, 60.0])
def test_pressure_is_that_of_the_air(temperature: float) -> None:
    """What `open_to_air` was given comes back."""
    water = carbonate.open_to_air(carbonate.speciate(*HARD), temperature, [1e-4, 4.2e-4, 0.01])
    assert carbon_dioxide_pressure(water) == pytest.approx([1e-4, 4.2e-4, 0.01], rel=1e-6)


def test_unknown_solid_is_named() -> None:
    with pytest.raises(ValueError, match="'calcit' is no solid known here; nearest: calcite"):
        saturation_index(carbonate.speciate(*HARD), "calcit")


def test_the_four_of_scale() -> None:
    found = saturation_indices(carbonate.speciate(*HARD))
    assert list(found) == ["calcite", "aragonite", "gypsum", "anhydrite"]


def test_temperatures_a_water() -> None:
    water = carbonate.heat(carbonate.speciate(*HARD), [25.0, 90.0])
    apart = [
        saturation_index(carbonate.heat(carbonate.speciate(*HARD), t), "calcite")
        for t in (25.0, 90.0)
    ]
    assert saturation_index(water, "calcite") == pytest.approx(apart)


class TestPrecipitation:
    def test_at_rest_afterwards(self) -> None:
        water = carbonate.speciate([6.5, 7.5, 8.5], *HARD[1:])
        found = precipitation_potential(water)
        assert saturation_index(found.after, "calcite") == pytest.approx([0.0] * 3, abs=1e-7)

    def test_sign_is_that_of_the_index(self) -> None:
        water = carbonate.speciate(np.linspace(6.0, 9.0, 31), *HARD[1:])
        sign = np.sign(precipitation_potential(water).potential)
        assert sign.tolist() == np.sign(saturation_index(water, "calcite")).tolist()

    def test_pure_water_dissolves_calcite(self) -> None:
        """Calcite in pure closed water: about 12 mg/L at 25 deg C (handbooks: 0.013 g/L)."""
        pure = carbonate.equilibrate(
            carbonate.speciate(7.0, 0.001, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0).totals
        )
        assert precipitation_potential(pure).potential == pytest.approx(-12.5, abs=1.0)

    def test_amounts_move_as_calcite(self) -> None:
        """What forms leaves calcium and carbonate alike, and twice as much alkalinity."""
        water = carbonate.heat(carbonate.speciate(*HARD), 90.0)
        found = precipitation_potential(water)
        formed = found.potential / 100.086e3
        moles = molalities(found.after)
        calcium = sum(moles[n] for n in ("Ca+2", "CaOH+", "CaHCO3+", "CaCO3", "CaSO4"))
        assert calcium == pytest.approx(water.totals.calcium - formed, rel=1e-6)
        carbonates = ("CO2", "HCO3-", "CO3-2", "CaHCO3+", "CaCO3")
        carbonates += ("MgHCO3+", "MgCO3", "NaHCO3", "NaCO3-")
        total = sum(moles[n] for n in carbonates)
        assert total == pytest.approx(water.totals.carbonate - formed, rel=1e-6)

    def test_nothing_known_nothing_said(self) -> None:
        water = carbonate.speciate([np.nan, 7.5], *HARD[1:])
        assert np.isnan(precipitation_potential(water).potential).tolist() == [True, False]
