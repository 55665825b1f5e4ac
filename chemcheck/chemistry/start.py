"""Where the iteration begins: near enough that few steps are left, and never outside."""

import numpy as np
from numpy.typing import NDArray

from chemcheck.chemistry import constants
from chemcheck.chemistry.activity import LN10
from chemcheck.chemistry.balances import (
    ALKALINITY,
    CALCIUM,
    CHLORIDE,
    HELD,
    LN_CARBONATE,
    LN_HYDROGEN,
    LN_SULFATE,
    LN_WATER,
    PARTNERS,
    STRENGTH,
    SULFATE,
)
from chemcheck.chemistry.species import FREE
from chemcheck.chemistry.tableau import Tableau, natural_log_k

Floats = NDArray[np.float64]

_OH, _CO2, _HCO3 = (
    next(i for i, s in enumerate(FREE) if s.name == name) for name in ("OH-", "CO2", "HCO3-")
)
# Rows of `waters.known_rows` beyond the state.
_LN_CALCIUM, _TEMPERATURE = 5, 6
_LEAST = 1e-9  # [mol/kg], below what any natural water holds of bicarbonate


def start_at_ph(amounts: Floats, known: Floats, temperature: Floats, tableau: Tableau) -> Floats:
    """Begin from a measured pH: the alkalinity taken as bicarbonate and carbonate.

    Parameters
    ----------
    amounts : numpy.ndarray, shape (4 + partners, n)
        Rows as named in `balances`; held is the natural logarithm of the activity of H+.
    known : numpy.ndarray
        Nothing is known before; not used.
    temperature : numpy.ndarray, shape (n,) or (1,)
        [deg C].
    tableau : Tableau
        The species.

    Returns
    -------
    numpy.ndarray, shape (5, n)
        State to begin from.
    """
    log_k = tableau.log_constants(temperature)
    state, log_ion = _ions(amounts)
    bicarbonate = np.exp(log_k[_HCO3] + amounts[HELD] - log_ion)
    alkalinity = np.maximum(amounts[ALKALINITY], _LEAST)
    state[LN_HYDROGEN] = amounts[HELD]
    state[LN_CARBONATE] = np.log(0.9 * alkalinity / (bicarbonate + 2.0 * np.exp(-4.0 * log_ion)))
    return state


def start_closed(amounts: Floats, known: Floats, temperature: Floats, tableau: Tableau) -> Floats:
    """Begin from total carbonate and alkalinity.

    Carbon dioxide less carbonate is total carbonate less alkalinity, and their product follows
    from bicarbonate, for which the alkalinity stands.

    Parameters
    ----------
    amounts : numpy.ndarray, shape (4 + partners, n)
        Rows as named in `balances`; held is total carbonate [mol/kg].
    known : numpy.ndarray
        Nothing is known before; not used.
    temperature : numpy.ndarray, shape (n,) or (1,)
        [deg C].
    tableau : Tableau
        The species.

    Returns
    -------
    numpy.ndarray, shape (5, n)
        State to begin from.
    """
    log_k = tableau.log_constants(temperature)
    first, second = log_k[_HCO3] - log_k[_CO2], -log_k[_HCO3]
    state, log_ion = _ions(amounts)
    bicarbonate = np.clip(amounts[ALKALINITY], _LEAST, np.maximum(amounts[HELD], _LEAST))
    excess = amounts[HELD] - amounts[ALKALINITY]
    product = np.exp(second - first - 2.0 * log_ion) * bicarbonate**2
    root = np.sqrt(excess**2 + 4.0 * product)
    dioxide = np.where(excess > 0.0, 0.5 * (root + excess), 2.0 * product / (root - excess))
    acid = np.maximum(dioxide / bicarbonate, 1e-12)
    hydrogen = first + np.log(acid) - log_ion
    # Beyond what carbonate buffers, strong acid or base decides.
    strong = np.log(np.maximum(-amounts[ALKALINITY], 1e-14))
    state[LN_HYDROGEN] = np.clip(np.maximum(hydrogen, strong), -13.5 * LN10, -2.0 * LN10)
    state[LN_CARBONATE] = np.log(bicarbonate) + log_ion - log_k[_HCO3] - state[LN_HYDROGEN]
    return state


def start_open(amounts: Floats, known: Floats, temperature: Floats, tableau: Tableau) -> Floats:
    """Begin from the activity of carbon dioxide and the alkalinity.

    Parameters
    ----------
    amounts : numpy.ndarray, shape (4 + partners, n)
        Rows as named in `balances`; held is the natural logarithm of the activity of CO2.
    known : numpy.ndarray
        Nothing is known before; not used.
    temperature : numpy.ndarray, shape (n,) or (1,)
        [deg C].
    tableau : Tableau
        The species.

    Returns
    -------
    numpy.ndarray, shape (5, n)
        State to begin from.
    """
    log_k = tableau.log_constants(temperature)
    state, log_ion = _ions(amounts)
    # H+ (alkalinity + H+) is the product of bicarbonate and H+.
    product = np.exp(log_k[_HCO3] - log_k[_CO2] + amounts[HELD] - 2.0 * log_ion)
    alkalinity = amounts[ALKALINITY]
    root = np.sqrt(alkalinity**2 + 4.0 * product)
    positive = alkalinity > 0.0
    hydrogen = np.where(
        positive,
        2.0 * product / np.where(positive, root + alkalinity, 1.0),
        0.5 * (root - alkalinity),
    )
    state[LN_HYDROGEN] = np.clip(np.log(hydrogen) + log_ion, -11.0 * LN10, -2.0 * LN10)
    state[LN_CARBONATE] = amounts[HELD] - log_k[_CO2] - 2.0 * state[LN_HYDROGEN]
    return state


def start_heated(amounts: Floats, known: Floats, temperature: Floats, tableau: Tableau) -> Floats:
    """Begin from the equilibrium at another temperature.

    Bicarbonate stays, and pH moves as the constants that buffer it, each by its share.

    Parameters
    ----------
    amounts : numpy.ndarray, shape (4 + partners, n)
        Rows as named in `balances`.
    known : numpy.ndarray, shape (7, n)
        That equilibrium, rows of `waters.known_rows`.
    temperature : numpy.ndarray, shape (n,) or (1,)
        Temperature that is asked for [deg C].
    tableau : Tableau
        The species.

    Returns
    -------
    numpy.ndarray, shape (5, n)
        State to begin from.
    """
    state, colder = _filled(known[: LN_WATER + 1], amounts), known[_TEMPERATURE]
    if np.all(colder == colder[0]):
        colder = colder[:1]
    log_k = tableau.log_constants(colder)
    moved = tableau.log_constants(temperature) - log_k
    hydrogen, carbonate = state[LN_HYDROGEN], state[LN_CARBONATE]
    dioxide = np.exp(log_k[_CO2] + 2.0 * hydrogen + carbonate)
    twice_carbonate = 2.0 * np.exp(carbonate)
    hydroxide = np.exp(log_k[_OH] - hydrogen)
    buffering = dioxide + twice_carbonate + hydroxide + np.exp(hydrogen)
    shift = (
        dioxide * (moved[_HCO3] - moved[_CO2])
        - twice_carbonate * moved[_HCO3]
        + hydroxide * moved[_OH]
    ) / buffering
    state[LN_HYDROGEN] += shift
    state[LN_CARBONATE] -= shift + moved[_HCO3]
    return state


def start_with_calcite(
    amounts: Floats, known: Floats, temperature: Floats, tableau: Tableau
) -> Floats:
    """Begin from the equilibrium without calcite.

    A supersaturated water begins where it is. In an undersaturated one the solid would start
    from an absurd amount of calcium; there its carbon dioxide is taken as used up by calcite.

    Parameters
    ----------
    amounts : numpy.ndarray, shape (4 + partners, n)
        Rows as named in `balances`.
    known : numpy.ndarray, shape (7, n)
        That equilibrium at the same temperature, rows of `waters.known_rows`.
    temperature : numpy.ndarray, shape (n,) or (1,)
        [deg C].
    tableau : Tableau
        The species.

    Returns
    -------
    numpy.ndarray, shape (5, n)
        State to begin from.
    """
    log_k = tableau.log_constants(temperature)
    solubility = natural_log_k([constants.SOLIDS["calcite"]], temperature)[0]
    state = _filled(known[: LN_WATER + 1], amounts)
    hydrogen, carbonate = known[LN_HYDROGEN], state[LN_CARBONATE]
    log_ion = _log_ion(known[STRENGTH])
    calcium = amounts[PARTNERS][CALCIUM]
    alkalinity = np.maximum(amounts[ALKALINITY], 0.0)
    # Ca (HCO3)^2 over CO2 is a constant: what dissolves is less than each of these.
    dioxide = np.exp(log_k[_CO2] + 2.0 * hydrogen + carbonate)
    product = np.exp(2.0 * (log_k[_HCO3] + hydrogen) + solubility + carbonate - 6.0 * log_ion)
    dissolved = np.minimum(dioxide, np.cbrt(0.25 * product))
    np.minimum(dissolved, product / (alkalinity + _LEAST) ** 2, out=dissolved)
    np.minimum(dissolved, 0.5 * np.sqrt(product / (calcium + _LEAST)), out=dissolved)
    # Without carbon dioxide the product of calcium and carbonate decides.
    free_carbonate = np.exp(carbonate - 4.0 * log_ion)
    gap = 0.5 * (calcium - free_carbonate)
    dissolved += np.sqrt(gap**2 + np.exp(solubility - 8.0 * log_ion)) - 0.5 * (
        calcium + free_carbonate
    )
    raised = solubility - np.log(calcium + dissolved) - 4.0 * log_ion
    bicarbonate = np.exp(log_k[_HCO3] + hydrogen + carbonate - log_ion) + 2.0 * dissolved
    under = known[_LN_CALCIUM] + carbonate < solubility
    np.maximum(raised, carbonate, out=raised)
    lowered = np.log(bicarbonate) + log_ion - log_k[_HCO3] - raised
    state[LN_CARBONATE] = np.where(under, raised, carbonate)
    state[LN_HYDROGEN] = np.where(under, lowered, hydrogen)
    state[STRENGTH] += np.where(under, 3.0 * dissolved, 0.0)
    return state


def _ions(amounts: Floats) -> tuple[Floats, Floats]:
    """Ionic strength, water and sulfate to begin with; ln of a single ion's activity coefficient.

    One tenth of the charge is taken as paired.
    """
    calcium, magnesium, sodium, potassium = amounts[PARTNERS][:4]
    state = np.empty((LN_WATER + 1, amounts.shape[1]))
    strength = state[STRENGTH]
    np.add(calcium, magnesium, out=strength)
    strength += amounts[SULFATE]
    strength *= 4.0
    strength += sodium + potassium + amounts[CHLORIDE]
    strength += np.maximum(amounts[ALKALINITY], _LEAST)
    strength *= 0.45
    strength += 1e-7
    log_ion = _log_ion(strength)
    state[LN_SULFATE] = np.log(amounts[SULFATE]) + (4.0 * log_ion - 0.2)
    state[LN_WATER] = 0.0
    return state, log_ion


def _filled(state: Floats, amounts: Floats) -> Floats:
    """Copy a state; what was absent in it gets the little that stands for none."""
    filled = state.copy()
    for row, total in ((LN_SULFATE, amounts[SULFATE]), (LN_CARBONATE, amounts[HELD])):
        absent = np.isneginf(filled[row])
        if absent.any():
            filled[row, absent] = np.log(total[absent])
    return filled


def _log_ion(strength: Floats) -> Floats:
    """Natural logarithm of a singly charged ion's activity coefficient, about."""
    root = np.sqrt(strength)
    return (-0.51 * LN10) * root / (1.0 + 1.5 * root)
