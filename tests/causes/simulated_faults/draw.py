"""Draw samples whose causes are known."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tests.causes.simulated_faults.moves import (
    CALCIUM,
    GLYCOL,
    MAGNESIUM,
    PH,
    Acting,
    Coolant,
    Units,
    act,
    as_read,
    seen,
    sound,
)
from tests.causes.simulated_faults.ranges import (
    ANALYTES,
    GLYCOLS,
    INDEX,
    Floats,
    Panel,
    Pattern,
    ranges,
)

Integers = npt.NDArray[np.intp]
NO_CAUSE = -1


@dataclass(frozen=True)
class Cases:
    """Samples by one panel, beside what is known of their units and the truth.

    Parameters
    ----------
    units : Units
        Fresh fill, last sample and tap water, laboratory results [mg/L; vol%; pH; mL].
    panel : Panel
        What was measured.
    lower, upper : ndarray, shape (samples, readings)
        The readings; NaN where one is missing, 0 and the limit where nothing was detected, the
        span of a pad where a strip was read.
    observations : ndarray of int, shape (samples, observations)
        1 seen, 0 looked for and not seen, -1 not looked for.
    causes : ndarray of int, shape (samples, 2)
        Patterns in the order of the file; -1 for none.
    strengths : ndarray, shape (samples, 2)
        0 weakest to 1 strongest of the trade's range; NaN for none.
    possible : ndarray of bool, shape (samples, patterns)
        Causes that can occur in the unit.
    """

    units: Units
    panel: Panel
    lower: Floats
    upper: Floats
    observations: npt.NDArray[np.int8]
    causes: Integers
    strengths: Floats
    possible: npt.NDArray[np.bool_]

    def __len__(self) -> int:
        """Count the samples."""
        return len(self.units)


def draw_units(n: int, random: np.random.Generator) -> Units:
    """Draw units of every technology, sound so far, with their tap water."""
    known = ranges()
    formula = _formulas(n, random)
    glycol = (random.random(n) < known.conditions["propylene_share"]).astype(np.intp)
    low, high = known.fresh_low[formula], known.fresh_high[formula]
    fresh = low + (high - low) * random.random(low.shape)
    strength = random.uniform(*known.conditions["glycol"], n)
    fresh[:, np.arange(len(ANALYTES)) != PH] *= strength[:, None] / 50
    fresh[:, GLYCOL] = strength
    # Of waters, the logarithm is even: most are nearer the lower end.
    low, high = np.maximum(known.tap_low, 1e-9), np.maximum(known.tap_high, 1e-9)
    tap = np.where(known.tap_high > 0, low * (high / low) ** random.random((n, len(ANALYTES))), 0.0)
    age = random.uniform(*known.conditions["ageing"]["before"], n)[:, None]
    grown = known.grows * np.where(np.arange(len(ANALYTES)) == PH, 1.0, random.random(fresh.shape))
    last = np.where(known.keeps < 1, fresh * (1 - (1 - known.keeps) * age), fresh + age * grown)
    last *= 1 + 0.02 * random.standard_normal(last.shape)
    hidden = known.detection / 2
    return Units(
        formula,
        glycol,
        np.where(fresh < known.detection, hidden, fresh),
        np.where(last < known.detection, hidden, last),
        tap,
    )


def _formulas(n: int, random: np.random.Generator) -> Integers:
    """Draw technologies evenly, and formulas evenly within each."""
    known = ranges()
    names = np.array(known.technologies)
    weight = 1 / np.array([np.sum(names == name) for name in names])
    return np.asarray(random.choice(len(names), n, p=weight / weight.sum()), dtype=np.intp)


def possible(units: Units) -> npt.NDArray[np.bool_]:
    """Tell which causes can occur in each unit, or show there at all."""
    known = ranges()
    technology = np.array(known.technologies)[units.formula]
    metals = units.tap[:, CALCIUM] + units.tap[:, MAGNESIUM]
    allowed = np.ones((len(units), len(known.patterns)), dtype=bool)
    for j, pattern in enumerate(known.patterns):
        only = pattern.only
        if "technology" in only:
            allowed[:, j] &= np.isin(technology, only["technology"])
        if "glycol" in only:
            allowed[:, j] &= units.glycol == GLYCOLS.index(only["glycol"])
        if "tap_metals_above" in only:
            allowed[:, j] &= metals > only["tap_metals_above"]
        if "fresh_silicon_above" in only:
            allowed[:, j] &= units.fresh[:, INDEX["silicon"]] > only["fresh_silicon_above"]
    return allowed


def other_formulas(formula: int) -> Integers:
    """Return the formulas of every other technology."""
    names = np.array(ranges().technologies)
    return np.flatnonzero(names != names[formula])


def variants(pattern: Pattern, formula: int) -> Integers:
    """Return the variants of a cause in a unit, each as likely: cleaners, or foreign formulas."""
    if {"other_fluid", "other_unit"} & pattern.whole.keys():
        return other_formulas(formula)
    return np.arange(len(pattern.moves))


def draw_cases(
    n: int, seed: int, panel: str = "laboratory", causes: Sequence[str] | None = None
) -> Cases:
    """Draw samples of all kinds: sound, with one cause, with two.

    Parameters
    ----------
    n : int
        How many.
    seed : int
        Of the random numbers.
    panel : {"laboratory", "field_tests", "laboratory_and_inspection"}
        What is measured.
    causes : sequence of str, optional
        The only ones that occur; all unless told.

    Returns
    -------
    Cases
        Samples and truth.
    """
    random = np.random.default_rng(seed)
    known = ranges()
    units = draw_units(n, random)
    allowed = possible(units)
    if causes is not None:
        allowed &= np.isin([pattern.name for pattern in known.patterns], causes)
    drawn = _draw_causes(allowed, random)
    strengths = np.where(drawn != NO_CAUSE, random.random((n, 2)), np.nan)
    chosen = known.panels[panel]
    readings = np.empty((n, len(chosen.readings)))
    likely = np.empty((n, len(chosen.observations)))
    # Few kinds of sample share all of causes, formula and variant: each kind is one block.
    kinds = np.column_stack((drawn, _draw_variants(drawn, units, random)))
    for kind in np.unique(kinds, axis=0):
        rows = np.flatnonzero((kinds == kind).all(axis=1))
        some, coolant = units.of(rows), sound(units.of(rows))
        for place in range(2):
            coolant = _acted(coolant, some, kind, place, strengths[rows, place])
        for j, (mean, variance) in enumerate(as_read(coolant, some, chosen)):
            noise = random.standard_normal((len(rows), 1))
            readings[rows, j] = (mean + np.sqrt(variance) * noise)[:, 0]
        likely[rows] = seen(chosen, [known.patterns[c] for c in kind[:2] if c != NO_CAUSE])
    lower, upper = _as_reported(readings, chosen)
    lost = random.random(lower.shape) < known.conditions["missing"]
    lower[lost], upper[lost] = np.nan, np.nan
    looked = random.random(likely.shape) >= known.conditions["missing"]
    found = np.where(looked, random.random(likely.shape) < likely, -1).astype(np.int8)
    return Cases(units, chosen, lower, upper, found, drawn, strengths, allowed)


def _acted(coolant: Coolant, units: Units, kind: Integers, place: int, strength: Floats) -> Coolant:
    if kind[place] == NO_CAUSE:
        return coolant
    return act(coolant, units, Acting(int(kind[place]), int(kind[2 + place]), strength[:, None]))


def _draw_causes(allowed: npt.NDArray[np.bool_], random: np.random.Generator) -> Integers:
    """Draw none, one or two of the causes that can occur; two stand in the file's order."""
    mix = ranges().conditions["mix"]
    n = len(allowed)
    order = np.argsort(np.where(allowed, random.random(allowed.shape), 2.0), axis=1)[:, :2]
    kind = random.random(n)
    causes = np.sort(order, axis=1)
    causes[kind >= mix["two_causes"], 0] = order[kind >= mix["two_causes"], 0]
    causes[kind >= mix["two_causes"], 1] = NO_CAUSE
    causes[kind >= 1 - mix["clean"]] = NO_CAUSE
    return causes.astype(np.intp)


def _draw_variants(causes: Integers, units: Units, random: np.random.Generator) -> Integers:
    """Draw the variant of each cause; 0 where it has none."""
    known = ranges()
    drawn = np.zeros(causes.shape, dtype=np.intp)
    for j, pattern in enumerate(known.patterns):
        for formula in range(len(known.formulas)):
            choices = variants(pattern, formula)
            for place in range(2):
                rows = np.flatnonzero((causes[:, place] == j) & (units.formula == formula))
                if len(choices) > 1 and rows.size:
                    drawn[rows, place] = random.choice(choices, rows.size)
    return drawn


def _as_reported(readings: Floats, panel: Panel) -> tuple[Floats, Floats]:
    """Return readings as a laboratory or a strip states them."""
    lower, upper = readings.copy(), readings.copy()
    for j, ends in enumerate(panel.pad_ends):
        if ends.size:
            edges = np.concatenate(([-np.inf], ends, [np.inf]))
            at = np.digitize(readings[:, j], ends)
            lower[:, j], upper[:, j] = np.maximum(edges[at], 0), edges[at + 1]
        else:
            hidden = readings[:, j] < panel.detection[j]
            lower[hidden, j], upper[hidden, j] = 0, panel.detection[j]
    return lower, upper
