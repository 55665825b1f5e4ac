"""Scale that a water can leave in a system, for whole columns of waters.

Only carbonate hardness, the lesser of hardness and alkalinity, comes out on heating; all hardness
is the bound, and all there is where alkalinity was not read. Inhibitors hold part of it back, and
phosphate or silicate takes more of it down: no prediction for inhibited coolant.
"""

from dataclasses import dataclass

import numpy as np

from chemcheck.chemistry.scale_deposit import (
    metal_temperature_rise,
    scale_left_after_leak,
    scale_mass,
    scale_thickness,
)
from chemcheck.remedies.estimate import Column
from chemcheck.remedies.system_in_use import SystemInUse

Ends = tuple[Column, Column]


@dataclass(frozen=True, slots=True)
class Deposit:
    """The most scale that waters can leave, each figure as its ends, shape (n_waters,) each.

    Parameters
    ----------
    mass : (ndarray, ndarray)
        From the fill and all top-ups, by the loss that was told; of a leak from what is inside
        at the end to all that came in [g].
    fill, top_ups : (ndarray, ndarray)
        Of it from one fill, and what the top-ups bring [g].
    after_leak : (ndarray, ndarray)
        What a leak leaves inside, from none settled before it leaked to all [g].
    all_hardness : (ndarray, ndarray)
        As mass, of all hardness: with phosphate or silicate in the coolant [g].
    thickness : (ndarray, ndarray)
        On the hot area [mm]; NaN where none was told.
    rise : (ndarray, ndarray)
        Of the metal's temperature under it [deg C]; NaN where no heat flux was told.
    by_alkalinity : ndarray of bool
        Whether alkalinity was read; else all hardness stands for carbonate hardness.
    """

    mass: Ends
    fill: Ends
    top_ups: Ends
    after_leak: Ends
    all_hardness: Ends
    thickness: Ends
    rise: Ends
    by_alkalinity: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


def deposit(hardness: Ends, alkalinity: Ends, use: SystemInUse) -> Deposit:
    """Reckon the scale that waters can leave.

    Parameters
    ----------
    hardness, alkalinity : (ndarray, ndarray), shape (n_waters,) each
        Their ends [mg/L as CaCO3]; NaN where not read.
    use : SystemInUse
        Where the water goes.

    Returns
    -------
    Deposit
        NaN where no hardness was read, infinite above a range.

    Examples
    --------
    40 L with half of water at 300 mg/L, 26 L of top-ups, on 500 cm2 at 200 kW/m2:

    >>> from chemcheck.remedies.estimate import exact
    >>> use = SystemInUse(exact(40.0), top_ups=exact(26.0), loss="evaporation",
    ...     hot_area=exact(500.0), heat_flux=exact(200.0))
    >>> water = np.array([300.0]), np.array([300.0])
    >>> found = deposit(water, water, use)
    >>> [float(end[0].round(1)) for end in (found.fill[1], found.top_ups[1], found.mass[1])]
    [6.0, 7.8, 13.8]
    >>> [float(end[0].round(1)) for end in (found.thickness[1], *found.rise)]
    [0.1, 10.2, 20.4]
    """
    carbonate: Ends = (
        np.fmin(hardness[0], alkalinity[0]),
        np.fmin(hardness[1], alkalinity[1]),
    )
    unread = np.isnan(hardness[0])
    carbonate = (np.where(unread, np.nan, carbonate[0]), np.where(unread, np.nan, carbonate[1]))
    brought = float(use.top_ups.lower), float(use.top_ups.upper)
    fill = _scale(carbonate, use.water)
    top_ups = _scale(carbonate, brought)
    whole = fill[0] + top_ups[0], fill[1] + top_ups[1]
    after_leak = _left(carbonate, use), whole[1]
    most = _scale(hardness, (use.water[0] + brought[0], use.water[1] + brought[1]))
    mass = after_leak if use.loss == "leak" else whole
    if use.loss == "leak":
        most = _left(hardness, use), most[1]
    thickness = rise = _unknown(unread.size)
    if use.hot_area is not None:
        area = use.hot_area
        thickness = (
            scale_thickness(mass[0], area.upper),
            scale_thickness(mass[1], area.lower),
        )
        if use.heat_flux is not None:
            rise = (
                metal_temperature_rise(use.heat_flux.lower, thickness[0], use.conductivity.upper),
                metal_temperature_rise(use.heat_flux.upper, thickness[1], use.conductivity.lower),
            )
    by_alkalinity = ~np.isnan(alkalinity[0])
    return Deposit(mass, fill, top_ups, after_leak, most, thickness, rise, by_alkalinity)


def _scale(hardness: Ends, water: tuple[float, float]) -> Ends:
    return scale_mass(hardness[0], water[0]), scale_mass(hardness[1], water[1])


def _left(hardness: Ends, use: SystemInUse) -> Column:
    """Return the least that a leak leaves, at whichever volume that is."""
    return np.asarray(
        np.minimum.reduce(
            [
                scale_left_after_leak(hardness[0], water, top_ups, volume)
                for volume, water in zip(
                    (float(use.system.lower), float(use.system.upper)), use.water, strict=True
                )
                for top_ups in (use.top_ups.lower, use.top_ups.upper)
            ]
        )
    )


def _unknown(n: int) -> Ends:
    nothing = np.full(n, np.nan)
    return nothing, nothing
