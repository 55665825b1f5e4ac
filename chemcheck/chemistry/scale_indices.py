"""Scale and corrosion indices of natural water, each by its published formula.

They screen water alone: water-only running, a rinse, a top-up before it mixes. None of them
describes inhibited coolant, and none may be computed on a mixture with glycol. The saturation pH
of the formula and a full speciation differ by 0.1 to 0.3: name the method beside every index.

The formula's ranges: 0 to 90 deg C (memory: natural water), dissolved solids 10 to 10,000 mg/L
(memory: scope of ASTM D3739; seawater has an index of its own), calcium and alkalinity above zero.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.validity import keep_valid

TEMPERATURE_RANGE = (0.0, 90.0)
DISSOLVED_SOLIDS_RANGE = (10.0, 10_000.0)
PH_RANGE = (0.0, 14.0)

_VALIDITY = (
    "0 to 90 deg C, dissolved solids 10 to 10,000 mg/L, pH 0 to 14, calcium and alkalinity above 0"
)


def saturation_ph(
    temperature: ArrayLike,
    dissolved_solids: ArrayLike,
    calcium_hardness: ArrayLike,
    alkalinity: ArrayLike,
) -> NDArray[np.float64]:
    """PH at which the water would be saturated with calcium carbonate, by the short formula.

    Parameters
    ----------
    temperature : float or array-like
        [deg C].
    dissolved_solids : float or array-like
        [mg/L].
    calcium_hardness, alkalinity : float or array-like
        [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        pHs = 9.3 + A + B - C - D; NaN outside the range, with a warning.

    Warns
    -----
    OutsideValidityWarning
        Outside 0 to 90 deg C, 10 to 10,000 mg/L of dissolved solids, or where calcium or
        alkalinity is not above zero.

    Notes
    -----
    A = (log TDS - 1) / 10; B = -13.12 log(T + 273) + 34.55; C = log Ca - 0.4; D = log alkalinity
    [1]_. Tables printed beside the formula differ from it by up to 0.1.

    References
    ----------
    .. [1] UFC 3-240-13FN, Industrial water treatment, appendix B; also Corrosion Engineering:
       Principles and Practice, chapter 8.

    Examples
    --------
    >>> round(float(saturation_ph(25.0, 320.0, 150.0, 34.0)), 3)
    8.231
    """
    heat, salts, calcium, alkaline = _floats(
        temperature, dissolved_solids, calcium_hardness, alkalinity
    )
    return keep_valid(
        _saturation_ph(heat, salts, calcium, alkaline),
        _inside(heat, salts, calcium, alkaline),
        np.isnan(heat + salts + calcium + alkaline),
        "saturation pH",
        _VALIDITY,
    )


def langelier_index(
    ph: ArrayLike,
    temperature: ArrayLike,
    dissolved_solids: ArrayLike,
    calcium_hardness: ArrayLike,
    alkalinity: ArrayLike,
) -> NDArray[np.float64]:
    """Langelier index: the measured pH above the saturation pH.

    Parameters
    ----------
    ph : float or array-like
        Measured pH.
    temperature : float or array-like
        Temperature the index is asked for [deg C].
    dissolved_solids : float or array-like
        [mg/L].
    calcium_hardness, alkalinity : float or array-like
        [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        pH - pHs, positive = the water tends to deposit; NaN outside the range, with a warning.

    Warns
    -----
    OutsideValidityWarning
        As `saturation_ph`, and outside pH 0 to 14.

    Notes
    -----
    The pH is the measured one at every temperature, as published [1]_; a closed water's pH falls
    on heating, which a speciation follows and this index does not.

    References
    ----------
    .. [1] Langelier, W. F., The analytical control of anti-corrosion water treatment, J. AWWA 28
       (1936) 1500-1521; formula of UFC 3-240-13FN, appendix B.

    Examples
    --------
    >>> langelier_index(7.5, [25.0, 82.0], 320.0, 150.0, 34.0).round(2)
    array([-0.73,  0.27])
    """
    acid, heat, salts, calcium, alkaline = _floats(
        ph, temperature, dissolved_solids, calcium_hardness, alkalinity
    )
    return keep_valid(
        acid - _saturation_ph(heat, salts, calcium, alkaline),
        _inside(heat, salts, calcium, alkaline) & _inside_ph(acid),
        np.isnan(acid + heat + salts + calcium + alkaline),
        "Langelier index",
        _VALIDITY,
    )


def ryznar_index(
    ph: ArrayLike,
    temperature: ArrayLike,
    dissolved_solids: ArrayLike,
    calcium_hardness: ArrayLike,
    alkalinity: ArrayLike,
) -> NDArray[np.float64]:
    """Ryznar stability index, from the measured pH and the saturation pH.

    Parameters
    ----------
    ph : float or array-like
        Measured pH.
    temperature : float or array-like
        Temperature the index is asked for [deg C].
    dissolved_solids : float or array-like
        [mg/L].
    calcium_hardness, alkalinity : float or array-like
        [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        2 pHs - pH, low = the water tends to deposit; NaN outside the range, with a warning.

    Warns
    -----
    OutsideValidityWarning
        As `langelier_index`.

    References
    ----------
    .. [1] Ryznar, J. W., A new index for determining amount of calcium carbonate scale formed by
       a water, J. AWWA 36 (1944) 472-483; formula of UFC 3-240-13FN, appendix B.

    Examples
    --------
    >>> round(float(ryznar_index(8.2, 48.89, 1000.0, 500.0, 100.0)), 2)
    5.5
    """
    acid, heat, salts, calcium, alkaline = _floats(
        ph, temperature, dissolved_solids, calcium_hardness, alkalinity
    )
    return keep_valid(
        2.0 * _saturation_ph(heat, salts, calcium, alkaline) - acid,
        _inside(heat, salts, calcium, alkaline) & _inside_ph(acid),
        np.isnan(acid + heat + salts + calcium + alkaline),
        "Ryznar index",
        _VALIDITY,
    )


def puckorius_index(
    temperature: ArrayLike,
    dissolved_solids: ArrayLike,
    calcium_hardness: ArrayLike,
    alkalinity: ArrayLike,
) -> NDArray[np.float64]:
    """Puckorius (practical) scaling index, with the pH that the alkalinity would settle at.

    Parameters
    ----------
    temperature : float or array-like
        Temperature the index is asked for [deg C].
    dissolved_solids : float or array-like
        [mg/L].
    calcium_hardness, alkalinity : float or array-like
        [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        2 pHs - pHeq, low = the water tends to deposit; NaN outside the range, with a warning.

    Warns
    -----
    OutsideValidityWarning
        As `saturation_ph`.

    Notes
    -----
    pHeq = 1.465 log alkalinity + 4.54 takes the place of the measured pH [1]_. The coefficient is
    also printed 1.485, a misprint: the same manual's table gives 7.47 at 100 mg/L, which only
    1.465 gives [2]_.

    References
    ----------
    .. [1] Puckorius, P. R. and Brooke, J. M., A new practical index for calcium carbonate scale
       prediction in cooling tower systems, Corrosion 47 (1991) 280-284 (memory for the citation);
       formula of UFC 3-240-13FN, appendix B.
    .. [2] J. South. Afr. Inst. Min. Metall. 115(12) (2015), equation 4.

    Examples
    --------
    >>> round(float(puckorius_index(48.89, 1000.0, 500.0, 100.0)), 2)
    6.23
    """
    heat, salts, calcium, alkaline = _floats(
        temperature, dissolved_solids, calcium_hardness, alkalinity
    )
    settled = equilibrium_ph(alkaline)
    return keep_valid(
        2.0 * _saturation_ph(heat, salts, calcium, alkaline) - settled,
        _inside(heat, salts, calcium, alkaline),
        np.isnan(heat + salts + calcium + alkaline),
        "Puckorius index",
        _VALIDITY,
    )


def equilibrium_ph(alkalinity: ArrayLike) -> NDArray[np.float64]:
    """PH that the Puckorius index takes in place of the measured one.

    Parameters
    ----------
    alkalinity : float or array-like
        [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        1.465 log alkalinity + 4.54; NaN where the alkalinity is not above zero (the index built
        on it warns).

    References
    ----------
    .. [1] UFC 3-240-13FN, appendix B; coefficient: J. South. Afr. Inst. Min. Metall. 115(12)
       (2015), equation 4.

    Examples
    --------
    >>> round(float(equilibrium_ph(100.0)), 2)
    7.47
    """
    return 1.465 * _log10(np.asarray(alkalinity, dtype=np.float64)) + 4.54


def aggressive_index(
    ph: ArrayLike, calcium_hardness: ArrayLike, alkalinity: ArrayLike
) -> NDArray[np.float64]:
    """Aggressive index, made for asbestos-cement pipe.

    Parameters
    ----------
    ph : float or array-like
        Measured pH.
    calcium_hardness, alkalinity : float or array-like
        [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        pH + log10(alkalinity x calcium hardness), low = aggressive; NaN outside the range, with a
        warning.

    Warns
    -----
    OutsideValidityWarning
        Outside pH 0 to 14, or where calcium or alkalinity is not above zero.

    References
    ----------
    .. [1] AWWA C400, as quoted in water-treatment glossaries.

    Examples
    --------
    >>> round(float(aggressive_index(8.0, 100.0, 100.0)), 2)
    12.0
    """
    acid, calcium, alkaline = _floats(ph, calcium_hardness, alkalinity)
    return keep_valid(
        acid + _log10(calcium) + _log10(alkaline),
        _inside_ph(acid) & (calcium > 0.0) & (alkaline > 0.0),
        np.isnan(acid + calcium + alkaline),
        "aggressive index",
        "pH 0 to 14, calcium and alkalinity above 0",
    )


def _saturation_ph(
    temperature: NDArray[np.float64],
    dissolved_solids: NDArray[np.float64],
    calcium_hardness: NDArray[np.float64],
    alkalinity: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Compute pHs without the check of its range; NaN where a logarithm does not exist."""
    salts = 0.1 * (_log10(dissolved_solids) - 1.0)
    heat = 34.55 - 13.12 * _log10(temperature + 273.0)
    return 9.3 + salts + heat - (_log10(calcium_hardness) - 0.4) - _log10(alkalinity)


def _inside(
    temperature: NDArray[np.float64],
    dissolved_solids: NDArray[np.float64],
    calcium_hardness: NDArray[np.float64],
    alkalinity: NDArray[np.float64],
) -> NDArray[np.bool_]:
    """Where the formula's range holds."""
    return (
        (temperature >= TEMPERATURE_RANGE[0])
        & (temperature <= TEMPERATURE_RANGE[1])
        & (dissolved_solids >= DISSOLVED_SOLIDS_RANGE[0])
        & (dissolved_solids <= DISSOLVED_SOLIDS_RANGE[1])
        & (calcium_hardness > 0.0)
        & (alkalinity > 0.0)
    )


def _inside_ph(ph: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Where a pH is possible."""
    return (ph >= PH_RANGE[0]) & (ph <= PH_RANGE[1])


def _log10(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Decimal logarithm, NaN where there is none."""
    return np.log10(np.where(values > 0.0, values, np.nan))


def _floats(*values: ArrayLike) -> list[NDArray[np.float64]]:
    """Return the arguments as arrays of floats."""
    return [np.asarray(value, dtype=np.float64) for value in values]
