"""Carbonate equilibrium of natural waters: as sampled, heated, open to air, blended.

Total amounts are what an analysis finds; they never change here, except that a water open to air
takes up or gives off carbon dioxide. Species follow from them. All of it describes the water
alone: a rinse, running on water, a top-up before it mixes; nothing here holds for glycol.
"""

from collections.abc import Sequence
from dataclasses import fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry import constants
from chemcheck.chemistry.activity import LN10
from chemcheck.chemistry.balances import Held
from chemcheck.chemistry.equilibrium import equilibrium
from chemcheck.chemistry.start import start_at_ph, start_closed, start_heated, start_open
from chemcheck.chemistry.tableau import FULL, Tableau, natural_log_k
from chemcheck.chemistry.waters import Speciation, Totals, known_rows, totals_per_kilogram

# Carbon dioxide in air, 2023 to 2024, about 420 ppm (memory: NOAA's global mean) [atm].
AIR_CARBON_DIOXIDE = 4.2e-4


def speciate(
    ph: ArrayLike,
    alkalinity: ArrayLike,
    calcium: ArrayLike,
    magnesium: ArrayLike,
    sodium: ArrayLike,
    potassium: ArrayLike,
    chloride: ArrayLike,
    sulfate: ArrayLike,
    silica: ArrayLike = 0.0,
    temperature: ArrayLike = 25.0,
    tableau: Tableau = FULL,
) -> Speciation:
    """Speciate waters from their analysis at the temperature of sampling.

    Parameters
    ----------
    ph : float or array-like
        Measured at `temperature`.
    alkalinity : float or array-like
        [mg/L as CaCO3].
    calcium, magnesium, sodium, potassium, chloride, sulfate : float or array-like
        [mg/L of the ion]; NaN where it is not known, and then the result is NaN.
    silica : float or array-like
        [mg/L as SiO2].
    temperature : float or array-like
        Of the sample when the pH was read [deg C].
    tableau : Tableau
        Species; `Tableau.without` leaves some out.

    Returns
    -------
    Speciation
        Arrays of the common shape of the inputs.

    Warns
    -----
    OutsideValidityWarning, ExtrapolationWarning, ConvergenceWarning
        As `speciate_totals`.

    Examples
    --------
    >>> water = speciate(7.6, 120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0)
    >>> round(float(water.totals.carbonate) * 1e3, 3), round(float(water.ionic_strength), 4)
    (2.509, 0.0069)
    """
    totals = totals_per_kilogram(
        alkalinity, calcium, magnesium, sodium, potassium, chloride, sulfate, silica
    )
    return speciate_totals(totals, ph, temperature, tableau)


def speciate_totals(
    totals: Totals, ph: ArrayLike, temperature: ArrayLike = 25.0, tableau: Tableau = FULL
) -> Speciation:
    """Speciate waters from totals per kilogram and a measured pH.

    Parameters
    ----------
    totals : Totals
        Its total carbonate is not used: pH and alkalinity decide it.
    ph : float or array-like
        Measured at `temperature`.
    temperature : float or array-like
        [deg C].
    tableau : Tableau
        Species.

    Returns
    -------
    Speciation
        Total carbonate among its totals.

    Warns
    -----
    OutsideValidityWarning
        Where an amount is negative, the temperature lies outside 0 to 130 deg C, the ionic
        strength above 0.5 mol/kg (seawater), or the alkalinity is impossible at the pH: NaN.
    ExtrapolationWarning
        Above 100 deg C; `Speciation.extrapolated` marks the waters.
    ConvergenceWarning
        Where the iteration did not reach its tolerance: NaN, `Speciation.converged` false.

    Notes
    -----
    Ion association with the species of `species`, constants of `constants`, activity coefficients
    of `activity`; Newton's method of `newton`. Alkalinity is the sum over all species of the
    acid they would take up to carbon dioxide, silicic acid and the free metals [1]_; it is held,
    so that pairing cannot move it.

    References
    ----------
    .. [1] Stumm, W. and Morgan, J. J., Aquatic Chemistry, 3rd ed. (1996), chapter 4.

    Examples
    --------
    >>> totals = totals_per_kilogram(120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0)
    >>> bool(speciate_totals(totals, 7.6).converged)
    True
    """
    held = -LN10 * np.asarray(ph, dtype=np.float64)
    return equilibrium(totals, Held.PH, held, temperature, start_at_ph, tableau)[0]


def equilibrate(
    totals: Totals, temperature: ArrayLike = 25.0, tableau: Tableau = FULL
) -> Speciation:
    """Find the equilibrium of a closed water from its totals alone.

    Parameters
    ----------
    totals : Totals
        Total carbonate among them.
    temperature : float or array-like
        [deg C].
    tableau : Tableau
        Species.

    Returns
    -------
    Speciation
        With the same totals.

    Warns
    -----
    OutsideValidityWarning, ExtrapolationWarning, ConvergenceWarning
        As `speciate_totals`.

    Examples
    --------
    >>> sampled = speciate(7.6, 120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0)
    >>> round(float(equilibrate(sampled.totals).ph), 6)
    7.6
    """
    return equilibrium(
        totals, Held.CARBONATE, totals.carbonate, temperature, start_closed, tableau
    )[0]


def heat(water: Speciation, temperature: ArrayLike, tableau: Tableau = FULL) -> Speciation:
    """Bring a closed water to another temperature.

    Parameters
    ----------
    water : Speciation
        As sampled.
    temperature : float or array-like
        [deg C].
    tableau : Tableau
        Species.

    Returns
    -------
    Speciation
        With the same totals, total carbonate and alkalinity included.

    Warns
    -----
    OutsideValidityWarning, ExtrapolationWarning, ConvergenceWarning
        As `speciate_totals`.

    Examples
    --------
    >>> sampled = speciate(7.6, 120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0)
    >>> round(float(heat(sampled, 90.0).ph), 2)
    7.44
    """
    totals = water.totals
    return equilibrium(
        totals,
        Held.CARBONATE,
        totals.carbonate,
        temperature,
        start_heated,
        tableau,
        known_rows(water),
    )[0]


def open_to_air(
    water: Speciation | Totals,
    temperature: ArrayLike = 25.0,
    carbon_dioxide: ArrayLike = AIR_CARBON_DIOXIDE,
    tableau: Tableau = FULL,
) -> Speciation:
    """Let a water exchange carbon dioxide with air until both are in equilibrium.

    Parameters
    ----------
    water : Speciation or Totals
        Its total carbonate is not used.
    temperature : float or array-like
        [deg C].
    carbon_dioxide : float or array-like
        Partial pressure of carbon dioxide [atm].
    tableau : Tableau
        Species.

    Returns
    -------
    Speciation
        Same totals but for total carbonate.

    Warns
    -----
    OutsideValidityWarning, ExtrapolationWarning, ConvergenceWarning
        As `speciate_totals`.

    Notes
    -----
    Henry's law with the constant of Plummer and Busenberg 1982; the gas is taken as ideal. In a
    vented system it is the other bound to the closed one of `heat`. Steam that thins the air
    near the boiling point drives off more still: give the lower pressure.

    Examples
    --------
    Pure water in air has a pH of about 5.6:

    >>> pure = totals_per_kilogram(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    >>> round(float(open_to_air(pure).ph), 1)
    5.6
    """
    totals = water.totals if isinstance(water, Speciation) else water
    heat_now = np.asarray(temperature, dtype=np.float64)
    henry = natural_log_k([constants.CARBON_DIOXIDE_GAS], heat_now.ravel())[0]
    pressure = np.asarray(carbon_dioxide, dtype=np.float64)
    held = henry.reshape(heat_now.shape) + np.log(np.where(pressure > 0.0, pressure, np.nan))
    return equilibrium(totals, Held.CARBON_DIOXIDE, held, temperature, start_open, tableau)[0]


def blend(waters: Sequence[Totals], shares: ArrayLike) -> Totals:
    """Mix waters: amounts add, and pH follows from `equilibrate` or `open_to_air`.

    Parameters
    ----------
    waters : sequence of Totals
        Total carbonate among them.
    shares : array-like, shape (k,) or (k, n)
        Share of each water, by mass of water; they are scaled to a sum of one.

    Returns
    -------
    Totals
        Of the mixture; NaN where an amount of a water with a share above zero is NaN.

    Raises
    ------
    ValueError
        Without waters, with a number of shares that differs, or with a negative share or none
        above zero.

    Notes
    -----
    Alkalinity and total carbonate are conserved on mixing, pH is not.

    Examples
    --------
    >>> hard = speciate(7.4, 250.0, 100.0, 20.0, 15.0, 2.0, 40.0, 60.0).totals
    >>> pure = speciate(7.0, 1.0, 0.1, 0.0, 0.1, 0.0, 0.1, 0.1).totals
    >>> half = blend([hard, pure], [0.5, 0.5])
    >>> round(float(half.calcium / hard.calcium), 2), round(float(equilibrate(half).ph), 2)
    (0.5, 7.42)
    """
    parts = np.asarray(shares, dtype=np.float64)
    if not waters or len(waters) != len(parts):
        msg = f"{len(waters)} waters but {len(parts)} shares: expected one share a water"
        raise ValueError(msg)
    whole = parts.sum(axis=0)
    if np.any(parts < 0.0) or not np.all(whole > 0.0):
        msg = "shares must not be negative, and one must be above zero"
        raise ValueError(msg)
    parts = parts / whole

    def mixed(name: str) -> NDArray[np.float64]:
        total: NDArray[np.float64] = np.zeros(parts.shape[1:])
        for part, water in zip(parts, waters, strict=True):
            total = total + np.where(part > 0.0, part * getattr(water, name), 0.0)
        return total[()]

    return Totals(**{field.name: mixed(field.name) for field in fields(Totals)})
