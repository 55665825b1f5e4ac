"""Intervals through the water chemistry: what the figures can be, given what the readings can be.

A reading is an interval, so the figures of a water are the least and the greatest over a box of
inputs. The box is searched at its corners, which is exact where a figure only rises or only falls
with each input, and inside it along pH and alkalinity, with which some figures turn round: the
precipitation potential of a water rich in carbon dioxide falls with alkalinity before it rises.
"""

import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry.carbonate import equilibrate, heat, open_to_air, speciate_totals
from chemcheck.chemistry.precipitation import precipitation_potential
from chemcheck.chemistry.saturation import SCALE_SOLIDS, saturation_index
from chemcheck.chemistry.waters import Speciation, totals_per_kilogram
from chemcheck.errors import ChemcheckWarning

Floats = NDArray[np.float64]
Inputs = Mapping[str, Floats]

IONS = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate")
INPUTS = ("ph", "alkalinity", *IONS, "temperature")
CALCITE, ARAGONITE, GYPSUM, ANHYDRITE = (f"{solid}_si" for solid in SCALE_SOLIDS)
POTENTIAL = "ccpp_mg_per_kg"
FIGURES = ("ph", CALCITE, ARAGONITE, GYPSUM, ANHYDRITE, POTENTIAL)

# Inputs whose corners are tried together: sodium, potassium and chloride act alike, by the ionic
# strength.
_GROUPS: tuple[tuple[str, ...], ...] = (
    ("ph",),
    ("alkalinity",),
    ("calcium",),
    ("magnesium",),
    ("sulfate",),
    ("sodium", "potassium", "chloride"),
    ("temperature",),
)
_PH, _ALKALINITY, _CALCIUM, _MAGNESIUM, _SULFATE, _BACKGROUND = range(6)
_LOWER, _UPPER = 0, 1
# Ends of figures that turn round along an input, and that input. Hydroxide takes alkalinity away
# from carbonate at high pH; carbon dioxide grows with alkalinity at low pH; magnesium pairs with
# sulfate, which frees calcium, before it pairs with carbonate.
_TURNING: tuple[tuple[str, int, int], ...] = (
    (POTENTIAL, _LOWER, _ALKALINITY),
    (POTENTIAL, _UPPER, _ALKALINITY),
    (POTENTIAL, _LOWER, _MAGNESIUM),
    (POTENTIAL, _UPPER, _MAGNESIUM),
    (POTENTIAL, _UPPER, _PH),
    (CALCITE, _UPPER, _PH),
    (ARAGONITE, _UPPER, _PH),
    *(
        ("ph", end, group)
        for end in (_LOWER, _UPPER)
        for group in (_ALKALINITY, _CALCIUM, _MAGNESIUM, _SULFATE, _BACKGROUND)
    ),
)
_SECTIONS = 14  # leave a thousandth of the interval, and less than a millionth of the figure
_GOLDEN = 0.5 * (5.0**0.5 - 1.0)
_POINTS = 65_536  # tried together, so that memory does not grow with the table

# What corners can miss where a figure turns round along another input as well: more than brute
# force over boxes of half to twice an analysis ever found. Ends are moved out by it.
ALLOWANCE: Mapping[str, float] = {
    "ph": 0.01,
    CALCITE: 0.001,
    ARAGONITE: 0.001,
    GYPSUM: 0.001,
    ANHYDRITE: 0.001,
    POTENTIAL: 0.25,
}

# Ends that an input without an upper end leaves open.
_OPEN_UPPER: Mapping[str, tuple[str, ...]] = {
    "ph": ("ph", CALCITE, ARAGONITE, POTENTIAL),
    "alkalinity": ("ph", CALCITE, ARAGONITE, POTENTIAL),
    "calcium": FIGURES,
    "sulfate": ("ph", GYPSUM, ANHYDRITE),
    **dict.fromkeys(("magnesium", "sodium", "potassium", "chloride"), ("ph",)),
}
_OPEN_LOWER: Mapping[str, tuple[str, ...]] = {
    "ph": ("ph", GYPSUM, ANHYDRITE),
    "alkalinity": ("ph", GYPSUM, ANHYDRITE, POTENTIAL),
    "calcium": ("ph",),
    "sulfate": ("ph", CALCITE, ARAGONITE, POTENTIAL),
    **dict.fromkeys(("magnesium", "sodium", "potassium", "chloride"), FIGURES),
}


@dataclass(frozen=True, slots=True, eq=False)
class Range:
    """Ends of a figure of a set of waters.

    Parameters
    ----------
    lower, upper : numpy.ndarray, shape (n,)
        NaN where an input is missing or no water of the box can be; infinite where an end is
        open.
    """

    lower: Floats
    upper: Floats


def figure_ranges(
    lower: Mapping[str, ArrayLike],
    upper: Mapping[str, ArrayLike],
    temperatures: Sequence[float],
    *,
    vented: bool = False,
) -> dict[float, dict[str, Range]]:
    """Least and greatest of every figure of waters whose inputs are intervals.

    Parameters
    ----------
    lower, upper : mapping of str to float or array-like, shape (n,)
        Ends of the inputs named in `INPUTS`: pH, alkalinity [mg/L as CaCO3], ions [mg/L], the
        temperature of sampling [deg C]. Equal ends are an exact value; an upper end may be
        infinite.
    temperatures : sequence of float
        Temperatures that figures are asked for [deg C].
    vented : bool
        Open to air at each temperature instead of closed.

    Returns
    -------
    dict of float to dict of str to Range
        By temperature, then by the names in `FIGURES`: pH, saturation indices, and the
        precipitation potential [mg CaCO3 per kg of water].

    Raises
    ------
    KeyError
        If an input is missing from the mappings.
    ValueError
        If a lower end exceeds its upper end.

    Notes
    -----
    An exact water has both ends equal. Otherwise the ends contain what any water of the box does:
    corners, a golden-section search along pH and alkalinity, and the small `ALLOWANCE`. Parts of
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
    low, high = _columns(lower), _columns(upper)
    for name in INPUTS:
        if np.any(low[name] > high[name]):
            msg = f"a lower end of {name} exceeds its upper end"
            raise ValueError(msg)
    open_inputs = {name: np.isposinf(high[name]) for name in INPUTS}
    high = {name: np.where(open_inputs[name], low[name], high[name]) for name in INPUTS}
    wide = np.array([np.logical_or.reduce([low[n] < high[n] for n in names]) for names in _GROUPS])
    points = np.cumsum(1 << np.count_nonzero(wide, axis=0))
    ends = np.empty((2, len(temperatures), len(FIGURES), points.size))
    first = 0
    with warnings.catch_warnings():
        # Corners may lie outside the model; what that means for an end is decided here.
        warnings.simplefilter("ignore", ChemcheckWarning)
        while first < points.size:
            done = points[first - 1] if first else 0
            last = max(first + 1, int(np.searchsorted(points, done + _POINTS, side="right")))
            here = slice(first, last)
            search = _Search(
                {name: low[name][here] for name in INPUTS},
                {name: high[name][here] for name in INPUTS},
                wide[:, here],
                tuple(temperatures),
                vented,
            )
            search.corners()
            search.turning_points()
            ends[..., here] = search.ends({name: open_inputs[name][here] for name in INPUTS})
            first = last
    return {
        temperature: {
            figure: Range(ends[0, step, row], ends[1, step, row])
            for row, figure in enumerate(FIGURES)
        }
        for step, temperature in enumerate(temperatures)
    }


class _Search:
    """Least and greatest of all figures of a set of boxes, found so far."""

    def __init__(
        self,
        low: Inputs,
        high: Inputs,
        wide: NDArray[np.bool_],
        temperatures: tuple[float, ...],
        vented: bool,
    ) -> None:
        self.low, self.high, self.wide, self.vented = low, high, wide, vented
        self.temperatures = temperatures
        self.size = low["ph"].size
        shape = (2, len(temperatures), len(FIGURES), self.size)
        # The least of a figure and of its negative: both ends are one search. Beside them the
        # corner where it was found.
        self.best = np.full(shape, np.inf)
        self.corner = np.zeros(shape, dtype=np.int64)
        self.seen = np.zeros(self.size, dtype=np.bool_)
        self.lost = np.zeros(self.size, dtype=np.bool_)
        self.bare = np.zeros(self.size, dtype=np.bool_)

    def corners(self) -> None:
        """Try all corners of all boxes at once."""
        bits = 1 << np.arange(len(_GROUPS))
        exact = ~(bits @ self.wide)
        codes = np.arange(1 << len(_GROUPS))
        water, code = np.nonzero((codes & exact[:, None] & (codes.size - 1)) == 0)
        fractions = ((code & bits[:, None]) != 0).astype(np.float64)
        sampled = _sampled(self._inputs(water, fractions))
        missing = np.isnan(sampled.totals.alkalinity) | np.isnan(self.low["ph"][water])
        missing |= np.isnan(self.low["temperature"][water])
        for flag, found in (
            (self.bare, sampled.impossible),
            (self.seen, sampled.converged & ~sampled.impossible),
            (self.lost, ~(sampled.converged | sampled.impossible | missing)),
        ):
            np.logical_or.at(flag, water, found)
        for step, temperature in enumerate(self.temperatures):
            at = _at(sampled, np.full(water.size, temperature), self.vented)
            for row, figure in enumerate(FIGURES):
                values = _figure(at, figure)
                for end, signed in enumerate((values, -values)):
                    signed = np.where(np.isnan(signed), np.inf, signed)
                    if water.size > self.size:
                        order = np.lexsort((signed, water))
                        leading = order[np.searchsorted(water, np.arange(self.size))]
                        signed = signed[leading]
                        self.corner[end, step, row] = code[leading]
                    self.best[end, step, row] = signed

    def turning_points(self) -> None:
        """Search on from the best corner along the inputs that figures turn round with."""
        for kind in ("ph", CALCITE, ARAGONITE, POTENTIAL):
            tasks = [
                (water, step, end, group)
                for figure, end, group in _TURNING
                if figure == kind
                for step in range(len(self.temperatures))
                for water in [np.flatnonzero(self.wide[group])]
                if water.size
            ]
            if tasks:
                self._sections(kind, tasks)

    def _sections(
        self, figure: str, tasks: Sequence[tuple[NDArray[np.intp], int, int, int]]
    ) -> None:
        """Golden-section search of one figure, all waters, ends and temperatures at once."""
        row = FIGURES.index(figure)
        water = np.concatenate([task[0] for task in tasks])
        step, end, group = (
            np.concatenate([np.full(task[0].size, task[place]) for task in tasks])
            for place in (1, 2, 3)
        )
        sign = np.where(end == _LOWER, 1.0, -1.0)
        heat_to = np.asarray(self.temperatures)[step]
        code = self.corner[end, step, row, water]
        fractions = ((code & (1 << np.arange(len(_GROUPS)))[:, None]) != 0).astype(np.float64)
        every = np.arange(water.size)

        def value(fraction: Floats) -> Floats:
            fractions[group, every] = fraction
            at = _at(_sampled(self._inputs(water, fractions)), heat_to, self.vented)
            found = sign * _figure(at, figure)
            return np.where(np.isnan(found), np.inf, found)

        left, right = np.zeros(water.size), np.ones(water.size)
        near, far = right - _GOLDEN, left + _GOLDEN
        at_near, at_far = value(near), value(far)
        for _ in range(_SECTIONS):
            first = at_near < at_far
            left, right = np.where(first, left, near), np.where(first, far, right)
            width = _GOLDEN * (right - left)
            fresh = np.where(first, right - width, left + width)
            at_fresh = value(fresh)
            near, far = np.where(first, fresh, far), np.where(first, near, fresh)
            at_near, at_far = (
                np.where(first, at_fresh, at_far),
                np.where(first, at_near, at_fresh),
            )
        place = np.ravel_multi_index((end, step, np.full(water.size, row), water), self.best.shape)
        np.minimum.at(self.best.reshape(-1), place, np.minimum(at_near, at_far))

    def _inputs(self, water: NDArray[np.intp], fractions: Floats) -> dict[str, Floats]:
        """Return the inputs at places of the boxes."""
        inputs = {}
        for names, fraction in zip(_GROUPS, fractions, strict=True):
            for name in names:
                low, high = self.low[name][water], self.high[name][water]
                inputs[name] = low + fraction * (high - low)
        return inputs

    def ends(self, open_inputs: Mapping[str, NDArray[np.bool_]]) -> Floats:
        """Return lower and upper ends, shape (2, temperatures, figures, n)."""
        ends = np.stack([self.best[0], -self.best[1]])
        never = np.isposinf(ends[0]) | ~self.seen
        exact = ~self.wide.any(axis=0)
        for row, figure in enumerate(FIGURES):
            allowance = np.where(exact, 0.0, ALLOWANCE[figure])
            ends[0, :, row] -= allowance
            ends[1, :, row] += allowance
            for end, opens, value in ((0, _OPEN_LOWER, -np.inf), (1, _OPEN_UPPER, np.inf)):
                left_open = self.lost | (self.bare & (end == 0 and figure in (CALCITE, ARAGONITE)))
                for name, figures in opens.items():
                    if figure in figures:
                        left_open = left_open | open_inputs[name]
                ends[end, :, row][:, left_open] = value
        ends[:, never] = np.nan
        return ends


def _sampled(inputs: Inputs) -> Speciation:
    """Speciate as sampled; a water that cannot be counts as one without carbonate."""
    totals = totals_per_kilogram(inputs["alkalinity"], *(inputs[name] for name in IONS))
    water = speciate_totals(totals, inputs["ph"], inputs["temperature"])
    if not np.any(water.impossible):
        return water
    none = np.where(water.impossible, 0.0, water.totals.carbonate)
    bare = equilibrate(replace(totals, carbonate=none), inputs["temperature"])
    return replace(bare, impossible=water.impossible)


def _at(water: Speciation, temperature: Floats, vented: bool) -> Speciation:
    """Bring waters to a temperature, closed or open to air."""
    return open_to_air(water, temperature) if vented else heat(water, temperature)


def _figure(water: Speciation, figure: str) -> Floats:
    """Compute one figure."""
    if figure == "ph":
        return water.ph
    if figure == POTENTIAL:
        return precipitation_potential(water).potential
    return saturation_index(water, figure.removesuffix("_si"))


def _columns(inputs: Mapping[str, ArrayLike]) -> dict[str, Floats]:
    """Lay the inputs out as columns of one length."""
    arrays = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(inputs[name], dtype=np.float64)) for name in INPUTS)
    )
    return dict(zip(INPUTS, arrays, strict=True))
