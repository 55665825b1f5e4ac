"""Activity coefficients: extended Debye-Hueckel with a linear term, Davies, and water's own."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.water_properties import debye_huckel_slopes

LN10 = float(np.log(10.0))
# Davies 1962, Ion Association, Butterworths, p. 41: 0.3 and the range to 0.5 mol/kg (memory).
DAVIES_LINEAR = 0.3
IONIC_STRENGTH_LIMIT = 0.5  # [mol/kg]
# Garrels and Christ 1965: water activity falls by 0.017 per mol/kg of dissolved species (memory;
# the same number in PHREEQC).
WATER_ACTIVITY_SLOPE = 0.017


def log_activity_coefficient(
    ionic_strength: ArrayLike,
    charge: int,
    size: float | None,
    linear: float = 0.0,
    temperature: ArrayLike = 25.0,
) -> NDArray[np.float64]:
    """Decimal logarithm of a single-ion activity coefficient.

    Parameters
    ----------
    ionic_strength : float or array-like
        [mol/kg].
    charge : int
        Charge number.
    size : float or None
        Ion-size parameter [Angstrom]; None for the Davies equation.
    linear : float
        Coefficient of the linear term [kg/mol]; not used with the Davies equation.
    temperature : float or array-like
        [deg C].

    Returns
    -------
    numpy.ndarray
        log10 of the activity coefficient.

    Notes
    -----
    -A z^2 sqrt(I) / (1 + B a sqrt(I)) + b I [1]_, or by Davies
    -A z^2 (sqrt(I) / (1 + sqrt(I)) - 0.3 I) [2]_. Good to an ionic strength of about 0.5 mol/kg;
    the functions that speciate leave waters above it empty.

    References
    ----------
    .. [1] Truesdell, A. H. and Jones, B. F., J. Res. US Geol. Survey 2 (1974) 233-248.
    .. [2] Davies, C. W., Ion Association, Butterworths, London (1962).

    Examples
    --------
    >>> round(float(log_activity_coefficient(0.1, 2, 5.0, 0.165)), 3)
    -0.408
    """
    strength, heat = np.broadcast_arrays(
        np.asarray(ionic_strength, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
    )
    slope_a, slope_b = debye_huckel_slopes(heat.ravel())
    charged = np.empty((2, strength.size))
    debye_huckel_terms(strength.ravel(), slope_a, slope_b, np.asarray([size or 0.0]), charged)
    decimal = charge**2 * charged[int(size is None)] / LN10
    if size is not None:
        decimal = decimal + linear * strength.ravel()
    return np.asarray(decimal.reshape(strength.shape)[()])


def debye_huckel_terms(
    ionic_strength: NDArray[np.floating],
    slope_a: NDArray[np.floating],
    slope_b: NDArray[np.floating],
    sizes: NDArray[np.floating],
    terms: NDArray[np.floating],
    slopes: NDArray[np.floating] | None = None,
) -> None:
    """Fill in the terms per squared charge of the natural logarithm of activity coefficients.

    Parameters
    ----------
    ionic_strength : numpy.ndarray, shape (n,)
        [mol/kg], above zero.
    slope_a, slope_b : numpy.ndarray, scalar or shape (n,)
        Slopes of `debye_huckel_slopes`.
    sizes : numpy.ndarray, shape (k,)
        Ion-size parameters [Angstrom].
    terms : numpy.ndarray, shape (k + 1, n)
        Filled with a row for every size, then one for the Davies equation.
    slopes : numpy.ndarray, shape (k + 1, n), optional
        Filled with the derivatives of the terms with respect to the ionic strength.

    Examples
    --------
    >>> terms = np.empty((2, 1))
    >>> debye_huckel_terms(np.array([0.1]), np.array(0.51), np.array(0.33), np.array([5.0]), terms)
    >>> terms.round(3).ravel().tolist()
    [-0.244, -0.247]
    """
    root = np.sqrt(ionic_strength)
    limiting = (-LN10) * slope_a * root
    np.multiply(sizes[:, None], slope_b * root, out=terms[:-1])
    terms[-1] = root
    terms += 1.0
    np.divide(limiting, terms, out=terms)
    davies = (LN10 * DAVIES_LINEAR) * slope_a
    if slopes is not None:
        # d/dI of L / (1 + k sqrt(I)), L = c sqrt(I), is the square of the term over 2 I L.
        np.multiply(terms, terms, out=slopes)
        slopes *= 0.5 / (ionic_strength * limiting)
        slopes[-1] += davies
    terms[-1] += davies * ionic_strength


def water_activity(dissolved: ArrayLike) -> NDArray[np.float64]:
    """Activity of the water.

    Parameters
    ----------
    dissolved : float or array-like
        Sum of the molalities of all dissolved species [mol/kg].

    Returns
    -------
    numpy.ndarray
        1 - 0.017 times the sum.

    References
    ----------
    .. [1] Garrels, R. M. and Christ, C. L., Solutions, Minerals, and Equilibria (1965); about
       Raoult's law, good to a few mol/kg.

    Examples
    --------
    >>> float(water_activity(1.0))
    0.983
    """
    return 1.0 - WATER_ACTIVITY_SLOPE * np.asarray(dissolved, dtype=np.float64)
