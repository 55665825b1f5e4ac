"""How far a coolant is from boiling, in the system and at the pump's inlet.

Pressures are absolute unless they are called gauge. A cap's rating is a maximum and no
promise: a cold, leaking or weak system has less. Boiling is reckoned by Raoult's law; the
interval holds what the tables of the glycol say as well.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from chemcheck.chemistry.glycol_density import density
from chemcheck.chemistry.glycol_tables import read_table
from chemcheck.chemistry.suction_head import (
    cavitation_number,
    suction_head,
    vapour_pressure_left,
)
from chemcheck.chemistry.vapour_pressure import (
    boiling_point,
    mixture_vapour_pressure,
    water_boiling_point,
    water_vapour_pressure,
)
from chemcheck.limit_library.glycol_properties import GlycolProperties
from chemcheck.remedies.estimate import Column, Estimate, hull, joined

# Below this a mixture's boiling point is not computed [kPa].
_LEAST_PRESSURE = 5.0
# How far the tables of density, which end at 100 C, are carried on [deg C].
_HOTTEST = 130.0
# One psi, and one degree Fahrenheit (NIST SP 811).
_PSI, _FAHRENHEIT = 6.894757293168, 5.0 / 9.0


@dataclass(frozen=True, slots=True)
class Circuit:
    """Where and how a pump draws its coolant, for one circuit or a column of them.

    Parameters
    ----------
    ambient : Estimate
        Pressure of the air [kPa].
    suction_loss : Estimate
        From the cap's place to the pump's inlet [kPa].
    inlet_temperature : Estimate
        Of the coolant that enters the pump [deg C]; NaN where it is not known.
    needed_head : Estimate
        What the pump needs there, with the margin wanted [m].
    tip_speed : Estimate
        Of the impeller [m/s]; NaN where it is not known.
    """

    ambient: Estimate
    suction_loss: Estimate
    inlet_temperature: Estimate
    needed_head: Estimate
    tip_speed: Estimate


@dataclass(frozen=True, slots=True)
class CapMargins:
    """What a cap in one state leaves.

    Parameters
    ----------
    state : str
        ``rated``, ``weak`` or ``dead``.
    gauge : Estimate
        Pressure that it holds above the air's [kPa].
    boils : Estimate
        Where the coolant boils under it [deg C].
    head : Estimate
        Net positive suction head available at the pump's inlet [m].
    cavitation : Estimate
        Cavitation number at the impeller's tip [1].
    ends_at : Estimate
        Inlet temperature at which no more than the needed head is left [deg C]; NaN where
        no temperature leaves it.
    """

    state: str
    gauge: Estimate
    boils: Estimate
    head: Estimate
    cavitation: Estimate
    ends_at: Estimate


def boiling(pressure: Estimate, percent: Estimate, glycol: GlycolProperties) -> Estimate:
    """Where a coolant boils.

    Parameters
    ----------
    pressure : Estimate
        Absolute [kPa].
    percent : Estimate
        Of glycol [vol%].
    glycol : GlycolProperties
        Which.

    Returns
    -------
    Estimate
        [deg C]; by Raoult's law, the interval with what the tables add to water's boiling
        point at the same pressure. NaN below 5 kPa.

    Notes
    -----
    The tables' rise above water's boiling point is taken as the same at every pressure. By
    models it grows with pressure, for 50 vol% of ethylene glycol by 0.8 C from 101 to
    212 kPa [1]_: the tables' end of the interval is the safe one.

    References
    ----------
    .. [1] UNIFAC by the library thermo 0.6.1: 7.67 and 8.49 C.

    Examples
    --------
    >>> from chemcheck.limit_library.glycol_properties import glycol_properties
    >>> from chemcheck.remedies.estimate import exact
    >>> glycol = glycol_properties("ethylene_glycol")
    >>> float(boiling(exact(204.3), exact(50.0), glycol).value.round(1))
    129.7
    """
    parts = [hull(lambda p, x: boiling_point(_sound(p), x, glycol.pure), pressure, percent)]
    parts += [
        hull(
            lambda p, x, table=table: water_boiling_point(_sound(p)) + read_table(table, x),
            pressure,
            percent,
        )
        for table in glycol.of("boiling_rise")
    ]
    return joined(parts)


def vapour_pressure(temperature: Estimate, percent: Estimate, glycol: GlycolProperties) -> Estimate:
    """Vapour pressure of a coolant.

    Parameters
    ----------
    temperature : Estimate
        [deg C].
    percent : Estimate
        Of glycol [vol%].
    glycol : GlycolProperties
        Which.

    Returns
    -------
    Estimate
        Absolute [kPa]; by Raoult's law, the interval with what follows from the rise of the
        boiling point in the tables.

    Examples
    --------
    >>> from chemcheck.limit_library.glycol_properties import glycol_properties
    >>> from chemcheck.remedies.estimate import exact
    >>> glycol = glycol_properties("ethylene_glycol")
    >>> float(vapour_pressure(exact(95.0), exact(50.0), glycol).value.round(1))
    64.3
    """
    parts = [hull(lambda t, x: mixture_vapour_pressure(t, x, glycol.pure), temperature, percent)]
    parts += [
        hull(
            lambda t, x, table=table: water_vapour_pressure(
                np.maximum(t - read_table(table, x), 0.0)
            ),
            temperature,
            percent,
        )
        for table in glycol.of("boiling_rise")
    ]
    return joined(parts)


def coolant_density(
    temperature: Estimate, percent: Estimate, glycol: GlycolProperties, basis: str | None = None
) -> Estimate:
    """Density of a coolant.

    Parameters
    ----------
    temperature : Estimate
        [deg C]; above 130 C as at 130 C, where the tables are carried on to.
    percent : Estimate
        Of glycol [vol%]; above the table as at its end.
    glycol, basis
        As for `chemcheck.remedies.cold_margin.freezing`.

    Returns
    -------
    Estimate
        [kg/m3].
    """
    parts = [
        hull(
            lambda t, x, table=table: density(
                table, np.minimum(x, table.percent[-1]), np.minimum(t, _HOTTEST)
            ),
            temperature,
            percent,
        )
        for table in glycol.of("density", basis)
    ]
    return joined(parts)


def cap_margins(
    state: str,
    gauge: Estimate,
    circuit: Circuit,
    percent: Estimate,
    glycol: GlycolProperties,
    basis: str | None = None,
) -> CapMargins:
    """Return what a cap in one state leaves to boiling and at the pump's inlet.

    Parameters
    ----------
    state : str
        Its name.
    gauge : Estimate
        Pressure that the cap holds above the air's [kPa].
    circuit : Circuit
        Where the pump draws.
    percent : Estimate
        Of glycol [vol%].
    glycol, basis
        As for `chemcheck.remedies.cold_margin.freezing`.

    Returns
    -------
    CapMargins
        With intervals.
    """
    system = hull(np.add, circuit.ambient, gauge)
    inlet = hull(np.subtract, system, circuit.suction_loss)
    vapour = vapour_pressure(circuit.inlet_temperature, percent, glycol)
    heavy = coolant_density(circuit.inlet_temperature, percent, glycol, basis)
    hot = coolant_density(boiling(inlet, percent, glycol), percent, glycol, basis)
    left = hull(vapour_pressure_left, inlet, circuit.needed_head, hot)
    return CapMargins(
        state=state,
        gauge=gauge,
        boils=boiling(system, percent, glycol),
        head=hull(suction_head, inlet, vapour, heavy),
        cavitation=hull(cavitation_number, inlet, vapour, heavy, circuit.tip_speed),
        ends_at=boiling(left, percent, glycol),
    )


def boiling_by_rule(
    open_boiling: Estimate, gauge: Estimate, fahrenheit_per_psi: ArrayLike
) -> Estimate:
    """Boiling point by the trade's rule for caps.

    Parameters
    ----------
    open_boiling : Estimate
        Without a cap [deg C].
    gauge : Estimate
        Pressure of the cap [kPa].
    fahrenheit_per_psi : float or array-like
        The rule: 3 deg F a psi.

    Returns
    -------
    Estimate
        [deg C]. Water gains 3.3 F from the first psi, and 2.5 F a psi on the mean from
        fifteen: the rule promises too much from a strong cap.

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> float(boiling_by_rule(exact(107.8), exact(103.4), 3.0).value.round(1))
    132.8
    """
    slope = np.asarray(fahrenheit_per_psi, dtype=np.float64) * _FAHRENHEIT / _PSI
    return hull(lambda t, p: t + slope * p, open_boiling, gauge)


def _sound(pressure: Column) -> Column:
    """Leave out pressures too low to boil a coolant at."""
    return np.where(np.asarray(pressure) >= _LEAST_PRESSURE, pressure, np.nan)
