"""How ways of foreseeing did on the same later readings."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import ndtri

from chemcheck.assessment.backtest_baselines import BASELINES

Floats = npt.NDArray[np.float64]

MODEL = "model"
COVERAGES = (0.50, 0.80, 0.95)
# Of the band of each share the lower and the upper end.
BAND_ENDS = tuple(0.5 + sign * share / 2 for share in COVERAGES for sign in (-1, 1))
# The interval score is of the band that a forecast prints.
SCORED = 0.80
# Standard errors from which a share held is not as promised.
SURE = 3.0
NOTHING = "no later reading could be foreseen from an earlier day"


@dataclass(frozen=True, slots=True)
class Score:
    """How one way of foreseeing did.

    Parameters
    ----------
    coverage : mapping of float to float
        Share of the readings within the central band of each nominal share.
    bias, median_absolute_error : float
        Mean of foreseen less found, and the median size [spreads of the analyte's readings].
    interval_score : float
        Mean of the 80 % band [spreads of the analyte's readings]; less is better.
    """

    coverage: Mapping[float, float]
    bias: float
    median_absolute_error: float
    interval_score: float


def low_name(share: float) -> str:
    """Name the lower end of a band."""
    return f"low {100 * share:.0f}"


def high_name(share: float) -> str:
    """Name the upper end of a band."""
    return f"high {100 * share:.0f}"


def _band(cases: pd.DataFrame, way: str, share: float) -> tuple[Floats, Floats]:
    """Return the ends of a way's central band: as foreseen, else of a normal distribution."""
    if f"{way} {low_name(share)}" in cases:
        return cases[f"{way} {low_name(share)}"].to_numpy(), cases[
            f"{way} {high_name(share)}"
        ].to_numpy()
    mean, deviation = cases[f"{way} mean"].to_numpy(), cases[f"{way} deviation"].to_numpy()
    half = float(ndtri(0.5 + share / 2)) * deviation
    return mean - half, mean + half


def score_of(cases: pd.DataFrame, way: str) -> Score:
    """Score one way on all cases, in spreads of each analyte's readings.

    Parameters
    ----------
    cases : DataFrame
        As `Backtest` has them; at least one.
    way : str
        `MODEL` or one of `BASELINES`.
    """
    spread, found = cases["spread"].to_numpy(), cases["found"].to_numpy()
    error = (cases[f"{way} mean"].to_numpy() - found) / spread
    low, high = _band(cases, way, SCORED)
    beyond = np.maximum(low - found, 0.0) + np.maximum(found - high, 0.0)
    bands = {share: _band(cases, way, share) for share in COVERAGES}
    return Score(
        coverage={
            share: float(np.mean((found >= ends[0]) & (found <= ends[1])))
            for share, ends in bands.items()
        },
        bias=float(np.mean(error)),
        median_absolute_error=float(np.median(np.abs(error))),
        interval_score=float(np.mean((high - low + 2 / (1 - SCORED) * beyond) / spread)),
    )


def scores_by_analyte(cases: pd.DataFrame) -> pd.DataFrame:
    """Score the model on each analyte, in its own unit, and name the best way.

    Parameters
    ----------
    cases : DataFrame
        As `Backtest` has them.
    """
    lines = []
    for column, mine in cases.groupby("column") if len(cases) else ():
        scores = {way: score_of(mine, way) for way in (MODEL, *BASELINES)}
        error = mine[f"{MODEL} mean"] - mine["found"]
        lines.append(
            {
                "column": column,
                "cases": len(mine),
                "coverage_80": scores[MODEL].coverage[SCORED],
                "median_absolute_error": float(error.abs().median()),
                "best": min(scores, key=lambda way: scores[way].interval_score),
            }
        )
    names = ["column", "cases", "coverage_80", "median_absolute_error", "best"]
    return pd.DataFrame(lines, columns=names)


def winning_sentence(scores: Mapping[str, Score], cases: int) -> str:
    """Say whether the model wins, and by how much.

    Parameters
    ----------
    scores : mapping of str to Score
        Of every way; empty without cases.
    cases : int
        How many readings were foreseen.
    """
    if not scores:
        return f"No backtest: {NOTHING}."
    best = min(BASELINES, key=lambda way: scores[way].interval_score)
    mine, other = scores[MODEL].interval_score, scores[best].interval_score
    if mine < other:
        verdict = f"the model wins: its interval score is {100 * (1 - mine / other):.0f} % better"
    elif other == 0:
        verdict = "the model does not win"
    else:
        verdict = (
            f"the model does not win: its interval score is {100 * (mine / other - 1):.0f} % worse"
        )
    return (
        f"On {cases:,} later readings {verdict} than the best plain way ({best})."
        f"{_width_words(scores[MODEL].coverage[SCORED], cases)}"
    )


def _width_words(held: float, cases: int) -> str:
    """Say whether the bands were too narrow or too wide by more than chance makes them seem."""
    chance = SURE * float(np.sqrt(SCORED * (1.0 - SCORED) / cases))
    if abs(held - SCORED) <= chance:
        return ""
    word = "narrow: take the dates earlier" if held < SCORED else "wide: more is known"
    return (
        f" Its {100 * SCORED:.0f} % band held {100 * held:.0f} % of them, so that its bands are "
        f"too {word} than told."
    )
