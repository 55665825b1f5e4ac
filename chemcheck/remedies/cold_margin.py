"""How far a coolant is from freezing, and what it takes to be far enough.

The freezing point is where the first crystals form. Between there and solid the coolant is
slush: it flows badly, and a pump should not run in it. What keeps a block from bursting is a
colder figure still; no sourced table of it is at hand, so none is given. Tables of the lowest
ambient temperature hold a margin already and are neither.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.glycol_freezing import (
    SURE_TO,
    freezing_point,
    ice_share,
    share_that_freezes_at,
)
from chemcheck.chemistry.glycol_tables import PropertyTable
from chemcheck.limit_library.glycol_properties import GlycolProperties
from chemcheck.remedies.estimate import Column, Estimate, hull, joined


@dataclass(frozen=True, slots=True)
class ColdMargin:
    """How a coolant stands against the coldest temperature expected.

    Parameters
    ----------
    margin : Estimate
        Coldest temperature less freezing point: below zero, crystals form [deg C].
    needed : Estimate
        Share of glycol that freezes no earlier than wanted [vol%]; NaN where no share up to
        60 vol% does.
    ice : Estimate
        Share of the water that is ice at the coldest temperature, at equilibrium [1]; NaN
        where no table goes that far.
    """

    margin: Estimate
    needed: Estimate
    ice: Estimate


def freezing(
    percent: Estimate, glycol: GlycolProperties, basis: str | None = None
) -> tuple[Estimate, npt.NDArray[np.bool_]]:
    """Where the first crystals form: slush begins there, and flow suffers.

    Parameters
    ----------
    percent : Estimate
        Of glycol [vol%].
    glycol : GlycolProperties
        Which.
    basis : {"inhibited", "pure"} or None
        Whose percent it is; None gives the interval of both.

    Returns
    -------
    freezes : Estimate
        [deg C]; its value is the first table's.
    uncertain : ndarray of bool
        Where the share is beyond what measurements agree on.

    Examples
    --------
    >>> from chemcheck.limit_library.glycol_properties import glycol_properties
    >>> from chemcheck.remedies.estimate import exact
    >>> found, _ = freezing(exact(50.0), glycol_properties("ethylene_glycol"))
    >>> float(found.value.round(1)), float(found.lower.round(1)), float(found.upper.round(1))
    (-37.1, -39.8, -37.1)
    """
    first, *rest = glycol.of("freezing_point", basis)
    uncertain = percent.upper > min(SURE_TO, float(first.percent[-1]))
    parts = [hull(lambda share: freezing_point(first, share)[0], percent)]
    # A shorter table has no say beyond its end, where it would only repeat its last value.
    parts += [
        hull(
            lambda share, table=table: np.where(
                share <= table.percent[-1], freezing_point(table, share)[0], np.nan
            ),
            percent,
        )
        for table in rest
    ]
    return joined(parts), np.asarray(uncertain)


def cold_margin(
    coldest: Estimate,
    safety: Estimate,
    freezes: Estimate,
    percent: Estimate,
    glycol: GlycolProperties,
    basis: str | None = None,
) -> ColdMargin:
    """Hold a coolant against the coldest temperature expected.

    Parameters
    ----------
    coldest : Estimate
        [deg C].
    safety : Estimate
        How much colder it should not freeze either, by the maker [deg C].
    freezes : Estimate
        Its freezing point [deg C].
    percent : Estimate
        Of glycol [vol%].
    glycol, basis
        As for `freezing`.

    Returns
    -------
    ColdMargin
        The first crystals begin slush; what keeps a block from bursting is another and
        colder figure, and is not reckoned here.
    """
    tables = glycol.of("freezing_point", basis)

    def needed(table: PropertyTable, cold: Column, more: Column) -> Column:
        share, _, beyond = share_that_freezes_at(table, None, np.minimum(cold - more, 0.0))
        return np.where(beyond, np.nan, share)

    return ColdMargin(
        margin=hull(np.subtract, coldest, freezes),
        needed=joined(
            [hull(lambda c, s, t=table: needed(t, c, s), coldest, safety) for table in tables]
        ),
        ice=joined(
            [
                hull(lambda x, c, t=table: ice_share(t, np.minimum(x, 99.0), c), percent, coldest)
                for table in tables
            ]
        ),
    )
