"""Equilibrium constants as functions of temperature, each with its source.

Every entry is one expression, read in the database files of phreeqpython 1.6.2, which carry the
published ones: phreeqc.dat, the reference of the tests, and wateq4f_PWN.dat. Where phreeqc.dat
holds another number than the entry, `LogK.database` says by how much; where the literature
disagrees with both, `LogK.literature` does. Papers are named from memory where the files name none.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.water_properties import KELVIN

_REFERENCE = 298.15  # [K]
_GAS_CONSTANT = 8.31446261815324e-3  # [kJ/(mol K)], exact from the SI's defining constants
_CALORIE = 4.184  # [J], thermochemical, exact

PLUMMER_BUSENBERG = "Plummer and Busenberg 1982, Geochim. Cosmochim. Acta 46, 1011-1040"
BLOUNT_DICKSON = "Blount and Dickson 1973, Am. Mineral. 58, 323-331"
NORDSTROM = "Nordstrom et al. 1990, ACS Symp. Ser. 416, 398-413"
APPELO = "Appelo, Parkhurst and Post 2014, Geochim. Cosmochim. Acta 125, 49-67"
TRUESDELL_JONES = "Truesdell and Jones 1974, J. Res. US Geol. Survey 2, 233-248"
PHREEQC_DATABASE = "phreeqc.dat of phreeqpython 1.6.2, which names no paper for it"
BALL_NORDSTROM = "Ball and Nordstrom 1991, USGS Open-File Report 91-183 (wateq4f.dat)"


@dataclass(frozen=True, slots=True)
class LogK:
    """Decimal logarithm of an equilibrium constant as a function of temperature.

    log K = a + b T + c / T + d log10 T + e / T^2 + f T^2, T in kelvin.

    Parameters
    ----------
    reaction : str
        The reaction that the constant belongs to.
    a, b, c, d, e, f : float
        Coefficients.
    source : str
        The publication.
    evidence : str
        ``library`` where the coefficients were read in the database file of a library (which
        says from where), ``memory`` where they were not read anywhere.
    database : str
        How the entry of phreeqc.dat differs; '' where it is the same.
    literature : str
        What other published values would change; '' where none is known to matter.
    """

    reaction: str
    a: float
    b: float = 0.0
    c: float = 0.0
    d: float = 0.0
    e: float = 0.0
    f: float = 0.0
    source: str = ""
    evidence: str = "library"
    database: str = ""
    literature: str = ""

    @property
    def coefficients(self) -> tuple[float, float, float, float, float, float]:
        """The six coefficients, in the order of `temperature_terms`."""
        return (self.a, self.b, self.c, self.d, self.e, self.f)


def from_enthalpy(
    reaction: str,
    log_k_25: float,
    enthalpy_kcal: float,
    source: str,
    *,
    evidence: str = "library",
    database: str = "",
    literature: str = "",
) -> LogK:
    """Build a constant from its value at 25 deg C and its enthalpy of reaction.

    Parameters
    ----------
    reaction : str
        The reaction.
    log_k_25 : float
        Decimal logarithm at 25 deg C.
    enthalpy_kcal : float
        Enthalpy of reaction, taken as constant [kcal/mol].
    source, evidence, database, literature : str
        As in `LogK`.

    Returns
    -------
    LogK
        The van 't Hoff line.

    Notes
    -----
    log K = log K(25) - dH / (R ln 10) (1 / T - 1 / 298.15): van 't Hoff's equation, the worse the
    further from 25 deg C.

    Examples
    --------
    >>> constant = from_enthalpy("Mg+2 + SO4-2 = MgSO4", 2.37, 4.55, "an example")
    >>> round(float(log_k(constant, 25.0)), 3), round(float(log_k(constant, 90.0)), 3)
    (2.37, 2.967)
    """
    slope = -enthalpy_kcal * _CALORIE / (_GAS_CONSTANT * np.log(10.0))
    return LogK(
        reaction,
        a=log_k_25 - slope / _REFERENCE,
        c=slope,
        source=source,
        evidence=evidence,
        database=database,
        literature=literature,
    )


def plus(one: LogK, other: LogK) -> LogK:
    """Add two reactions: the first keeps its text, source and marks.

    Parameters
    ----------
    one, other : LogK
        Constants of the two reactions.

    Returns
    -------
    LogK
        Constant of their sum.

    Examples
    --------
    >>> ionization = LogK("CO2 + H2O = HCO3- + H+", -6.35, source="an example")
    >>> plus(ionization, LogK("CO2(g) = CO2", -1.47)).a
    -7.819999999999999
    """
    a, b, c, d, e, f = (x + y for x, y in zip(one.coefficients, other.coefficients, strict=True))
    return replace(one, a=a, b=b, c=c, d=d, e=e, f=f)


def temperature_terms(temperature: ArrayLike) -> NDArray[np.float64]:
    """Terms that the coefficients of a constant multiply.

    Parameters
    ----------
    temperature : float or array-like
        [deg C].

    Returns
    -------
    numpy.ndarray, shape (6, ...)
        1, T, 1/T, log10 T, 1/T^2, T^2 with T in kelvin.

    Examples
    --------
    >>> temperature_terms(26.85)[:3].ravel().round(6).tolist()
    [1.0, 300.0, 0.003333]
    """
    heat = np.atleast_1d(np.asarray(temperature, dtype=np.float64)) + KELVIN
    return np.stack([np.ones_like(heat), heat, 1.0 / heat, np.log10(heat), heat**-2.0, heat * heat])


def log_k(constant: LogK, temperature: ArrayLike) -> NDArray[np.float64]:
    """Decimal logarithm of a constant at a temperature.

    Parameters
    ----------
    constant : LogK
        The constant.
    temperature : float or array-like
        [deg C].

    Returns
    -------
    numpy.ndarray
        Decimal logarithm.

    Examples
    --------
    >>> round(float(log_k(SOLIDS["calcite"], 25.0)), 2)
    -8.48
    """
    values = np.tensordot(constant.coefficients, temperature_terms(temperature), axes=1)
    return values.reshape(np.shape(temperature))[()]


# Second dissociation, and both together, of the carbonate system.
BICARBONATE = LogK(
    "CO3-2 + H+ = HCO3-",
    107.8871,
    0.03252849,
    -5151.79,
    -38.92561,
    563713.9,
    source=PLUMMER_BUSENBERG,
)
CARBON_DIOXIDE = LogK(
    "CO3-2 + 2 H+ = CO2 + H2O",
    464.1965,
    0.09344813,
    -26986.16,
    -165.75951,
    2248628.9,
    source=PLUMMER_BUSENBERG,
)
CARBON_DIOXIDE_GAS = LogK(
    "CO2(g) = CO2",
    108.3865,
    0.01985076,
    -6919.53,
    -40.45154,
    669365.0,
    source=PLUMMER_BUSENBERG,
    database="another fit of the same data: within 0.0003 from 0 to 130 deg C",
)
WATER = LogK(
    "H2O = OH- + H+",
    293.29227,
    0.1360833,
    -10576.913,
    -123.73158,
    0.0,
    -6.996455e-5,
    source=PHREEQC_DATABASE,
    literature="IAPWS R11 (Bandura and Lvov 2006) lies lower: 0.0001 at 25, 0.012 at 90, 0.016 at "
    "130 deg C; Nordstrom et al. 1990 by 0.005 at 25 and 0.026 at 90 deg C (memory)",
)
BISULFATE = LogK("SO4-2 + H+ = HSO4-", -56.889, 0.006473, 2307.9, 19.8858, source=NORDSTROM)
SILICATE = LogK(
    "H4SiO4 = H3SiO4- + H+",
    -302.3724,
    -0.050698,
    15669.69,
    108.18466,
    -1119669.0,
    source=NORDSTROM,
)

ION_PAIRS: Mapping[str, LogK] = MappingProxyType(
    {
        "CaOH+": LogK(
            "Ca+2 + H2O = CaOH+ + H+",
            -12.78,
            source=f"{TRUESDELL_JONES}: no enthalpy is given",
            literature="an enthalpy of 64 kJ/mol (NIST 46, memory) would lower the pH of "
            "calcium-rich alkaline waters by up to 0.06 at 90 deg C",
        ),
        "MgOH+": from_enthalpy("Mg+2 + H2O = MgOH+ + H+", -11.44, 15.952, NORDSTROM),
        "CaHCO3+": LogK(
            "Ca+2 + CO3-2 + H+ = CaHCO3+",
            1209.120 + 107.8871,
            0.31294 + 0.03252849,
            -34765.05 - 5151.79,
            -478.782 - 38.92561,
            563713.9,
            source=PLUMMER_BUSENBERG,
            database="two digits of the second coefficient change places: +0.00013 at 25 deg C",
        ),
        "MgHCO3+": LogK(
            "Mg+2 + CO3-2 + H+ = MgHCO3+",
            48.6721,
            0.03252849,
            -2614.335,
            -18.00263,
            563713.9,
            source=NORDSTROM,
        ),
        "NaHCO3": plus(
            from_enthalpy("Na+ + CO3-2 + H+ = NaHCO3", -0.25, -1.0, APPELO), BICARBONATE
        ),
        "CaCO3": LogK(
            "Ca+2 + CO3-2 = CaCO3",
            -1228.732,
            -0.299444,
            35512.75,
            485.818,
            source=PLUMMER_BUSENBERG,
            database="-0.299440 for -0.299444: +0.0012 at 25 deg C, +0.0014 at 90 deg C",
        ),
        "MgCO3": LogK("Mg+2 + CO3-2 = MgCO3", 0.9910, 0.00667, source=NORDSTROM),
        "NaCO3-": from_enthalpy("Na+ + CO3-2 = NaCO3-", 1.27, 8.91, NORDSTROM),
        "CaSO4": from_enthalpy(
            "Ca+2 + SO4-2 = CaSO4",
            2.25,
            1.325,
            PHREEQC_DATABASE,
            literature="Nordstrom et al. 1990 (wateq4f_PWN.dat): 2.30 and 1.65 kcal/mol, that is "
            "0.05 more at 25 and 0.09 more at 90 deg C",
        ),
        "MgSO4": from_enthalpy("Mg+2 + SO4-2 = MgSO4", 2.37, 4.55, NORDSTROM),
        "NaSO4-": from_enthalpy("Na+ + SO4-2 = NaSO4-", 0.70, 1.12, NORDSTROM),
        "KSO4-": LogK("K+ + SO4-2 = KSO4-", 3.106, 0.0, -673.6, source=NORDSTROM),
    }
)

SOLIDS: Mapping[str, LogK] = MappingProxyType(
    {
        "calcite": LogK(
            "CaCO3 = Ca+2 + CO3-2",
            -171.9065,
            -0.077993,
            2839.319,
            71.595,
            source=PLUMMER_BUSENBERG,
        ),
        "aragonite": LogK(
            "CaCO3 = Ca+2 + CO3-2",
            -171.9773,
            -0.077993,
            2903.293,
            71.595,
            source=PLUMMER_BUSENBERG,
        ),
        "vaterite": LogK(
            "CaCO3 = Ca+2 + CO3-2",
            -172.1295,
            -0.077993,
            3074.688,
            71.595,
            source=PLUMMER_BUSENBERG,
            database="not in it; read in vitens.dat of the same library",
        ),
        "gypsum": LogK(
            "CaSO4:2H2O = Ca+2 + SO4-2 + 2 H2O",
            68.2401,
            0.0,
            -3221.51,
            -25.0627,
            source=NORDSTROM,
        ),
        "anhydrite": LogK(
            "CaSO4 = Ca+2 + SO4-2", 84.90, 0.0, -3135.12, -31.79, source=BLOUNT_DICKSON
        ),
        "amorphous silica": LogK("SiO2 + 2 H2O = H4SiO4", -0.26, 0.0, -731.0, source=NORDSTROM),
        "brucite": from_enthalpy(
            "Mg(OH)2 + 2 H+ = Mg+2 + 2 H2O",
            16.84,
            -27.1,
            BALL_NORDSTROM,
            database="not in it; read in wateq4f_PWN.dat of the same library",
        ),
        "hydroxyapatite": from_enthalpy(
            "Ca5(PO4)3OH + 4 H+ = 5 Ca+2 + 3 HPO4-2 + H2O", -3.421, -36.155, BALL_NORDSTROM
        ),
    }
)
