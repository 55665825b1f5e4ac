"""The pH of a mixture of waters, by the carbonate equilibrium.

pH does not mix in proportion: alkalinity and total carbonate do, and the pH follows from them. A
water in a bucket lies between one that was mixed without air and one that stood open to it.
"""

import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from itertools import product

import numpy as np
import numpy.typing as npt

from chemcheck.chemistry.carbonate import blend, equilibrate, open_to_air, speciate_totals
from chemcheck.chemistry.hardness import CACO3_PER_CALCIUM, CACO3_PER_MAGNESIUM
from chemcheck.chemistry.ions import IONS, alkalinity_equivalents
from chemcheck.chemistry.waters import Totals, totals_per_kilogram
from chemcheck.errors import ChemcheckWarning

Floats = npt.NDArray[np.float64]
Ends = tuple[float, float]

# What the pH of a mixture is given at [deg C].
MIXED_AT = 25.0
# Of a tap water whose temperature was not read [deg C] (memory).
TAP_TEMPERATURES = (5.0, 25.0)
# What corners can miss where the pH turns round along an alkalinity [pH].
ALLOWANCE = 0.01
_IONS = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate")
_NEEDED = ("ph", "total_alkalinity", "chloride", "sulfate")
# So many waters with an open alkalinity are tried in all combinations.
_MOST_OPEN = 10


@dataclass(frozen=True, slots=True)
class MixturePh:
    """The pH of a mixture.

    Parameters
    ----------
    closed, open_to_air : tuple of (float, float)
        Ends of it at 25 deg C, mixed without air and in equilibrium with air; NaN where it
        cannot be reckoned.
    missing : tuple of (int, str)
        Water and analyte that were not read and without which it cannot be reckoned; an
        analyte of ``alkalinity`` at an impossible pH is named as ``total_alkalinity`` too.
    bounded : tuple of int
        Waters of which calcium, magnesium, sodium or potassium was only bounded, by the
        hardness and by the balance of charges.
    """

    closed: Ends
    open_to_air: Ends
    missing: tuple[tuple[int, str], ...] = ()
    bounded: tuple[int, ...] = ()

    @property
    def ends(self) -> Ends:
        """From the least to the greatest of both."""
        return (
            min(self.closed[0], self.open_to_air[0]),
            max(self.closed[1], self.open_to_air[1]),
        )


def mixture_ph(
    waters: Sequence[Mapping[str, Ends]], deionised: Sequence[bool], shares: Floats
) -> MixturePh:
    """Reckon the pH of a mixture from the ends of what its waters hold.

    Parameters
    ----------
    waters : sequence of mapping of str to (float, float)
        By analyte, the ends of the reading [canonical unit].
    deionised : sequence of bool
        Whether a water is deionised: its pH is not read but lies between equilibrium with air
        and bicarbonate alone, as it has next to no buffer.
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
    all intervals are tried, and the ends moved out by 0.01. Litres are taken for kilograms.

    Examples
    --------
    >>> tap = {"ph": (7.4, 7.4), "total_alkalinity": (250.0, 250.0), "calcium": (100.0, 100.0),
    ...     "magnesium": (20.0, 20.0), "sodium": (15.0, 15.0), "potassium": (2.0, 2.0),
    ...     "chloride": (40.0, 40.0), "sulfate": (60.0, 60.0), "water_temperature": (25.0, 25.0)}
    >>> found = mixture_ph([tap, {"total_alkalinity": (0.0, 0.0)}], [False, True],
    ...     np.array([0.5, 0.5]))
    >>> [round(end, 1) for end in found.closed], [round(end, 1) for end in found.open_to_air]
    ([7.4, 7.4], [8.5, 8.5])
    """
    used = [k for k in range(len(waters)) if shares[k] > 0.0]
    nothing = (np.nan, np.nan)
    missing = tuple(
        (k, key)
        for k in used
        if not deionised[k]
        for key in _NEEDED
        if key not in waters[k] or np.isinf(waters[k][key][1])
    )
    if missing or not used:
        return MixturePh(nothing, nothing, missing)
    boxes = [_box(waters[k], deionised[k]) for k in used]
    with warnings.catch_warnings():
        # Corners may lie outside the model; what that means is decided here.
        warnings.simplefilter("ignore", ChemcheckWarning)
        totals = _corners(boxes, [deionised[k] for k in used])
        lost = tuple(
            (k, "total_alkalinity")
            for k, one in zip(used, totals, strict=True)
            if np.isnan(one.carbonate).all()
        )
        if lost:
            return MixturePh(nothing, nothing, lost)
        mixed = blend(totals, np.repeat(shares[used][:, np.newaxis], len(totals[0].calcium), 1))
        closed, opened = equilibrate(mixed, MIXED_AT).ph, open_to_air(mixed, MIXED_AT).ph
    bounded = tuple(k for k, box in zip(used, boxes, strict=True) if box.bounded)
    return MixturePh(_range(closed), _range(opened), (), bounded)


@dataclass(frozen=True, slots=True)
class _Box:
    """The ends of all inputs of one water."""

    ends: Mapping[str, Ends]
    bounded: bool


def _box(water: Mapping[str, Ends], deionised: bool) -> _Box:
    ends = {key: value for key, value in water.items() if np.isfinite(value[1])}
    if deionised:
        return _Box({**dict.fromkeys(_IONS, (0.0, 0.0)), **ends}, False)
    hardness = ends.get("total_hardness", (0.0, np.inf))
    bounded = False
    for key, other, factor in (
        ("calcium", "magnesium", CACO3_PER_CALCIUM),
        ("magnesium", "calcium", CACO3_PER_MAGNESIUM),
    ):
        if key not in water:
            bounded = True
            ends[key] = _left_of(hardness, ends if other in water else {}, other, factor)
    if "sodium" not in ends:
        bounded = True
        ends["sodium"] = (0.0, _sodium_at_most(ends))
    ends.setdefault("potassium", (0.0, 0.0))
    ends.setdefault("water_temperature", TAP_TEMPERATURES)
    return _Box(ends, bounded)


def _left_of(hardness: Ends, ends: Mapping[str, Ends], other: str, factor: float) -> Ends:
    """Return what a hardness leaves for one of its two ions, once the other is known."""
    most = hardness[1] if np.isfinite(hardness[1]) else 0.0
    if other not in ends:
        return 0.0, most / factor
    each = CACO3_PER_MAGNESIUM if other == "magnesium" else CACO3_PER_CALCIUM
    least = max(hardness[0] - each * ends[other][1], 0.0)
    return least / factor, max(most - each * ends[other][0], least) / factor


def _sodium_at_most(ends: Mapping[str, Ends]) -> float:
    """Return the sodium that the anions leave room for [mg/L]."""
    anions = float(alkalinity_equivalents(ends["total_alkalinity"][1]))
    for key in ("chloride", "sulfate", "nitrate"):
        if key in ends:
            anions += ends[key][1] * abs(IONS[key].charge) / IONS[key].molar_mass
    for key in ("calcium", "magnesium", "potassium"):
        if key in ends:
            anions -= ends[key][0] * IONS[key].charge / IONS[key].molar_mass
    return max(anions, 0.0) * IONS["sodium"].molar_mass


def _corners(boxes: Sequence[_Box], deionised: Sequence[bool]) -> list[Totals]:
    """Return the totals of each water at all corners, a column of corners each."""
    wide = [k for k, box in enumerate(boxes) if np.ptp(box.ends.get("total_alkalinity", (0, 0)))]
    # Beyond so many, the rest move together: their combinations would be millions.
    singly, jointly = wide[:_MOST_OPEN], wide[_MOST_OPEN:]
    codes = np.array(list(product((0, 1), repeat=3 + len(singly) + bool(jointly))))
    ph, ions, heat = codes.T[:3]
    of_water = {k: codes.T[3 + place] for place, k in enumerate(singly)}
    of_water |= dict.fromkeys(jointly, codes.T[-1])
    none = np.zeros(len(codes), dtype=np.intp)
    answer = []
    for k, box in enumerate(boxes):
        at = {key: np.array(box.ends[key])[ions] for key in _IONS}
        alkalinity = np.array(box.ends.get("total_alkalinity", (0.0, 0.0)))
        amounts = totals_per_kilogram(alkalinity[of_water.get(k, none)], **at)
        if deionised[k]:
            answer.append(_deionised(amounts, ph))
        else:
            heated = np.array(box.ends["water_temperature"])[heat]
            measured = np.array(box.ends["ph"])[ph]
            answer.append(speciate_totals(amounts, measured, heated).totals)
    return answer


def _deionised(amounts: Totals, ph: npt.NDArray[np.int_]) -> Totals:
    """Give deionised water the carbon dioxide of air, or bicarbonate alone at the upper end."""
    aired = open_to_air(amounts, MIXED_AT).totals.carbonate
    carbonate = np.where(ph == 0, np.maximum(aired, amounts.alkalinity), amounts.alkalinity)
    held = {field.name: getattr(amounts, field.name) for field in fields(Totals)}
    return Totals(**{**held, "carbonate": carbonate})


def _range(ph: Floats) -> Ends:
    if np.isnan(ph).all():
        return np.nan, np.nan
    allowance = ALLOWANCE if np.ptp(ph[~np.isnan(ph)]) > 0.0 else 0.0
    return float(np.nanmin(ph)) - allowance, float(np.nanmax(ph)) + allowance
