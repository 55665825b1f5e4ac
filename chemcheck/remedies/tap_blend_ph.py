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

# Waters whose corners are solved together, so that memory does not grow with the table.
_TOGETHER = 512
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
    wide = np.zeros(n, dtype=np.bool_)
    for name in INPUTS:
        wide |= lower[name] < upper[name]
    with warnings.catch_warnings():
        # Corners may lie outside the model; what that means is decided here.
        warnings.simplefilter("ignore", ChemcheckWarning)
        for chosen, is_wide in ((known & ~wide, False), (known & wide, True)):
            every = np.flatnonzero(chosen)
            for start in range(0, every.size, _TOGETHER):
                at = every[start : start + _TOGETHER]
                box = [{name: each[name][at] for name in INPUTS} for each in (lower, upper)]
                ends[:, :, at] = _ends(box, deionised, shares[at], is_wide)
    apart = ends[:, 1] - ends[:, 0] > 0.0
    ends[:, 0] -= np.where(apart, ALLOWANCE, 0.0)
    ends[:, 1] += np.where(apart, ALLOWANCE, 0.0)
    return BlendPh((ends[0, 0], ends[0, 1]), (ends[1, 0], ends[1, 1]))


def _ends(
    box: list[dict[str, Floats]],
    deionised: tuple[Mapping[str, float], Mapping[str, float]],
    shares: Floats,
    wide: bool,
) -> Floats:
    """Return the ends of some waters' blends over all corners, shape (2, 2, n)."""
    middle = np.sqrt((1.0 + box[0][_ALKALINITY]) * (1.0 + box[1][_ALKALINITY])) - 1.0
    alkalinities = np.stack([box[0][_ALKALINITY], middle, box[1][_ALKALINITY]])
    # Inputs that are exact in all of these waters have one corner.
    groups = (("ph", 2), ((*IONS, _SILICA), 2), ("temperature", 2), (_ALKALINITY, 3))
    steps = [range(many if _apart(box, names) else 1) for names, many in groups]
    ph, ions, heat, alkalinity = np.array(list(product(*steps))).T

    def at(name: str, code: npt.NDArray[np.int_]) -> Floats:
        """Return an input at all corners, shape (n_corners, 1, n)."""
        ends = np.stack([box[0][name], box[1][name]])
        return np.asarray(ends[code][:, np.newaxis])

    amounts = totals_per_kilogram(
        alkalinities[alkalinity][:, np.newaxis],
        **{name: at(name, ions) for name in (*IONS, _SILICA)},
    )
    found = speciate_totals(amounts, at("ph", ph), at("temperature", heat))
    # A corner whose pH leaves no room for carbonate has neighbours that have next to none.
    least = np.where(found.impossible, 0.0 if wide else np.nan, found.totals.carbonate)
    tap, pure = replace(amounts, carbonate=least), _pure(deionised)
    mixed = blend([tap, pure], np.stack([shares, 1.0 - shares])[:, np.newaxis, np.newaxis])
    every = [
        solved.ph.reshape(-1, shares.size)
        for solved in (equilibrate(mixed, MIXED_AT), open_to_air(mixed, MIXED_AT))
    ]
    found_ends = np.array([[np.fmin.reduce(each), np.fmax.reduce(each)] for each in every])
    found_ends[:, :, found.impossible.all(axis=(0, 1))] = np.nan
    return found_ends


def _apart(box: list[dict[str, Floats]], names: str | tuple[str, ...]) -> bool:
    """Say whether the ends of any of some inputs differ in any water."""
    keys = (names,) if isinstance(names, str) else names
    return any(bool((box[0][key] < box[1][key]).any()) for key in keys)


def _pure(deionised: tuple[Mapping[str, float], Mapping[str, float]]) -> Totals:
    """Return deionised water at its corners, shape (1, n_corners, 1)."""
    held, acid = np.array(list(product(range(2), range(2)))).T

    def at(name: str) -> Floats:
        ends = np.array([one[name] for one in deionised])
        return np.asarray(ends[held][np.newaxis, :, np.newaxis])

    amounts = totals_per_kilogram(at(_ALKALINITY), **{name: at(name) for name in IONS})
    return deionised_totals(amounts, acid[np.newaxis, :, np.newaxis])
