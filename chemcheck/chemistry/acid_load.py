"""How much reserve alkalinity the acids found in a coolant have used up."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

# Equivalent masses of the anions of acids that form in a coolant: molar mass over charge
# (IUPAC 2021, abridged) [mg/meq].
EQUIVALENT_MASS: Mapping[str, float] = MappingProxyType(
    {
        "glycolate": 75.043,
        "formate": 45.017,
        "acetate": 59.044,
        "lactate": 89.070,
        "oxalate": 88.018 / 2,
        "sulfate": 96.06 / 2,
        "nitrate": 62.004,
    }
)
# Acid that brings 10 mL of sample to pH 5.5 is counted in mL of 0.1 mol/L (ASTM D1121): one
# is 10 meq/L of the sample.
MEQ_PER_UNIT = 10.0


def acid_equivalents(anion: str, concentration: ArrayLike) -> NDArray[np.float64]:
    """Acid that an anion came from, if it came from an acid.

    Parameters
    ----------
    anion : str
        A key of `EQUIVALENT_MASS`.
    concentration : float or array-like
        Of the anion, less what the fresh fill and the top-up water brought as neutral salt
        [mg/L].

    Returns
    -------
    numpy.ndarray
        [meq/L].

    Raises
    ------
    KeyError
        If the anion is of no acid known here.

    Examples
    --------
    >>> round(float(acid_equivalents("glycolate", 1000.0)), 1)
    13.3
    """
    return np.asarray(np.divide(concentration, EQUIVALENT_MASS[anion], dtype=np.float64))[()]


def reserve_alkalinity_used(equivalents: ArrayLike) -> NDArray[np.float64]:
    """Reserve alkalinity that acid has used up.

    Parameters
    ----------
    equivalents : float or array-like
        Sum over the acids [meq/L].

    Returns
    -------
    numpy.ndarray
        [mL 0.1 mol/L acid for 10 mL].

    References
    ----------
    .. [1] ASTM D1121, Reserve alkalinity of engine coolants and antirusts.

    Examples
    --------
    >>> round(float(reserve_alkalinity_used(13.3)), 1)
    1.3
    """
    return np.asarray(np.divide(equivalents, MEQ_PER_UNIT, dtype=np.float64))[()]


def ionised_fraction(acidity: ArrayLike, ph: ArrayLike) -> NDArray[np.float64]:
    """Share of a weak acid that has given off its proton.

    Parameters
    ----------
    acidity : float or array-like
        pKa.
    ph : float or array-like
        pH.

    Returns
    -------
    numpy.ndarray
        From 0 to 1: what the titration to that pH does not count is the rest.

    References
    ----------
    .. [1] Henderson-Hasselbalch equation, as in any text of analytical chemistry; activity
       coefficients taken as one.

    Examples
    --------
    >>> round(1.0 - float(ionised_fraction(4.8, 5.5)), 2)
    0.17
    """
    with np.errstate(over="ignore"):
        return np.asarray(1.0 / (1.0 + 10.0 ** np.subtract(acidity, ph, dtype=np.float64)))[()]
