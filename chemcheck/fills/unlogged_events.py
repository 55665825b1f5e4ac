"""Events that nobody logged, found in the readings: suggestions, never facts."""

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import gammaln, logsumexp

from chemcheck.fills.event_signs import (
    BY_COOLANT,
    BY_WATER,
    DOSE,
    NOTHING,
    EventSigns,
    event_signs,
)
from chemcheck.fills.fill_numbers import Fills
from chemcheck.fills.fill_steps import FillSteps, fill_steps
from chemcheck.readings.record import Readings

Floats = npt.NDArray[np.float64]
COLUMNS = ("unit_id", "before", "after", "event", "probability", "share", "evidence")
# Of an event's share so many are tried.
GRID = 16
# Heavy tails: one wild reading is no event.
TAIL = 4.0
_CONSTANT = float(gammaln((TAIL + 1) / 2) - gammaln(TAIL / 2) - 0.5 * np.log(TAIL * np.pi))
# So many analytes are named as evidence.
NAMED = 6


def unlogged_events(
    readings: Readings, fills: Fills, events: pd.DataFrame | None = None
) -> pd.DataFrame:
    """Suggest what may have happened between two samples without being logged.

    Every event foresees the readings after it by a mass balance over all analytes together;
    its probability follows by Bayes' rule from how well they fit, against nothing having
    happened but the usual drift.

    Parameters
    ----------
    readings : Readings
        Samples of units over time.
    fills : Fills
        Of the same samples, by what was logged.
    events : DataFrame or None
        The log; steps with anything logged between are left alone.

    Returns
    -------
    DataFrame
        ``COLUMNS``: ``before`` and ``after`` are rows of the samples, ``event`` is water
        top-up, boil-off, premix top-up, partial change, change or dose, ``share`` of the system
        exchanged (NaN for a dose), ``evidence`` in words. Only what is probable enough.

    Notes
    -----
    Water of share v in, or lost: c becomes c (1 - v), or c / (1 - v). Coolant of share v in: c
    becomes c (1 - v) + v fresh, with fresh near zero for what only use brings. A dose raises some
    of its components and leaves all else. Errors of the analytes are taken as independent, which
    makes probabilities a little too sure.
    """
    signs = event_signs()
    steps = fill_steps(readings, fills, events, signs)
    enough = steps.usable.sum(axis=1) >= signs.settings["least_readings"]
    if not enough.any():
        return pd.DataFrame(columns=list(COLUMNS))
    weight, share = _weights(steps, signs)
    names = list(weight)
    table = np.column_stack([weight[name] for name in names])
    chance = np.exp(table - logsumexp(table, axis=1, keepdims=True))
    best = chance.argmax(axis=1)
    found = np.flatnonzero(
        enough
        & (best != names.index(NOTHING))
        & (1.0 - chance[:, names.index(NOTHING)] >= signs.settings["least_probability"])
        & (chance.max(axis=1) >= signs.settings["least_for_a_name"])
    )
    return pd.DataFrame(
        {
            "unit_id": fills.unit_ids.to_numpy(dtype=object)[fills.unit[steps.after[found]]],
            "before": steps.before[found],
            "after": steps.after[found],
            "event": [names[k] for k in best[found]],
            "probability": chance[found, best[found]],
            "share": [share[names[k]][row] for row, k in zip(found, best[found], strict=True)],
            "evidence": [_evidence(steps, row) for row in found.tolist()],
        },
        columns=list(COLUMNS),
    )


def _weights(steps: FillSteps, signs: EventSigns) -> tuple[dict[str, Floats], dict[str, Floats]]:
    """Return the logarithm of prior times likelihood of each event, and its likeliest share."""
    usual = steps.level + steps.drift
    plain = _log_density(steps, usual)
    unknown = np.full(len(steps.before), np.nan)
    weight = {NOTHING: np.log(signs.prior[NOTHING]) + plain.sum(axis=1)}
    share = {NOTHING: unknown, DOSE: unknown}
    with np.errstate(divide="ignore"):
        fresh = np.where(np.isnan(steps.fresh), np.exp(steps.level), steps.fresh)
        for event in (*BY_WATER, *BY_COOLANT):
            tried = np.linspace(*signs.shares[event], GRID)
            fits = []
            for v in tried:
                if event in BY_COOLANT:
                    left = np.exp(usual) * (1 - v) + v * fresh
                    # Of what only use brings something is always left in the block.
                    foreseen = np.log(np.maximum(left, 0.02 * np.exp(steps.level)))
                else:
                    sign = 1.0 if event == BY_WATER[0] else -1.0
                    foreseen = usual + sign * np.log1p(-v)
                fits.append(_log_density(steps, foreseen).sum(axis=1))
            all_fits = np.array(fits)
            weight[event] = (
                np.log(signs.prior[event]) + logsumexp(all_fits, axis=0) - np.log(len(tried))
            )
            share[event] = tried[all_fits.argmax(axis=0)]
    weight[DOSE] = np.log(signs.prior[DOSE]) + _dose(steps, plain, signs)
    return weight, share


def _log_density(steps: FillSteps, foreseen: Floats) -> Floats:
    """Return the log density of each reading after, where it was foreseen; 0 where unread."""
    with np.errstate(invalid="ignore"):
        beyond = np.maximum(foreseen - steps.high, 0.0) + np.maximum(steps.low - foreseen, 0.0)
    z = beyond / steps.spread
    density = _CONSTANT - 0.5 * (TAIL + 1) * np.log1p(z * z / TAIL) - np.log(steps.spread)
    return np.where(steps.usable, density, 0.0)


def _dose(steps: FillSteps, plain: Floats, signs: EventSigns) -> Floats:
    """Each component rises by any factor up to the greatest, or not at all; one rises at least."""
    component = np.array([name in signs.dosed for name in steps.analytes]) & steps.usable
    rise = steps.high - steps.level - steps.drift
    with np.errstate(invalid="ignore"):
        rises = component & (rise > 0) & (rise < signs.most_dosed)
    raised = np.where(rises, -np.log(signs.most_dosed), -np.inf)
    either = np.where(component, np.logaddexp(plain, raised) - np.log(2.0), plain).sum(axis=1)
    none = plain.sum(axis=1) - component.sum(axis=1) * np.log(2.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        answer = either + np.log1p(-np.exp(np.minimum(none - either, 0.0)))
    return np.where(component.any(axis=1), answer, -np.inf)


def _evidence(steps: FillSteps, row: int) -> str:
    """Name the analytes that stepped most beside their usual drift."""
    factor = np.exp(steps.high[row] - steps.level[row])
    away = np.abs(steps.high[row] - steps.level[row] - steps.drift[row]) / steps.spread[row]
    away = np.where(steps.usable[row], away, -1.0)
    order = [k for k in np.argsort(-away)[:NAMED] if away[k] > 0]
    return ", ".join(f"{steps.analytes[k].replace('_', ' ')} x {factor[k]:.2g}" for k in order)
