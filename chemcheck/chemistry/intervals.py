"""Intervals through the water chemistry: what the figures can be, given what the readings can be.

A reading is an interval, so the figures of a water are the least and the greatest over a box of
inputs. The box is searched at its corners, which is exact where a figure only rises or only falls
with each input, and inside it along the inputs that some figures turn round with: the
precipitation potential of a water rich in carbon dioxide falls with alkalinity before it rises.
"""

import warnings
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.box_search import (
    ANHYDRITE,
    ARAGONITE,
    BRUCITE,
    CALCITE,
    FIGURES,
    GROUPS,
    GYPSUM,
    HYDROXYAPATITE,
    INPUTS,
    OTHER_FIGURES,
    PHOSPHATE,
    POTENTIAL,
    SILICA,
    BoxSearch,
)
from chemcheck.chemistry.range_record import Range
from chemcheck.errors import ChemcheckWarning

Floats = NDArray[np.float64]

_POINTS = 65_536  # tried together, so that memory does not grow with the table

# What corners can miss where a figure turns round along another input as well: more than brute
# force over boxes of half to twice an analysis ever found. Ends are moved out by it.
ALLOWANCE: Mapping[str, float] = {
    "ph": 0.01,
    CALCITE: 0.001,
    ARAGONITE: 0.001,
    GYPSUM: 0.01,
    ANHYDRITE: 0.01,
    POTENTIAL: 0.25,
    BRUCITE: 0.01,
    SILICA: 0.01,
    HYDROXYAPATITE: 0.1,
}
_ALL = (*FIGURES, *OTHER_FIGURES)

# What an input counts for that is left out.
_LEFT_OUT: Mapping[str, float] = {"silica": 0.0, PHOSPHATE: np.nan}
# Ends that an input without an upper end leaves open.
_OPEN_UPPER: Mapping[str, tuple[str, ...]] = {
    "ph": ("ph", CALCITE, ARAGONITE, POTENTIAL, BRUCITE, HYDROXYAPATITE),
    "alkalinity": ("ph", CALCITE, ARAGONITE, POTENTIAL, BRUCITE, HYDROXYAPATITE),
    "calcium": (*FIGURES, HYDROXYAPATITE),
    "silica": ("ph", SILICA),
    PHOSPHATE: (HYDROXYAPATITE,),
    "sulfate": ("ph", GYPSUM, ANHYDRITE),
    "magnesium": ("ph", BRUCITE),
    **dict.fromkeys(("sodium", "potassium", "chloride"), ("ph", SILICA)),
}
_OPEN_LOWER: Mapping[str, tuple[str, ...]] = {
    "ph": ("ph", GYPSUM, ANHYDRITE, SILICA),
    "alkalinity": ("ph", GYPSUM, ANHYDRITE, POTENTIAL, BRUCITE, HYDROXYAPATITE),
    "calcium": ("ph", BRUCITE, HYDROXYAPATITE),
    "sulfate": ("ph", CALCITE, ARAGONITE, POTENTIAL, BRUCITE, HYDROXYAPATITE),
    "silica": ("ph", CALCITE, ARAGONITE, POTENTIAL, BRUCITE, HYDROXYAPATITE),
    "magnesium": (*FIGURES, HYDROXYAPATITE),
    **dict.fromkeys(("sodium", "potassium", "chloride"), _ALL),
}


def figure_ranges(
    lower: Mapping[str, ArrayLike],
    upper: Mapping[str, ArrayLike],
    temperatures: Sequence[float | None],
    *,
    vented: bool = False,
    turning: bool = True,
    others: bool = False,
) -> dict[float | None, dict[str, Range]]:
    """Least and greatest of every figure of waters whose inputs are intervals.

    Parameters
    ----------
    lower, upper : mapping of str to float or array-like, shape (n,)
        Ends of the inputs named in `INPUTS`: pH, alkalinity [mg/L as CaCO3], ions [mg/L], the
        silica [mg/L as SiO2], temperature of sampling [deg C]. Equal ends are an exact value; an
        upper end may be infinite. Silica may be left out, for none; ``phosphate``, a trace
        [mg/L as PO4], may be there.
    temperatures : sequence of float or None
        Temperatures that figures are asked for [deg C]; None is that of sampling.
    vented : bool
        Open to air at each temperature instead of closed.
    turning : bool
        Whether to search for turning points between the corners. Without it the ends are those
        of the corners, which is enough, and far quicker, where only the temperature and ions
        without pairs of their own are intervals.
    others : bool
        Whether `OTHER_FIGURES` are asked for too; they are sought at the corners alone.

    Returns
    -------
    dict of float or None to dict of str to Range
        By temperature, then by the names in `FIGURES` (and `OTHER_FIGURES` where asked): pH,
        saturation indices, and the precipitation potential [mg CaCO3 per kg of water].

    Raises
    ------
    KeyError
        If an input is missing from the mappings.
    ValueError
        If a lower end exceeds its upper end.

    Notes
    -----
    An exact water has both ends equal. Otherwise the ends contain what any water of the box does:
    corners, a golden-section search along what figures turn round with, and the small `ALLOWANCE`
    for what that can miss. Parts of
    the box that cannot be (an alkalinity below the hydroxide of its pH) count as waters without
    carbonate; parts beyond the activity model leave every end open.

    Examples
    --------
    A strip that reads pH 7 to 8 and an alkalinity of 80 to 180:

    >>> exact = dict(ph=7.5, alkalinity=120.0, calcium=60.0, magnesium=12.0, sodium=20.0,
    ...     potassium=3.0, chloride=40.0, sulfate=50.0, temperature=20.0)
    >>> low, high = exact | dict(ph=7.0, alkalinity=80.0), exact | dict(ph=8.0, alkalinity=180.0)
    >>> index = figure_ranges(low, high, [60.0])[60.0]["calcite_si"]
    >>> index.lower.round(1), index.upper.round(1)
    (array([-0.3]), array([0.8]))
    """
    asked = (*FIGURES, *OTHER_FIGURES) if others else FIGURES
    low, high = _columns(lower, upper)
    for name in low:
        if np.any(low[name] > high[name]):
            msg = f"a lower end of {name} exceeds its upper end"
            raise ValueError(msg)
    open_inputs = {name: np.isposinf(high[name]) for name in high}
    high = {name: np.where(open_inputs[name], low[name], high[name]) for name in high}
    wide = np.array([np.logical_or.reduce([low[n] < high[n] for n in names]) for names in GROUPS])
    points = np.cumsum(1 << np.count_nonzero(wide, axis=0))
    ends = np.empty((2, len(temperatures), len(asked), points.size))
    first = 0
    with warnings.catch_warnings():
        # Corners may lie outside the model; what that means for an end is decided here.
        warnings.simplefilter("ignore", ChemcheckWarning)
        while first < points.size:
            done = points[first - 1] if first else 0
            last = max(first + 1, int(np.searchsorted(points, done + _POINTS, side="right")))
            here = slice(first, last)
            search = BoxSearch(
                {name: low[name][here] for name in INPUTS},
                {name: high[name][here] for name in INPUTS},
                wide[:, here],
                tuple(np.nan if degrees is None else degrees for degrees in temperatures),
                vented,
                (low[PHOSPHATE][here], high[PHOSPHATE][here]),
                asked,
            )
            search.corners()
            if turning:
                search.turning_points()
            ends[..., here] = _ends(
                search, {name: each[here] for name, each in open_inputs.items()}
            )
            first = last
    return {
        temperature: {
            figure: Range(ends[0, step, row], ends[1, step, row])
            for row, figure in enumerate(asked)
        }
        for step, temperature in enumerate(temperatures)
    }


def _ends(search: BoxSearch, open_inputs: Mapping[str, NDArray[np.bool_]]) -> Floats:
    """Return lower and upper ends, shape (2, temperatures, figures, n)."""
    ends = np.stack([search.best[0], -search.best[1]])
    never = np.isposinf(ends[0]) | ~search.seen
    exact = ~search.wide.any(axis=0)
    for row, figure in enumerate(search.figures):
        allowance = np.where(exact, 0.0, ALLOWANCE[figure])
        ends[0, :, row] -= allowance
        ends[1, :, row] += allowance
        for end, opens, value in ((0, _OPEN_LOWER, -np.inf), (1, _OPEN_UPPER, np.inf)):
            left_open = search.lost | (search.bare & (end == 0 and figure in (CALCITE, ARAGONITE)))
            for name, figures in opens.items():
                if figure in figures:
                    left_open = left_open | open_inputs[name]
            ends[end, :, row][:, left_open] = value
    ends[:, never] = np.nan
    return ends


def _columns(
    lower: Mapping[str, ArrayLike], upper: Mapping[str, ArrayLike]
) -> tuple[dict[str, Floats], dict[str, Floats]]:
    """Lay the ends of the inputs out as columns of one length."""
    names = (*INPUTS, PHOSPHATE)
    given = [
        each.get(name, _LEFT_OUT[name]) if name in _LEFT_OUT else each[name]
        for each in (lower, upper)
        for name in names
    ]
    columns = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(values, dtype=np.float64)) for values in given)
    )
    count = len(names)
    return (
        dict(zip(names, columns[:count], strict=True)),
        dict(zip(names, columns[count:], strict=True)),
    )


__all__ = ["ALLOWANCE", "FIGURES", "INPUTS", "OTHER_FIGURES", "Range", "figure_ranges"]
