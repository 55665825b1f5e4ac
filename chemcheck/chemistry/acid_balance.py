"""Reserve alkalinity that is gone, and how much of it the acids found explain.

Dilution is taken out first: what a fresh fill brought is there in the share that is left of it,
and what topped it up in the rest. Only then is an anion's excess an acid's, and only as far as
the acid gives off its proton at the end of the titration. Salts that came in as salts carry
their own cation and use up no reserve.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.acid_load import (
    EQUIVALENT_MASS,
    acid_equivalents,
    ionised_fraction,
    reserve_alkalinity_used,
)
from chemcheck.chemistry.ions import CALCIUM_CARBONATE_MOLAR_MASS, IONS
from chemcheck.chemistry.range_record import Range

Floats = NDArray[np.float64]

# The titration of reserve alkalinity ends here (ASTM D1121).
END_POINT = 5.5
# pKa of each proton at 25 C (memory: handbooks of chemistry). At the end point an error of 0.1
# moves the share counted of acetic acid by 0.03, that of the others by 0.01 or less.
ACIDITY: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {
        "glycolate": (3.83,),
        "formate": (3.75,),
        "acetate": (4.76,),
        "lactate": (3.86,),
        "oxalate": (1.25, 4.27),
    }
)
# Anions of acids so strong that all of it counts, and what salts of them bring along.
MINERAL = ("chloride", "sulfate")
CATIONS = ("sodium", "potassium", "calcium", "magnesium")
# A dose brings these with a cation of their own, which is then no salt of the others.
DOSED = ("nitrite", "nitrate")


@dataclass(frozen=True, slots=True)
class Change:
    """What a coolant holds of one thing, what its fresh fill held, and its top-ups do.

    Parameters
    ----------
    found, fresh, added : Range
        [one unit of concentration].
    """

    found: Range
    fresh: Range
    added: Range


@dataclass(frozen=True, slots=True)
class AcidBalance:
    """Reserve alkalinity lost, and the acids that account for it.

    Parameters
    ----------
    lost : Range
        Beyond dilution [mL 0.1 mol/L acid for 10 mL].
    by_acid : mapping of str to Range
        What each acid found has used up; ``mineral`` is that of chloride and sulfate that no
        salt explains [the same].
    explained, unexplained : Range
        By all of them together, and what remains [the same].
    """

    lost: Range
    by_acid: Mapping[str, Range]
    explained: Range
    unexplained: Range


def reserve_of_acid(anion: str, concentration: ArrayLike, ph: float = END_POINT) -> Floats:
    """Reserve alkalinity that an acid has used up, by the anion found of it.

    Parameters
    ----------
    anion : str
        A key of `ACIDITY`.
    concentration : float or array-like
        Of the anion that came from acid [mg/L].
    ph : float
        Where the titration ends.

    Returns
    -------
    numpy.ndarray
        [mL 0.1 mol/L acid for 10 mL]: equivalents times the share of protons given off
        there. What is still undissociated at the end point uses up nothing that the
        titration finds.

    Raises
    ------
    KeyError
        If the anion is of no acid known here.

    References
    ----------
    .. [1] ASTM D1121, Reserve alkalinity of engine coolants and antirusts (titration to 5.5).

    Examples
    --------
    1000 mg/L of glycolate are 13.3 meq/L, all but 2 % of it given off at pH 5.5:

    >>> round(float(reserve_of_acid("glycolate", 1000.0)), 2)
    1.3
    """
    shares = [float(ionised_fraction(pka, ph)) for pka in ACIDITY[anion]]
    counted = acid_equivalents(anion, concentration) * (sum(shares) / len(shares))
    return np.asarray(reserve_alkalinity_used(counted))[()]


def excess(change: Change, left: ArrayLike) -> Range:
    """Return what is there beyond what the fresh fill and the top-ups brought.

    Parameters
    ----------
    change : Change
        Of one thing.
    left : float or array-like
        Share of the fresh fill that is left; above 1 where water evaporated [1].

    Returns
    -------
    Range
        c - c0 f - cw (1 - f) [the unit of the change]; the ends hold for this share.

    Examples
    --------
    >>> exact = lambda x: Range(np.asarray(x), np.asarray(x))
    >>> float(excess(Change(exact(60.0), exact(8.0), exact(85.0)), 0.9).lower.round(1))
    44.3
    """
    kept = np.asarray(left, dtype=np.float64)
    let_in = np.maximum(1.0 - kept, 0.0)
    return Range(
        np.asarray(change.found.lower - change.fresh.upper * kept - change.added.upper * let_in),
        np.asarray(change.found.upper - change.fresh.lower * kept - change.added.lower * let_in),
    )


def acid_balance(reserve: Change, left: Range, ions: Mapping[str, Change]) -> AcidBalance:
    """Hold reserve alkalinity that is gone against the acids found.

    Parameters
    ----------
    reserve : Change
        Reserve alkalinity [mL 0.1 mol/L acid for 10 mL].
    left : Range
        Share of the fresh fill that is left, by glycol or another tracer [1].
    ions : mapping of str to Change
        By analyte: anions of `ACIDITY`, `MINERAL` and `DOSED`, and `CATIONS` [mg/L]. One that
        was not measured is left out.

    Returns
    -------
    AcidBalance
        The ends hold whatever the true values within the intervals are.

    Notes
    -----
    An anion's excess below zero is no acid. Chloride and sulfate are acid at most as far as
    the cations that surely rose with them leave their charge over; where any of sodium,
    potassium, calcium and magnesium was not measured, they may be salt altogether, and the
    lower end is zero. Nitrate is no acid: it comes from nitrite, which is as strong an anion.

    Examples
    --------
    The reserve fell from 5 to 3 without dilution, 1000 mg/L of glycolate are found:

    >>> exact = lambda x: Range(np.asarray(x), np.asarray(x))
    >>> nothing = exact(0.0)
    >>> answer = acid_balance(Change(exact(3.0), exact(5.0), nothing), exact(1.0),
    ...                       {"glycolate": Change(exact(1000.0), nothing, nothing)})
    >>> float(answer.explained.lower.round(1)), float(answer.unexplained.upper.round(1))
    (1.3, 0.7)
    """
    shares = [left.lower, left.upper, np.clip(1.0, left.lower, left.upper)]
    at_each = [_at(reserve, share, ions) for share in shares]
    names = at_each[0].by_acid
    return AcidBalance(
        lost=_hull([one.lost for one in at_each]),
        by_acid=MappingProxyType(
            {name: _hull([one.by_acid[name] for one in at_each]) for name in names}
        ),
        explained=_hull([one.explained for one in at_each]),
        unexplained=_hull([one.unexplained for one in at_each]),
    )


def reserve_of_alkalinity(alkalinity: ArrayLike) -> Floats:
    """Reserve alkalinity that a water's own alkalinity brings.

    Parameters
    ----------
    alkalinity : float or array-like
        Total alkalinity [mg/L as CaCO3].

    Returns
    -------
    numpy.ndarray
        [mL 0.1 mol/L acid for 10 mL]; to pH 5.5 a little less than to the 4.5 or so of the
        alkalinity titration, so this is an upper bound.

    Examples
    --------
    >>> round(float(reserve_of_alkalinity(250.0)), 2)
    0.5
    """
    mass = CALCIUM_CARBONATE_MOLAR_MASS / 2.0  # [mg/meq]
    return reserve_alkalinity_used(np.divide(alkalinity, mass, dtype=np.float64))


def _at(reserve: Change, share: Floats, ions: Mapping[str, Change]) -> AcidBalance:
    """Return the balance for one share left."""
    gone = excess(reserve, share)
    lost = Range(-gone.upper, -gone.lower)
    by_acid = {
        anion: _floored(_map(partial(reserve_of_acid, anion), excess(ions[anion], share)))
        for anion in ACIDITY
        if anion in ions
    }
    mineral = _mineral(share, ions)
    if mineral is not None:
        by_acid["mineral"] = mineral
    explained = _sum(list(by_acid.values()), lost.lower)
    return AcidBalance(
        lost,
        by_acid,
        explained,
        Range(lost.lower - explained.upper, lost.upper - explained.lower),
    )


def _mineral(share: Floats, ions: Mapping[str, Change]) -> Range | None:
    """Return the reserve used up by chloride and sulfate that came as acids."""
    if not any(name in ions for name in MINERAL):
        return None

    def rise(names: tuple[str, ...]) -> Range:
        parts = [_equivalents(k, _floored(excess(ions[k], share))) for k in names if k in ions]
        return _sum(parts, share)

    anions, dosed, cations = rise(MINERAL), rise(DOSED), rise(CATIONS)
    salt_at_least = np.maximum(cations.lower - dosed.upper, 0.0)
    least = anions.lower - cations.upper
    if not all(name in ions for name in CATIONS):
        least = np.zeros_like(least)
    acid = _floored(Range(least, anions.upper - salt_at_least))
    return _map(reserve_alkalinity_used, acid)


def _sum(parts: Sequence[Range], like: Floats) -> Range:
    zero = np.zeros_like(like)
    return Range(sum((one.lower for one in parts), zero), sum((one.upper for one in parts), zero))


def _equivalents(ion: str, amount: Range) -> Range:
    mass = EQUIVALENT_MASS.get(ion) or IONS[ion].molar_mass / abs(IONS[ion].charge)
    return Range(amount.lower / mass, amount.upper / mass)


def _map(function: Callable[[Floats], Floats], one: Range) -> Range:
    return Range(function(one.lower), function(one.upper))


def _floored(one: Range) -> Range:
    return Range(np.maximum(one.lower, 0.0), np.maximum(one.upper, 0.0))


def _hull(parts: list[Range]) -> Range:
    return Range(
        np.fmin.reduce([one.lower for one in parts]), np.fmax.reduce([one.upper for one in parts])
    )
