"""What a cause does to a coolant, as the mean and variance of every analyte.

Given how strong each cause is (and which variant or foreign fluid), all analytes are
independent and normal about these moments, so that the likelihood of a sample is exact.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from tests.causes.simulated_faults.ranges import (
    ANALYTES,
    GLYCOLS,
    INDEX,
    Floats,
    Panel,
    Pattern,
    ranges,
)

GLYCOL, PH = INDEX["glycol"], INDEX["ph"]
CALCIUM, MAGNESIUM = INDEX["calcium"], INDEX["magnesium"]
# Milligrams per litre as CaCO3 of one of the ion, from atomic weights.
HARDNESS = {CALCIUM: 2.4973, MAGNESIUM: 4.1179}
# Glycol of a concentrate [vol%]: the middle of 92 to 97 (memory).
CONCENTRATE = 95.0
# pH follows the water of a dilution by this part of the share (assumed): buffers hold it.
PH_OF_WATER = 0.4
# Of what is boiled off nothing but water is lost; pH hardly moves.
ALL_BUT_PH = np.arange(len(ANALYTES)) != PH
# How far the tap strays from its analysis, as a share (assumed).
TAP_SCATTER = 0.1
# Variance of a freezing point about that of its glycol [C2]: inhibitors differ (assumed).
FREEZING_VARIANCE = 0.25
# What tap water brings that stays behind when the water boils off.
TAP_IONS = ranges().tap_high * ALL_BUT_PH > 0


@dataclass(frozen=True)
class Units:
    """Units before the sample in hand: arrays of one row a unit."""

    formula: npt.NDArray[np.intp]
    glycol: npt.NDArray[np.intp]
    fresh: Floats
    previous: Floats
    tap: Floats

    def __len__(self) -> int:
        """Count the units."""
        return len(self.formula)

    def of(self, rows: npt.NDArray[np.intp] | slice) -> "Units":
        """Return some of the units."""
        return Units(
            self.formula[rows],
            self.glycol[rows],
            self.fresh[rows],
            self.previous[rows],
            self.tap[rows],
        )


@dataclass
class Coolant:
    """Mean and variance of each analyte, in the order of ``ANALYTES``; by unit and strength.

    An analyte that no cause has moved is the same at all strengths: its second axis is 1.
    """

    mean: list[Floats]
    variance: list[Floats]
    # Shifts of a reading that the coolant itself does not have: mean and variance.
    reads: dict[str, tuple[Floats, Floats]]


@dataclass(frozen=True)
class Acting:
    """One cause at work: which, its variant or the foreign formula, how strong (0 to 1)."""

    pattern: int
    variant: npt.NDArray[np.intp] | int
    strength: Floats


def between(span: Sequence[float], strength: Floats) -> Floats:
    """Return the point of a range at a strength; ranges of a factor of 3 go by factors."""
    weak, strong = span
    if min(weak, strong) > 0 and max(weak, strong) >= 3 * min(weak, strong):
        return np.asarray(weak * (strong / weak) ** strength)
    return weak + (strong - weak) * strength


def sound(units: Units) -> Coolant:
    """Return the coolant of units to which nothing happened since their last sample."""
    known = ranges()
    since = known.conditions["ageing"]["since"]
    fresh, last = units.fresh, units.previous
    life = np.where(known.keeps < 1, fresh * (known.keeps - 1), known.grows)
    mean = last + since["mean"] * life
    variance = (
        (known.scatter_relative * mean) ** 2
        + known.scatter_absolute**2
        + (since["sd"] * life) ** 2
        + laboratory_variance(last)
    )
    return Coolant(
        [each[:, None] for each in np.maximum(mean, 0).T],
        [each[:, None] for each in variance.T],
        {},
    )


def laboratory_variance(values: Floats) -> Floats:
    """Return the variance of a unit's own laboratory results about the truth."""
    known = ranges()
    hidden = np.where(values < known.detection, known.detection, 0.0) ** 2 / 12
    return np.asarray(known.noise_absolute**2 + (known.noise_relative * values) ** 2 + hidden)


def foreign(units: Units) -> tuple[Floats, Floats]:
    """Return mean and variance of each formula's fresh fill, at each unit's glycol.

    Shapes are (units, formulas, analytes). A range is six standard deviations.
    """
    known = ranges()
    middle, sd = (known.fresh_low + known.fresh_high) / 2, (known.fresh_high - known.fresh_low) / 6
    glycol = units.fresh[:, GLYCOL][:, None, None]
    share = np.where(ALL_BUT_PH, glycol / 50, 1.0)
    mean, sd = middle * share, sd * share
    mean[:, :, GLYCOL] = glycol[:, :, 0]
    return mean, sd**2


def act(coolant: Coolant, units: Units, acting: Acting) -> Coolant:
    """Return the coolant after a cause has acted."""
    pattern = ranges().patterns[acting.pattern]
    after = Coolant(list(coolant.mean), list(coolant.variance), dict(coolant.reads))
    for kind, span in pattern.whole.items():
        WHOLE[kind](after, units, between(span, acting.strength), acting.variant)
    before = list(after.mean)
    moves = pattern.moves[0 if len(pattern.moves) == 1 else int(acting.variant)]
    for name, move in moves.items():
        _one(after, before, units, name, move, acting.strength)
    for name, move in pattern.reads.items():
        shift = between(move["add"], acting.strength)
        old, spread = after.reads.get(name, (np.zeros(1), np.zeros(1)))
        scatter = ranges().conditions["move_scatter"] * shift
        after.reads[name] = (old + shift, spread + scatter**2)
    return after


def _one(
    after: Coolant,
    before: Sequence[Floats],
    units: Units,
    name: str,
    move: Mapping[str, Any],
    strength: Floats,
) -> None:
    """Move one analyte."""
    k = INDEX[name]
    was = before[k]
    keeps: Floats | float = 1.0
    if "add" in move:
        shift = between(move["add"], strength)
    elif "factor" in move:
        keeps = between(move["factor"], strength)
        shift = was * (keeps - 1)
    elif "toward" in move:
        keeps = 1 - between(move["share"], strength)
        shift = (move["toward"] - was) * (1 - keeps)
    elif "below_floor" in move:
        floor = ranges().nitrite_floor[units.formula][:, None]
        level = between(move["below_floor"], strength) * floor
        # A fluid without a floor has no nitrite to lose.
        shift = np.where(np.isfinite(level), np.minimum(level - was, 0), 0.0)
        keeps = np.where(shift < 0, (was + shift) / np.maximum(was, 1e-9), 1.0)
    else:
        source = INDEX[move["of"]]
        lost = np.maximum(before[source] - after.mean[source], 0)
        shift = between(move["yield"], strength) * lost
    scatter = move.get("scatter", ranges().conditions["move_scatter"])
    after.mean[k] = np.maximum(was + shift, 0)
    after.variance[k] = np.square(keeps) * after.variance[k] + (scatter * shift) ** 2


def _water(after: Coolant, units: Units, share: Floats, _: object) -> None:
    for k in range(len(ANALYTES)):
        kept = 1 - share * (PH_OF_WATER if k == PH else 1)
        after.mean[k] = kept * after.mean[k] + (1 - kept) * units.tap[:, k, None]
        after.variance[k] = after.variance[k] * kept**2


def _water_to_glycol(after: Coolant, units: Units, glycol: Floats, _: object) -> None:
    _water(after, units, np.maximum(1 - glycol / after.mean[GLYCOL], 0), None)


def _concentrate(after: Coolant, units: Units, glycol: Floats, _: object) -> None:
    now = after.mean[GLYCOL]
    share = np.clip((glycol - now) / (CONCENTRATE - now), 0, 1)
    neat = units.fresh * (CONCENTRATE / units.fresh[:, GLYCOL])[:, None]
    neat[:, PH] = units.previous[:, PH]
    _mix(after, share, neat, laboratory_variance(neat))


def _other(
    after: Coolant, units: Units, share: Floats, formula: npt.NDArray[np.intp] | int
) -> None:
    mean, variance = foreign(units)
    rows = np.arange(len(units))
    mean, variance = mean[rows, formula], variance[rows, formula]
    _mix(after, share, mean, variance + own_scatter(mean))


def _other_unit(
    after: Coolant, units: Units, share: Floats, formula: npt.NDArray[np.intp] | int
) -> None:
    """Replace the coolant by that of another unit, in service for anything up to a whole life."""
    known = ranges()
    mean, variance = foreign(units)
    rows = np.arange(len(units))
    mean, variance = mean[rows, formula], variance[rows, formula]
    life = np.where(known.keeps < 1, mean * (known.keeps - 1), known.grows)
    mean = mean + life / 2
    _mix(after, share, mean, variance + life**2 / 12 + own_scatter(mean))


def _fresh(after: Coolant, units: Units, share: Floats, _: object) -> None:
    variance = laboratory_variance(units.fresh) + own_scatter(units.fresh)
    _mix(after, share, units.fresh, variance)


def _mix(after: Coolant, share: Floats, mean: Floats, variance: Floats) -> None:
    """Replace a share of the coolant by a fluid of some mean and variance."""
    for k in range(len(ANALYTES)):
        after.mean[k] = (1 - share) * after.mean[k] + share * mean[:, k, None]
        kept = (1 - share) ** 2 * after.variance[k]
        after.variance[k] = kept + share**2 * variance[:, k, None]


def own_scatter(mean: Floats) -> Floats:
    """Return the variance of samples of one unit, by analyte."""
    known = ranges()
    return np.asarray((known.scatter_relative * mean) ** 2 + known.scatter_absolute**2)


def _boiled_off(after: Coolant, units: Units, factor: Floats, _: object) -> None:
    for k in np.flatnonzero(ALL_BUT_PH):
        after.mean[k] = after.mean[k] * factor
        after.variance[k] = after.variance[k] * factor**2


def _tap_metals(after: Coolant, units: Units, rise: Floats, _: object) -> None:
    fills = rise / (units.tap[:, CALCIUM] + units.tap[:, MAGNESIUM])[:, None]
    for k in np.flatnonzero(TAP_IONS):
        brought = fills * units.tap[:, k, None]
        after.mean[k] = after.mean[k] + brought
        after.variance[k] = after.variance[k] + (TAP_SCATTER * brought) ** 2


WHOLE: Mapping[str, Callable[[Coolant, Units, Floats, Any], None]] = {
    "water": _water,
    "water_to_glycol": _water_to_glycol,
    "concentrate_to": _concentrate,
    "other_fluid": _other,
    "other_unit": _other_unit,
    "fresh": _fresh,
    "tap_metals": _tap_metals,
    "boiled_off": _boiled_off,
}


def as_read(
    coolant: Coolant, units: Units, panel: Panel, some: Sequence[int] | None = None
) -> list[tuple[Floats, Floats]]:
    """Return mean and variance of what readings of a panel show: all, or the given ones."""
    places = range(len(panel.readings)) if some is None else some
    return [_reading(coolant, units, panel, j) for j in places]


def _reading(coolant: Coolant, units: Units, panel: Panel, j: int) -> tuple[Floats, Floats]:
    name = panel.readings[j]
    mean, variance = np.zeros(1), np.zeros(1)
    if name == "freezing_point":
        mean, variance = _freezing(coolant.mean[GLYCOL], units), np.full(1, FREEZING_VARIANCE)
    elif name == "total_hardness":
        for k, factor in HARDNESS.items():
            mean = mean + factor * coolant.mean[k]
            variance = variance + factor**2 * coolant.variance[k]
    else:
        mean, variance = coolant.mean[INDEX[name]], coolant.variance[INDEX[name]]
    if name in coolant.reads:
        shift, spread = coolant.reads[name]
        mean, variance = mean + shift, variance + spread
    noise = panel.absolute[j] ** 2 + panel.blank[j] ** 2 + (panel.relative[j] * mean) ** 2
    return mean, variance + noise


def _freezing(glycol: Floats, units: Units) -> Floats:
    known = ranges()
    celsius = np.empty_like(glycol)
    for each in range(len(GLYCOLS)):
        rows = units.glycol == each
        celsius[rows] = np.interp(glycol[rows], *known.freezing[each])
    return celsius


def seen(panel: Panel, patterns: Sequence[Pattern]) -> Floats:
    """Return how likely each observation of a panel is under some causes together."""
    unseen = 1 - panel.seen_on_sound
    for pattern in patterns:
        shown = [pattern.observations.get(name, 0.0) for name in panel.observations]
        unseen = unseen * (1 - np.array(shown))
    return np.asarray(1 - unseen)
