"""The pH of a mixture of waters, by the carbonate equilibrium.

pH does not mix in proportion: alkalinity and total carbonate do, and the pH follows from them. A
water in a bucket lies between one that was mixed without air and one that stood open to it.
"""

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

Floats = npt.NDArray[np.float64]
Ends = tuple[float, float]

# What the pH of a mixture is given at [deg C].
MIXED_AT = 25.0
# What corners can miss where the pH turns round along an alkalinity [pH].
ALLOWANCE = 0.01
# So many waters with an open alkalinity are tried in all combinations.
_MOST_OPEN = 6
# What a deionised water is not read for, or does not show.
_OF_A_READING = ("ph", "temperature")
_SILICA = "silica"


@dataclass(frozen=True, slots=True)
class MixturePh:
    """The pH of a mixture.

    Parameters
    ----------
    closed, open_to_air : tuple of (float, float)
        Ends of it at 25 deg C, mixed without air and in equilibrium with air; NaN where it
        cannot be reckoned.
    missing : tuple of (int, str)
        Water and input without which it cannot be reckoned: not read, without an end, or an
        ``alkalinity`` that is impossible at the pH.
    """

    closed: Ends
    open_to_air: Ends
    missing: tuple[tuple[int, str], ...] = ()

    @property
    def ends(self) -> Ends:
        """From the least to the greatest of both."""
        return (
            min(self.closed[0], self.open_to_air[0]),
            max(self.closed[1], self.open_to_air[1]),
        )


def mixture_ph(
    lower: Mapping[str, Floats],
    upper: Mapping[str, Floats],
    pure: npt.NDArray[np.bool_],
    shares: Floats,
) -> MixturePh:
    """Reckon the pH of a mixture from the ends of what its waters hold.

    Parameters
    ----------
    lower, upper : mapping of str to ndarray, shape (n_waters,)
        Ends of the inputs named in `chemcheck.chemistry.box_search.INPUTS`: pH, alkalinity
        [mg/L as CaCO3], ions [mg/L], temperature of sampling [deg C]; NaN where not known.
    pure : ndarray of bool, shape (n_waters,)
        Whether a water is deionised: it has next to no buffer, and its pH lies between
        equilibrium with air and bicarbonate alone, whatever was read.
    shares : ndarray of float64, shape (n_waters,)
        Of each water [1].

    Returns
    -------
    MixturePh
        Waters without a share say nothing.

    Notes
    -----
    Totals are mixed by `carbonate.blend` and solved by `equilibrate` and `open_to_air`. The pH
    rises with the pH of each water, and turns round with an alkalinity only near it: corners of
    all intervals are tried, of alkalinity a middle too, and the ends moved out by 0.01. Litres are
    taken for kilograms.

    Examples
    --------
    >>> tap = dict(ph=7.4, alkalinity=250.0, calcium=100.0, magnesium=20.0, sodium=15.0,
    ...     potassium=2.0, chloride=40.0, sulfate=60.0, temperature=25.0)
    >>> waters = {key: np.array([tap.get(key, 0.0), 0.0]) for key in INPUTS}
    >>> half = np.array([0.5, 0.5])
    >>> found = mixture_ph(waters, waters, np.array([False, True]), half)
    >>> [round(end, 1) for end in found.closed], [round(end, 1) for end in found.open_to_air]
    ([7.4, 7.4], [8.5, 8.5])
    """
    used = np.flatnonzero(shares > 0.0)
    nothing = (np.nan, np.nan)
    missing = tuple(
        (int(k), name)
        for k in used
        for name in INPUTS
        if not (pure[k] and name in _OF_A_READING)
        and not np.isfinite(lower[name][k] + upper[name][k])
    )
    if missing or not used.size:
        return MixturePh(nothing, nothing, missing)
    boxes = [{name: (lower[name][k], upper[name][k]) for name in INPUTS} for k in used]
    with warnings.catch_warnings():
        # Corners may lie outside the model; what that means is decided here.
        warnings.simplefilter("ignore", ChemcheckWarning)
        totals = _corners(boxes, pure[used])
        lost = tuple(
            (int(k), "alkalinity")
            for k, one in zip(used, totals, strict=True)
            if np.isnan(one.carbonate).all()
        )
        if lost:
            return MixturePh(nothing, nothing, lost)
        mixed = blend(totals, np.repeat(shares[used][:, np.newaxis], len(totals[0].calcium), 1))
        closed, opened = equilibrate(mixed, MIXED_AT).ph, open_to_air(mixed, MIXED_AT).ph
    return MixturePh(_range(closed), _range(opened))


def _corners(boxes: list[dict[str, Ends]], pure: npt.NDArray[np.bool_]) -> list[Totals]:
    """Return the totals of each water at all corners, a column of corners each."""
    wide = [k for k, box in enumerate(boxes) if box["alkalinity"][0] < box["alkalinity"][1]]
    # Beyond so many, the rest move together: their combinations would be millions.
    singly, jointly = wide[:_MOST_OPEN], wide[_MOST_OPEN:]
    steps = [range(2)] * 3 + [range(3)] * (len(singly) + bool(jointly))
    codes = np.array(list(product(*steps)))
    ph, ions, heat = codes.T[:3]
    of_water = {k: codes.T[3 + place] for place, k in enumerate(singly)}
    of_water |= dict.fromkeys(jointly, codes.T[-1])
    none = np.zeros(len(codes), dtype=np.intp)
    answer = []
    for k, box in enumerate(boxes):
        at = {key: np.array(box[key])[ions] for key in (*IONS, _SILICA)}
        low, high = box["alkalinity"]
        tried = np.array([low, np.sqrt((1.0 + low) * (1.0 + high)) - 1.0, high])
        amounts = totals_per_kilogram(tried[of_water.get(k, none)], **at)
        if pure[k]:
            answer.append(deionised_totals(amounts, ph))
        else:
            answer.append(
                sampled_totals(amounts, np.array(box["ph"])[ph], np.array(box["temperature"])[heat])
            )
    return answer


def sampled_totals(amounts: Totals, ph: Floats, temperature: Floats) -> Totals:
    """Find the carbonate of waters; one whose pH leaves no room for any has none.

    Parameters
    ----------
    amounts : Totals
        Without their carbonate, at all corners of one water.
    ph, temperature : ndarray
        As sampled, temperature in deg C.
    """
    found = speciate_totals(amounts, ph, temperature)
    # Where no corner can be, nothing is known; where one cannot, its neighbours are without any.
    least = np.nan if found.impossible.all() else 0.0
    return replace(amounts, carbonate=np.where(found.impossible, least, found.totals.carbonate))


def deionised_totals(amounts: Totals, ph: npt.NDArray[np.int_]) -> Totals:
    """Give deionised water the carbon dioxide of air, or bicarbonate alone at the upper end.

    Parameters
    ----------
    amounts : Totals
        Without their carbonate.
    ph : ndarray of int
        0 for the lower end of its pH, 1 for the upper.
    """
    aired = open_to_air(amounts, MIXED_AT).totals.carbonate
    carbonate = np.where(ph == 0, np.maximum(aired, amounts.alkalinity), amounts.alkalinity)
    return replace(amounts, carbonate=carbonate)


def _range(ph: Floats) -> Ends:
    if np.isnan(ph).all():
        return np.nan, np.nan
    allowance = ALLOWANCE if np.ptp(ph[~np.isnan(ph)]) > 0.0 else 0.0
    return float(np.nanmin(ph)) - allowance, float(np.nanmax(ph)) + allowance
