"""The records of a set of waters: what an analysis found, and what it does at a temperature."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.activity import LN10
from chemcheck.chemistry.ions import CALCIUM_CARBONATE_MOLAR_MASS, IONS

Floats = NDArray[np.float64]

SILICA_MOLAR_MASS = 28.085 + 2 * 15.999  # SiO2 [g/mol], IUPAC 2021
# A litre of water at 20 deg C [kg]; handbook value.
_WATER_PER_LITRE = 0.9982
# What a kilogram of dissolved salts displaces beyond its own mass [kg of water]: about a quarter
# for natural salts (memory; it gives seawater's water content to 0.05 %).
_DISPLACED = 0.25


@dataclass(frozen=True, slots=True, eq=False)
class Totals:
    """Total analytical amounts of waters: what heating and the pairing of ions cannot change.

    Parameters
    ----------
    calcium, magnesium, sodium, potassium, chloride, sulfate : numpy.ndarray
        [mol/kg of water].
    alkalinity : numpy.ndarray
        [eq/kg of water].
    carbonate : numpy.ndarray
        Total inorganic carbon [mol/kg of water].
    silica : numpy.ndarray
        [mol/kg of water]; zero where it was not given.
    """

    calcium: Floats
    magnesium: Floats
    sodium: Floats
    potassium: Floats
    chloride: Floats
    sulfate: Floats
    alkalinity: Floats
    carbonate: Floats
    silica: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Speciation:
    """Equilibrium of waters at a temperature; NaN where it could not be found.

    Parameters
    ----------
    totals : Totals
        Total amounts, total carbonate among them.
    temperature : numpy.ndarray
        [deg C].
    ph : numpy.ndarray
        -log10 of the activity of H+.
    ionic_strength : numpy.ndarray
        [mol/kg].
    log_water : numpy.ndarray
        log10 of the activity of water.
    log_calcium, log_magnesium, log_sodium, log_potassium : numpy.ndarray
        log10 of the activities of the free ions; -inf where there is none.
    log_carbonate, log_sulfate : numpy.ndarray
        log10 of the activities of CO3-2 and SO4-2; -inf where there is none.
    log_silica : numpy.ndarray
        log10 of the activity of H4SiO4; -inf where there is none.
    converged : numpy.ndarray of bool
        False where the iteration did not reach its tolerance, where the water lies outside the
        model's range, or where its alkalinity is impossible at its pH.
    impossible : numpy.ndarray of bool
        True where hydroxide alone exceeds the alkalinity that was given.
    """

    totals: Totals
    temperature: Floats
    ph: Floats
    ionic_strength: Floats
    log_water: Floats
    log_calcium: Floats
    log_magnesium: Floats
    log_sodium: Floats
    log_potassium: Floats
    log_carbonate: Floats
    log_sulfate: Floats
    log_silica: Floats
    converged: NDArray[np.bool_]
    impossible: NDArray[np.bool_]

    @property
    def extrapolated(self) -> NDArray[np.bool_]:
        """True above 100 deg C, where the constants leave the range they were published for."""
        return np.asarray(self.temperature > PUBLISHED_TEMPERATURES[1])


# Range of the constants' sources taken together, and how far they are carried on the saturation
# line of water with a warning [deg C].
PUBLISHED_TEMPERATURES = (0.0, 100.0)
HIGHEST_TEMPERATURE = 130.0


def water_per_litre(dissolved_solids: ArrayLike) -> Floats:
    """Mass of water in a litre of a natural water at 20 deg C.

    Parameters
    ----------
    dissolved_solids : float or array-like
        [mg/L].

    Returns
    -------
    numpy.ndarray
        [kg/L].

    Notes
    -----
    0.9982 - 0.25 x dissolved solids in kg/L: salts raise the density by about three quarters of
    their mass (memory).

    Examples
    --------
    >>> water_per_litre([0.0, 10_000.0]).tolist()
    [0.9982, 0.9957]
    """
    solids = np.asarray(dissolved_solids, dtype=np.float64)
    return _WATER_PER_LITRE - _DISPLACED * 1e-6 * solids


def totals_per_kilogram(
    alkalinity: ArrayLike,
    calcium: ArrayLike,
    magnesium: ArrayLike,
    sodium: ArrayLike,
    potassium: ArrayLike,
    chloride: ArrayLike,
    sulfate: ArrayLike,
    silica: ArrayLike = 0.0,
) -> Totals:
    """Total amounts per kilogram of water from an analysis per litre.

    Parameters
    ----------
    alkalinity : float or array-like
        [mg/L as CaCO3].
    calcium, magnesium, sodium, potassium, chloride, sulfate : float or array-like
        [mg/L of the ion].
    silica : float or array-like
        [mg/L as SiO2].

    Returns
    -------
    Totals
        Arrays of the common shape; total carbonate is NaN, as the pH decides it.

    Notes
    -----
    Mass concentration over molar mass, over the water in a litre (see `water_per_litre`).

    Examples
    --------
    >>> totals = totals_per_kilogram(100.0, 40.0, 12.0, 23.0, 4.0, 35.0, 48.0)
    >>> round(float(totals.calcium) * 1e3, 3), round(float(totals.alkalinity) * 1e3, 3)
    (1.0, 2.002)
    """
    given = (calcium, magnesium, sodium, potassium, chloride, sulfate, alkalinity, silica)
    arrays = np.broadcast_arrays(*(np.asarray(a, dtype=np.float64) for a in given))
    names = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate")
    # Bicarbonate, 1.219 times the alkalinity, stands for the alkalinity's mass.
    bicarbonate = 2.0 * IONS["bicarbonate"].molar_mass / CALCIUM_CARBONATE_MOLAR_MASS
    solids = sum(arrays[:6], start=arrays[7] + bicarbonate * arrays[6])
    per_litre = 1e-3 / water_per_litre(solids)
    amounts = [
        each * (per_litre / IONS[name].molar_mass)
        for name, each in zip(names, arrays[:6], strict=True)
    ]
    ions = dict(zip(names, amounts, strict=True))
    return Totals(
        **ions,
        alkalinity=arrays[6] * (per_litre * (2.0 / CALCIUM_CARBONATE_MOLAR_MASS)),
        carbonate=np.full(arrays[0].shape, np.nan)[()],
        silica=arrays[7] * (per_litre / SILICA_MOLAR_MASS),
    )


def known_rows(water: Speciation) -> Floats:
    """Return a speciation as the solver takes it to begin from another one.

    Parameters
    ----------
    water : Speciation
        The speciation.

    Returns
    -------
    numpy.ndarray, shape (7, ...)
        Natural logarithms of the activities of H+, CO3-2 and SO4-2; ionic strength; natural
        logarithms of the activities of water and Ca+2; temperature.

    Examples
    --------
    >>> from chemcheck.chemistry.carbonate import speciate
    >>> known_rows(speciate(7.0, 100.0, 40.0, 12.0, 23.0, 4.0, 35.0, 48.0)).shape
    (7,)
    """
    return np.stack(
        [
            -LN10 * np.asarray(water.ph),
            LN10 * np.asarray(water.log_carbonate),
            LN10 * np.asarray(water.log_sulfate),
            np.asarray(water.ionic_strength),
            LN10 * np.asarray(water.log_water),
            LN10 * np.asarray(water.log_calcium),
            np.asarray(water.temperature),
        ]
    )
