"""The pH of blends of tap and deionised water, for whole columns of waters."""

import warnings
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.box_search import INPUTS, IONS
from chemcheck.chemistry.carbonate import blend, equilibrate, open_to_air, speciate_totals
from chemcheck.chemistry.waters import Totals, totals_per_kilogram
from chemcheck.errors import ChemcheckWarning
from chemcheck.remedies.mixture_ph import ALLOWANCE, MIXED_AT, deionised_totals

Floats = npt.NDArray[np.float64]
Ends = tuple[Floats, Floats]

_ALKALINITY, _SILICA = "alkalinity", "silica"


@dataclass(frozen=True, slots=True)
class BlendPh:
    """The pH of blends, shape (n_waters,) each.

    Parameters
    ----------
    closed, open_to_air : (ndarray, ndarray)
        Ends at 25 deg C, mixed without air and in equilibrium with air; NaN where it cannot be
        reckoned or nothing is blended.
    """

    closed: Ends
    open_to_air: Ends

    @property
    def ends(self) -> Ends:
        """From the least to the greatest of both."""
        return (
            np.minimum(self.closed[0], self.open_to_air[0]),
            np.maximum(self.closed[1], self.open_to_air[1]),
        )


def tap_blend_ph(
    lower: Mapping[str, Floats],
    upper: Mapping[str, Floats],
    deionised: tuple[Mapping[str, float], Mapping[str, float]],
    shares: Floats,
) -> BlendPh:
    """Reckon the pH of tap waters that are blended with deionised water.

    Parameters
    ----------
    lower, upper : mapping of str to ndarray, shape (n_waters,)
        Ends of the inputs of the tap waters, named in `chemcheck.chemistry.box_search.INPUTS`;
        NaN where not known.
    deionised : (mapping of str to float, mapping of str to float)
        Lower and upper ends of its alkalinity [mg/L as CaCO3] and ions [mg/L]; what silica it
        holds does not move its pH.
    shares : ndarray of float64, shape (n_waters,)
        Of tap water [1]; NaN and 1 where nothing is blended.

    Returns
    -------
    BlendPh
        As `mixture_ph` gives it for each blend by itself.

    Examples
    --------
    >>> tap = dict(ph=7.4, alkalinity=250.0, calcium=100.0, magnesium=20.0, sodium=15.0,
    ...     potassium=2.0, chloride=40.0, sulfate=60.0, temperature=25.0)
    >>> waters = {key: np.array([tap.get(key, 0.0)]) for key in INPUTS}
    >>> pure = dict.fromkeys(("alkalinity", *IONS), 0.0)
    >>> found = tap_blend_ph(waters, waters, (pure, pure), np.array([0.5]))
    >>> found.closed[0].round(1), found.open_to_air[0].round(1)
    (array([7.4]), array([8.5]))
    """
    n = shares.size
    known = (shares < 1.0) & (shares >= 0.0)
    for name in INPUTS:
        known &= np.isfinite(lower[name]) & np.isfinite(upper[name])
    ends = np.full((2, 2, n), np.nan)
    ends[:, 0], ends[:, 1] = np.inf, -np.inf
    wide = np.zeros(n, dtype=np.bool_)
    for name in INPUTS:
        wide |= lower[name] < upper[name]
    with warnings.catch_warnings():
        # Corners may lie outside the model; what that means is decided here.
        warnings.simplefilter("ignore", ChemcheckWarning)
        for chosen, is_wide in ((known & ~wide, False), (known & wide, True)):
            at = np.flatnonzero(chosen)
            if at.size:
                box = [{name: each[name][at] for name in INPUTS} for each in (lower, upper)]
                _search(box, deionised, shares[at], ends, at, is_wide)
    apart = ends[:, 1] - ends[:, 0] > 0.0
    ends[:, 0] -= np.where(apart, ALLOWANCE, 0.0)
    ends[:, 1] += np.where(apart, ALLOWANCE, 0.0)
    ends[~np.isfinite(ends)] = np.nan
    return BlendPh((ends[0, 0], ends[0, 1]), (ends[1, 0], ends[1, 1]))


def _search(
    box: list[dict[str, Floats]],
    deionised: tuple[Mapping[str, float], Mapping[str, float]],
    shares: Floats,
    ends: Floats,
    at: npt.NDArray[np.intp],
    wide: bool,
) -> None:
    """Widen the ends of some waters by what their corners give."""
    parts = np.stack([shares, 1.0 - shares])
    middle = np.sqrt((1.0 + box[0][_ALKALINITY]) * (1.0 + box[1][_ALKALINITY])) - 1.0
    alkalinities = [box[0][_ALKALINITY], middle, box[1][_ALKALINITY]]
    # An exact water has one corner.
    seen = np.zeros(at.size, dtype=np.bool_)
    steps = [range(2 if wide else 1)] * 3 + [range(3 if wide else 1)]
    for ph, ions, heat, alkalinity in product(*steps):
        amounts = totals_per_kilogram(
            alkalinities[alkalinity], **{name: box[ions][name] for name in (*IONS, _SILICA)}
        )
        found = speciate_totals(amounts, box[ph]["ph"], box[heat]["temperature"])
        # A corner whose pH leaves no room for carbonate has neighbours that have next to none.
        least = np.where(found.impossible, 0.0 if wide else np.nan, found.totals.carbonate)
        tap = replace(amounts, carbonate=least)
        seen |= ~found.impossible
        for acid, held in product(range(2), range(2)):
            pure = _pure(deionised[held], acid, shares.size)
            mixed = blend([tap, pure], parts)
            both = equilibrate(mixed, MIXED_AT).ph, open_to_air(mixed, MIXED_AT).ph
            for place, values in enumerate(both):
                ends[place, 0, at] = np.fmin(ends[place, 0, at], values)
                ends[place, 1, at] = np.fmax(ends[place, 1, at], values)
    ends[:, :, at[~seen]] = np.nan


def _pure(held: Mapping[str, float], acid: int, n: int) -> Totals:
    amounts = totals_per_kilogram(
        np.full(n, held[_ALKALINITY]), **{name: held[name] for name in IONS}
    )
    return deionised_totals(amounts, np.full(n, acid))
