"""Ratios of chloride and sulfate to what holds them back, each by its published definition."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.ions import IONS, alkalinity_equivalents, equivalents
from chemcheck.chemistry.validity import keep_valid


def larson_skold_index(
    chloride: ArrayLike, sulfate: ArrayLike, alkalinity: ArrayLike
) -> NDArray[np.float64]:
    """Larson-Skold index: chloride and sulfate against bicarbonate and carbonate.

    Parameters
    ----------
    chloride, sulfate : float or array-like
        [mg/L of the ion].
    alkalinity : float or array-like
        Bicarbonate and carbonate alkalinity [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        Ratio of equivalents; NaN where the alkalinity is not above zero or a concentration is
        negative, with a warning.

    Warns
    -----
    OutsideValidityWarning
        Where the alkalinity is not above zero or a concentration is negative.

    Notes
    -----
    (Cl + SO4) / (HCO3 + CO3), all in milliequivalents [1]_; some pages print it upside down.
    Its classes come from mild steel in water like that of the Great Lakes, and hold there only.

    References
    ----------
    .. [1] Larson, T. E. and Skold, R. V., Laboratory studies relating mineral quality of water to
       corrosion of steel and cast iron, Corrosion 14 (1958) 285t-288t (memory for the citation);
       equivalents as in 35 Ill. Adm. Code 604.900.

    Examples
    --------
    The corrosive water of ASTM D1384:

    >>> round(float(larson_skold_index(100.1, 100.1, 82.2)), 2)
    2.99
    """
    salt = np.asarray(chloride, dtype=np.float64)
    sulfuric = np.asarray(sulfate, dtype=np.float64)
    alkaline = np.asarray(alkalinity, dtype=np.float64)
    strong = _ion_equivalents("chloride", salt) + _ion_equivalents("sulfate", sulfuric)
    return keep_valid(
        strong / np.where(alkaline > 0.0, alkalinity_equivalents(alkaline), np.nan),
        (alkaline > 0.0) & (salt >= 0.0) & (sulfuric >= 0.0),
        np.isnan(salt + sulfuric + alkaline),
        "Larson-Skold index",
        "alkalinity above 0, no negative concentration",
    )


def chloride_sulfate_ratio(chloride: ArrayLike, sulfate: ArrayLike) -> NDArray[np.float64]:
    """Chloride-sulfate mass ratio.

    Parameters
    ----------
    chloride, sulfate : float or array-like
        [mg/L of the ion].

    Returns
    -------
    numpy.ndarray
        Ratio by mass; NaN where the sulfate is not above zero or the chloride is negative, with
        a warning.

    Warns
    -----
    OutsideValidityWarning
        Where the sulfate is not above zero or the chloride is negative.

    Notes
    -----
    Made for lead and solder joined to copper in drinking-water pipes [1]_.

    References
    ----------
    .. [1] US Geological Survey, Scientific Investigations Report 2016-5092.

    Examples
    --------
    >>> round(float(chloride_sulfate_ratio(100.0, 50.0)), 2)
    2.0
    """
    salt = np.asarray(chloride, dtype=np.float64)
    sulfuric = np.asarray(sulfate, dtype=np.float64)
    return keep_valid(
        salt / np.where(sulfuric > 0.0, sulfuric, np.nan),
        (sulfuric > 0.0) & (salt >= 0.0),
        np.isnan(salt + sulfuric),
        "chloride-sulfate mass ratio",
        "sulfate above 0, no negative chloride",
    )


def _ion_equivalents(key: str, mg_per_l: NDArray[np.float64]) -> NDArray[np.float64]:
    """Milliequivalents of one ion."""
    return equivalents(mg_per_l, IONS[key].molar_mass, IONS[key].charge)
