"""Equilibrium constants against figures that their sources print."""

import numpy as np
import pytest

from chemcheck.chemistry import constants
from chemcheck.chemistry.constants import LogK, log_k
from chemcheck.chemistry.water_properties import saturated_density

NAMED = {
    **constants.ION_PAIRS,
    **constants.SOLIDS,
    "bicarbonate": constants.BICARBONATE,
    "carbon dioxide": constants.CARBON_DIOXIDE,
    "carbon dioxide gas": constants.CARBON_DIOXIDE_GAS,
    "water": constants.WATER,
    "bisulfate": constants.BISULFATE,
    "silicate": constants.SILICATE,
}


@pytest.mark.parametrize(
    ("name", "printed"),
    [
        # phreeqc.dat of phreeqpython 1.6.2 prints log_k at 25 deg C beside each expression.
        ("bicarbonate", 10.329),
        ("carbon dioxide", 16.681),
        ("carbon dioxide gas", -1.468),
        ("bisulfate", 1.988),
        ("CaHCO3+", 11.435),
        ("CaCO3", 3.224),
        ("MgHCO3+", 11.399),
        ("MgCO3", 2.98),
        ("KSO4-", 0.85),
        ("calcite", -8.48),
        ("aragonite", -8.336),
        ("gypsum", -4.58),
        ("silicate", -9.83),
        ("amorphous silica", -2.71),
        # Blount and Dickson 1973 at 25 deg C.
        ("anhydrite", -4.28),
    ],
)
def test_value_at_25(name: str, printed: float) -> None:
    assert log_k(NAMED[name], 25.0) == pytest.approx(printed, abs=0.006)


def test_vaterite_is_the_most_soluble_of_the_three() -> None:
    """Plummer and Busenberg 1982: calcite -8.480, aragonite -8.336, vaterite -7.913 (memory)."""
    found = [log_k(constants.SOLIDS[s], 25.0) for s in ("calcite", "aragonite", "vaterite")]
    assert found == pytest.approx([-8.480, -8.336, -7.913], abs=0.001)


@pytest.mark.parametrize(
    ("temperature", "printed"),
    # IAPWS R11, ionization constant of water along the saturation line (memory).
    [(0.0, 14.95), (25.0, 13.995), (50.0, 13.26), (75.0, 12.69), (100.0, 12.25)],
)
def test_ionization_of_water(temperature: float, printed: float) -> None:
    assert -log_k(constants.WATER, temperature) == pytest.approx(printed, abs=0.02)


@pytest.mark.parametrize(
    ("name", "kilocalories"),
    # phreeqc.dat prints the enthalpy beside the expression in temperature.
    [("bisulfate", 3.85), ("bicarbonate", -3.561), ("carbon dioxide", -5.738), ("CaCO3", 3.545)],
)
def test_slope_is_the_enthalpy(name: str, kilocalories: float) -> None:
    """Van 't Hoff: d ln K / d(1/T) = -dH / R."""
    warm, cold = log_k(NAMED[name], 25.5), log_k(NAMED[name], 24.5)
    slope = np.log(10.0) * (warm - cold) / (1.0 / 298.65 - 1.0 / 297.65)
    assert -slope * 8.314462e-3 / 4.184 == pytest.approx(kilocalories, abs=0.15)


def test_gypsum_and_anhydrite_cross_near_50() -> None:
    """Blount and Dickson 1973 put the transition at 56 +- 3 deg C; the two sources here, 50 to 60.

    At the transition both solids are in equilibrium with one pure water.
    """
    temperatures = np.linspace(30.0, 90.0, 601)
    gap = log_k(constants.SOLIDS["gypsum"], temperatures) - log_k(
        constants.SOLIDS["anhydrite"], temperatures
    )
    crossing = temperatures[np.argmin(np.abs(gap))]
    assert 45.0 < crossing < 60.0


@pytest.mark.parametrize("name", sorted(NAMED))
def test_every_constant_has_a_source(name: str) -> None:
    constant = NAMED[name]
    assert constant.source
    assert constant.evidence in {"library", "memory"}
    assert "=" in constant.reaction


def test_stated_differences_from_the_database() -> None:
    """The two coefficients of phreeqc.dat that differ from Plummer and Busenberg 1982."""
    own = constants.ION_PAIRS["CaCO3"]
    other = LogK(own.reaction, -1228.732, -0.299440, 35512.75, 485.818)
    assert log_k(other, 25.0) - log_k(own, 25.0) == pytest.approx(0.0012, abs=5e-5)
    assert log_k(other, 90.0) - log_k(own, 90.0) == pytest.approx(0.0014, abs=1e-4)
    own = constants.ION_PAIRS["CaHCO3+"]
    other = LogK(own.reaction, 1317.0071, 0.34546894, -39916.84, -517.70761, 563713.9)
    assert log_k(other, 25.0) - log_k(own, 25.0) == pytest.approx(0.00013, abs=2e-5)
    gas = LogK("", 10.5624, -2.3547e-2, -3972.8, 0.0, 5.8746e5, 1.9194e-5)
    temperatures = np.linspace(0.0, 130.0, 27)
    off = log_k(gas, temperatures) - log_k(constants.CARBON_DIOXIDE_GAS, temperatures)
    assert np.abs(off).max() < 0.0004


def test_stated_difference_from_the_iapws_release() -> None:
    """IAPWS R11-07, ionization constant of water (coefficients from memory).

    It gives 13.995 at 25 deg C and 12.252 at 100, as the release's table does.
    """
    temperature = np.array([25.0, 90.0, 100.0, 130.0])
    kelvin, rho = temperature + 273.15, saturated_density(temperature) * 1e-3
    z = rho * np.exp(-0.864671 + 8659.19 / kelvin - 22786.2 / kelvin**2 * rho ** (2.0 / 3.0))
    hydration = z / (z + 1.0) * rho * (0.642044 - 56.8534 / kelvin - 0.375754 * rho)
    gas = 0.61415 + 48251.33 / kelvin - 67707.93 / kelvin**2 + 1.01021e7 / kelvin**3
    molar = 2.0 * np.log10(18.015268e-3)
    release = 12.0 * (np.log10(1.0 + z) - hydration) - gas - molar
    assert -release[[0, 2]] == pytest.approx([13.995, 12.252], abs=0.001)
    off = release - log_k(constants.WATER, temperature)
    assert off[[0, 1, 3]] == pytest.approx([-0.0001, -0.0118, -0.0158], abs=2e-4)


def test_stated_difference_of_the_calcium_sulfate_pair() -> None:
    """Nordstrom et al. 1990 as in wateq4f_PWN.dat of phreeqpython 1.6.2: 2.30, 1.65 kcal/mol."""
    other = constants.from_enthalpy("", 2.30, 1.65, "Nordstrom et al. 1990")
    off = log_k(other, [25.0, 90.0]) - log_k(constants.ION_PAIRS["CaSO4"], [25.0, 90.0])
    assert off == pytest.approx([0.05, 0.09], abs=0.005)


def test_a_table_of_temperatures_keeps_its_shape() -> None:
    table = np.array([[10.0, 25.0], [60.0, 90.0]])
    found = log_k(constants.SOLIDS["calcite"], table)
    assert found.shape == (2, 2)
    assert found.ravel() == pytest.approx(
        [log_k(constants.SOLIDS["calcite"], t) for t in table.ravel()]
    )
