"""What a system holds once it is refilled: a balance of what goes in and what stays inside."""

from dataclasses import dataclass

import numpy as np

from chemcheck.remedies.estimate import Column, Estimate, hull


@dataclass(frozen=True, slots=True)
class FilledIn:
    """What goes into a system, and what stays in it.

    Parameters
    ----------
    system : Estimate
        Volume [L].
    drained : Estimate
        Of it drained, and filled in again [L].
    concentrate, premix, water : float
        Filled in [L]; together what was planned to be drained.
    """

    system: Estimate
    drained: Estimate
    concentrate: float
    premix: float
    water: float


def finished_level(
    filled: FilledIn,
    of_concentrate: Estimate,
    of_premix: Estimate,
    of_water: Estimate,
    inside: Estimate,
) -> Estimate:
    """Level in the finished fill.

    Parameters
    ----------
    filled : FilledIn
        The volumes.
    of_concentrate, of_premix, of_water, inside : Estimate
        Levels in what is filled, and in what stays inside [one unit of concentration].

    Returns
    -------
    Estimate
        (x c + p m + w t + (V - D) h) / V [the same unit], with x, p and w in proportion to
        what really drained; the ends hold for any volumes and levels within theirs.

    Examples
    --------
    Of 12 L 8 are drained; 6 L of concentrate of 100 % and 2 L of water go in, 4 L of water stay:

    >>> from chemcheck.remedies.estimate import exact
    >>> filled = FilledIn(exact(12.0), exact(8.0), 6.0, 0.0, 2.0)
    >>> nothing = exact(0.0)
    >>> float(finished_level(filled, exact(100.0), nothing, nothing, nothing).value)
    50.0
    """
    planned = filled.concentrate + filled.premix + filled.water

    def level(
        volume: Column, out: Column, strong: Column, mix: Column, tap: Column, left: Column
    ) -> Column:
        share = np.minimum(out / volume, 1.0)
        fresh = filled.concentrate * strong + filled.premix * mix + filled.water * tap
        return np.asarray(share * fresh / planned + (1.0 - share) * left)

    return hull(level, filled.system, filled.drained, of_concentrate, of_premix, of_water, inside)


def level_of_concentrate(mix: Estimate, percent: Estimate, strength: Estimate) -> Estimate:
    """Level in a concentrate, by that in a mix with pure water.

    Parameters
    ----------
    mix : Estimate
        Level in the mix [any unit of concentration].
    percent, strength : Estimate
        Of the mix and of the concentrate, counted alike [%].

    Returns
    -------
    Estimate
        c s / p [the same unit].

    Examples
    --------
    >>> from chemcheck.remedies.estimate import exact
    >>> float(level_of_concentrate(exact(1200.0), exact(50.0), exact(95.0)).value)
    2280.0
    """
    return hull(lambda c, p, s: c * s / p, mix, percent, strength)
