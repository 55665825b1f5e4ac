"""Calcium phosphate from a trace of phosphate: whether hydroxyapatite can form."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.activity import log_activity_coefficient
from chemcheck.chemistry.constants import (
    BALL_NORDSTROM,
    SOLIDS,
    LogK,
    from_enthalpy,
    log_k,
    plus,
)
from chemcheck.chemistry.validity import keep_valid
from chemcheck.chemistry.waters import Speciation, water_per_litre

PHOSPHATE_MOLAR_MASS = 30.974 + 4 * 15.999  # PO4 [g/mol], IUPAC 2021
# Above this the phosphate would count in the alkalinity and tie up calcium.
TRACE_LIMIT = 10.0  # [mg/L as PO4]


@dataclass(frozen=True, slots=True)
class _Form:
    """One species of phosphate: PO4-3 + hydrogen H+ + partner."""

    constant: LogK
    charge: int
    size: float | None
    hydrogen: int = 0
    partner: str = ""


def _acid(reaction: str, log_k_25: float, kilocalories: float) -> LogK:
    """Write a constant as phreeqc.dat of phreeqpython 1.6.2 has it, after Ball and Nordstrom."""
    return from_enthalpy(reaction, log_k_25, kilocalories, BALL_NORDSTROM)


_ONE = _acid("PO4-3 + H+ = HPO4-2", 12.346, -3.530)
_TWO = _acid("PO4-3 + 2 H+ = H2PO4-", 19.553, -4.520)
_THREE = _acid("PO4-3 + 3 H+ = H3PO4", 21.721, -10.1 / 4.184)
_FORMS = (
    _Form(LogK("PO4-3", 0.0), -3, 4.0),
    _Form(_ONE, -2, 5.0, 1),
    _Form(_TWO, -1, 5.4, 2),
    _Form(_THREE, 0, 0.0, 3),
    _Form(_acid("Ca+2 + PO4-3 = CaPO4-", 6.459, 3.10), -1, 5.4, 0, "calcium"),
    _Form(plus(_acid("Ca+2 + HPO4-2 = CaHPO4", 2.739, 3.3), _ONE), 0, 0.0, 1, "calcium"),
    _Form(plus(_acid("Ca+2 + H2PO4- = CaH2PO4+", 1.408, 3.4), _TWO), 1, 5.4, 2, "calcium"),
    _Form(_acid("Mg+2 + PO4-3 = MgPO4-", 6.589, 3.10), -1, 5.4, 0, "magnesium"),
    _Form(plus(_acid("Mg+2 + HPO4-2 = MgHPO4", 2.87, 3.3), _ONE), 0, 0.0, 1, "magnesium"),
    _Form(plus(_acid("Mg+2 + H2PO4- = MgH2PO4+", 1.513, 3.4), _TWO), 1, 5.4, 2, "magnesium"),
    _Form(plus(_acid("Na+ + HPO4-2 = NaHPO4-", 0.29, 0.0), _ONE), -1, 5.4, 1, "sodium"),
    _Form(plus(_acid("K+ + HPO4-2 = KHPO4-", 0.29, 0.0), _ONE), -1, 5.4, 1, "potassium"),
)


def hydroxyapatite_index(water: Speciation, phosphate: ArrayLike) -> NDArray[np.float64]:
    """Saturation index of hydroxyapatite, Ca5(PO4)3OH.

    Parameters
    ----------
    water : Speciation
        At the temperature in question.
    phosphate : float or array-like
        Orthophosphate, a trace [mg/L as PO4].

    Returns
    -------
    numpy.ndarray
        log10 of the ion activity product over the solubility product; NaN above 10 mg/L, with a
        warning, and where the speciation is.

    Warns
    -----
    OutsideValidityWarning
        Above 10 mg/L or below zero: phosphate is no trace then.

    Notes
    -----
    The phosphate is spread over its species in the water as it is; it is counted neither in the
    alkalinity nor in what calcium is bound to. At engine temperature waters far above saturation
    often deposit nothing for long: the solid forms slowly, and inhibitors hold it back.

    References
    ----------
    .. [1] Constants and the solubility product as in phreeqc.dat of phreeqpython 1.6.2, after Ball
       and Nordstrom, USGS Open-File Report 91-183 (1991).

    Examples
    --------
    >>> from chemcheck.chemistry.carbonate import speciate
    >>> water = speciate(7.6, 120.0, 60.0, 12.0, 20.0, 3.0, 40.0, 50.0)
    >>> round(float(hydroxyapatite_index(water, 1.0)), 1)
    2.6
    """
    given = np.asarray(phosphate, dtype=np.float64)
    heat = np.asarray(water.temperature)
    shares: NDArray[np.float64] = np.zeros(())
    for form in _FORMS:
        log_share = log_k(form.constant, heat) - form.hydrogen * np.asarray(water.ph)
        linear = 0.0 if form.charge else 0.1
        log_share = log_share - log_activity_coefficient(
            water.ionic_strength, form.charge, form.size, linear, heat
        )
        if form.partner:
            log_share = log_share + getattr(water, f"log_{form.partner}")
        shares = shares + 10.0**log_share
    total = given * 1e-3 / PHOSPHATE_MOLAR_MASS / water_per_litre(0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        log_acid_phosphate = np.log10(total / shares) + log_k(_ONE, heat) - water.ph
    index = (
        5.0 * water.log_calcium
        + 3.0 * log_acid_phosphate
        + water.log_water
        + 4.0 * water.ph
        - log_k(SOLIDS["hydroxyapatite"], heat)
    )
    return keep_valid(
        index,
        (given >= 0.0) & (given <= TRACE_LIMIT) & np.ones(index.shape, dtype=np.bool_),
        np.isnan(given) | np.isnan(water.ph),
        "hydroxyapatite index",
        "orthophosphate 0 to 10 mg/L as PO4",
    )
