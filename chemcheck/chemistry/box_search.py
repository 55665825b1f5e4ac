"""Search of boxes of inputs for the least and the greatest figures of their waters."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from chemcheck.chemistry.carbonate import equilibrate, heat, open_to_air, speciate_totals
from chemcheck.chemistry.phosphate import hydroxyapatite_index
from chemcheck.chemistry.precipitation import precipitation_potential
from chemcheck.chemistry.saturation import SCALE_SOLIDS, saturation_index
from chemcheck.chemistry.waters import Speciation, totals_per_kilogram

Floats = NDArray[np.float64]
Inputs = Mapping[str, Floats]

IONS = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate")
INPUTS = ("ph", "alkalinity", *IONS, "silica", "temperature")
PHOSPHATE = "phosphate"  # a trace: it moves nothing, so that it is no side of the box
CALCITE, ARAGONITE, GYPSUM, ANHYDRITE = (f"{solid}_si" for solid in SCALE_SOLIDS)
POTENTIAL = "ccpp_mg_per_kg"
FIGURES = ("ph", CALCITE, ARAGONITE, GYPSUM, ANHYDRITE, POTENTIAL)
BRUCITE, SILICA, HYDROXYAPATITE = "brucite_si", "amorphous_silica_si", "hydroxyapatite_si"
OTHER_FIGURES = (BRUCITE, SILICA, HYDROXYAPATITE)

# Inputs whose corners are tried together: sodium and potassium act alike, by the ionic strength
# and their pairs with anions; chloride by the ionic strength alone.
GROUPS: tuple[tuple[str, ...], ...] = (
    ("ph",),
    ("alkalinity",),
    ("calcium",),
    ("magnesium",),
    ("sulfate",),
    ("sodium", "potassium"),
    ("chloride",),
    ("silica",),
    ("temperature",),
)
_LOWER, _UPPER = 0, 1
# Ends of figures that turn round along an input, and that input. Hydroxide takes alkalinity away
# from carbonate at high pH; carbon dioxide grows with alkalinity at low pH; magnesium pairs with
# sulfate, which frees calcium, before it pairs with carbonate. Near the hydroxide that eats up a
# low alkalinity, the temperature of sampling counts both ways.
_TURNING: tuple[tuple[str, int, str], ...] = (
    (POTENTIAL, _LOWER, "alkalinity"),
    (POTENTIAL, _UPPER, "alkalinity"),
    (POTENTIAL, _LOWER, "magnesium"),
    (POTENTIAL, _UPPER, "magnesium"),
    (POTENTIAL, _UPPER, "ph"),
    (CALCITE, _UPPER, "ph"),
    (ARAGONITE, _UPPER, "ph"),
    (CALCITE, _UPPER, "temperature"),
    (ARAGONITE, _UPPER, "temperature"),
    (POTENTIAL, _UPPER, "temperature"),
    *(("ph", end, name) for end in (_LOWER, _UPPER) for name in ("alkalinity", *IONS)),
)
_SECTIONS = 14  # leave a thousandth of the interval, and less than a millionth of the figure
_GOLDEN = 0.5 * (5.0**0.5 - 1.0)


class BoxSearch:
    """Least and greatest of all figures of a set of boxes, found so far."""

    def __init__(
        self,
        low: Inputs,
        high: Inputs,
        wide: NDArray[np.bool_],
        temperatures: tuple[float, ...],
        vented: bool,
        phosphate: tuple[Floats, Floats],
        figures: tuple[str, ...],
    ) -> None:
        self.low, self.high, self.wide, self.vented = low, high, wide, vented
        self.phosphate, self.figures = phosphate, figures
        self.temperatures = temperatures
        self.size = low["ph"].size
        shape = (2, len(temperatures), len(figures), self.size)
        # The least of a figure and of its negative: both ends are one search. Beside them the
        # corner where it was found.
        self.best = np.full(shape, np.inf)
        self.corner = np.zeros(shape, dtype=np.int64)
        self.seen = np.zeros(self.size, dtype=np.bool_)
        self.lost = np.zeros(self.size, dtype=np.bool_)
        self.bare = np.zeros(self.size, dtype=np.bool_)

    def corners(self) -> None:
        """Try all corners of all boxes at once."""
        bits = 1 << np.arange(len(GROUPS))
        exact = ~(bits @ self.wide)
        codes = np.arange(1 << len(GROUPS))
        water, code = np.nonzero((codes & exact[:, None] & (codes.size - 1)) == 0)
        sampled = _sampled(self._inputs(water, _fractions(code)))
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
            for row, figure in enumerate(self.figures):
                ends = self._both_ends(at, figure, water)
                for end, signed in enumerate((ends[0], -ends[1])):
                    signed = np.where(np.isnan(signed), np.inf, signed)
                    if water.size > self.size:
                        order = np.lexsort((signed, water))
                        leading = order[np.searchsorted(water, np.arange(self.size))]
                        signed = signed[leading]
                        self.corner[end, step, row] = code[leading]
                    self.best[end, step, row] = signed

    def _both_ends(
        self, at: Speciation, figure: str, water: NDArray[np.intp]
    ) -> tuple[Floats, Floats]:
        """Return a figure at corners, as it counts for the lower and for the upper end."""
        if figure != HYDROXYAPATITE:
            values = _figure(at, figure)
            return values, values
        least, most = (each[water] for each in self.phosphate)
        if np.isnan(least).all():
            return least, most
        return hydroxyapatite_index(at, least), hydroxyapatite_index(at, most)

    def turning_points(self) -> None:
        """Search on from the best corner along the inputs that figures turn round with."""
        for kind in ("ph", CALCITE, ARAGONITE, POTENTIAL):
            tasks = [
                (water, step, end, INPUTS.index(name))
                for figure, end, name in _TURNING
                if figure == kind
                for step in range(len(self.temperatures))
                for water in [np.flatnonzero(self.low[name] < self.high[name])]
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
        step, end, place = (
            np.concatenate([np.full(task[0].size, task[column]) for task in tasks])
            for column in (1, 2, 3)
        )
        sign = np.where(end == _LOWER, 1.0, -1.0)
        heat_to = np.asarray(self.temperatures)[step]
        fractions = _fractions(self.corner[end, step, row, water])
        every = np.arange(water.size)

        def value(fraction: Floats) -> Floats:
            fractions[place, every] = fraction
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
        found_at = np.ravel_multi_index(
            (end, step, np.full(water.size, row), water), self.best.shape
        )
        np.minimum.at(self.best.reshape(-1), found_at, np.minimum(at_near, at_far))

    def _inputs(self, water: NDArray[np.intp], fractions: Floats) -> dict[str, Floats]:
        """Return the inputs at places of the boxes."""
        inputs = {}
        for name, fraction in zip(INPUTS, fractions, strict=True):
            low, high = self.low[name][water], self.high[name][water]
            inputs[name] = low + fraction * (high - low)
        return inputs


def _fractions(corner: NDArray[np.intp]) -> Floats:
    """Return the place of every input in its interval at corners, shape (inputs, n)."""
    fractions = np.empty((len(INPUTS), corner.size))
    for bit, names in enumerate(GROUPS):
        for name in names:
            fractions[INPUTS.index(name)] = (corner >> bit) & 1
    return fractions


def _sampled(inputs: Inputs) -> Speciation:
    """Speciate as sampled; a water that cannot be counts as one without carbonate."""
    amounts = {name: inputs[name] for name in ("alkalinity", *IONS, "silica")}
    totals = totals_per_kilogram(**amounts)
    water = speciate_totals(totals, inputs["ph"], inputs["temperature"])
    if not np.any(water.impossible):
        return water
    none = np.where(water.impossible, 0.0, water.totals.carbonate)
    bare = equilibrate(replace(totals, carbonate=none), inputs["temperature"])
    return replace(bare, impossible=water.impossible)


def _at(water: Speciation, temperature: Floats, vented: bool) -> Speciation:
    """Bring waters to a temperature, NaN for that of sampling, closed or open to air."""
    as_sampled = np.isnan(temperature)
    if not vented and as_sampled.all():
        return water
    to = np.where(as_sampled, water.temperature, temperature)
    return open_to_air(water, to) if vented else heat(water, to)


def _figure(water: Speciation, figure: str) -> Floats:
    """Compute one figure."""
    if figure == "ph":
        return water.ph
    if figure == POTENTIAL:
        return precipitation_potential(water).potential
    return saturation_index(water, figure.removesuffix("_si").replace("_", " "))
