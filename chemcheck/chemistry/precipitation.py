"""Calcium carbonate precipitation potential: how much forms before the water is at rest."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chemcheck.chemistry.balances import Held
from chemcheck.chemistry.equilibrium import equilibrium
from chemcheck.chemistry.ions import CALCIUM_CARBONATE_MOLAR_MASS
from chemcheck.chemistry.start import start_with_calcite
from chemcheck.chemistry.tableau import FULL, Tableau
from chemcheck.chemistry.waters import Speciation, known_rows

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Precipitation:
    """What a water does in contact with calcite.

    Parameters
    ----------
    potential : numpy.ndarray
        Calcium carbonate that forms (positive) or dissolves (negative) until saturation
        [mg CaCO3 per kg of water].
    after : Speciation
        The water at saturation; its totals are still those before.
    """

    potential: Floats
    after: Speciation


def precipitation_potential(water: Speciation, tableau: Tableau = FULL) -> Precipitation:
    """Calcium carbonate precipitation potential of a closed water at its temperature.

    Parameters
    ----------
    water : Speciation
        At the temperature in question.
    tableau : Tableau
        Species.

    Returns
    -------
    Precipitation
        Positive = precipitates, the sign of most of the literature; one regulation defines it the
        other way round.

    Warns
    -----
    OutsideValidityWarning, ConvergenceWarning
        As `carbonate.speciate_totals`.

    Notes
    -----
    Calcite forms or dissolves until its saturation index is zero; calcium and total carbonate
    change by as much, alkalinity by twice as much [1]_. The solid is given without limit, so that
    an undersaturated water dissolves what it can.

    References
    ----------
    .. [1] Definition as in Standard Methods 2330 and DIN 38404-10 (memory); full ions and the
       temperature stated as Water 13 (2021) 42 asks.

    Examples
    --------
    >>> from chemcheck.chemistry.carbonate import heat, speciate
    >>> cold = speciate(7.6, 120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0)
    >>> hot = heat(cold, 90.0)
    >>> [round(float(precipitation_potential(w).potential), 1) for w in (cold, hot)]
    [2.2, 31.3]
    """
    after, calcium = equilibrium(
        water.totals,
        Held.CALCITE,
        water.totals.carbonate,
        water.temperature,
        start_with_calcite,
        tableau,
        known_rows(water),
    )
    formed = (water.totals.calcium - calcium) * (CALCIUM_CARBONATE_MOLAR_MASS * 1e3)
    return Precipitation(np.asarray(formed)[()], after)
