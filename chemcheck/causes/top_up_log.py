"""What was topped up between a fresh fill and a sample, by the log."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from chemcheck.fills.event_order import as_number
from chemcheck.fills.fill_numbers import Fills

TOP_UP, PARTIAL = "top-up", "partial change"
_KEYS = ("date", "hours", "distance")
_OF_SAMPLES = ("taken_on", "hours", "distance")
Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class TopUps:
    """Top-ups of one fill, in the order of time.

    Parameters
    ----------
    litres : ndarray of float64, shape (n,)
        [L].
    fluids : tuple of str
        What was topped up, as logged; empty where nobody said.
    doubt : str
        Why they cannot be reckoned with; empty where they can.
    """

    litres: npt.NDArray[np.float64]
    fluids: tuple[str, ...]
    doubt: str = ""

    @property
    def total(self) -> float:
        """All of them together [L]."""
        return float(self.litres.sum())


def top_ups_before(
    samples: pd.DataFrame, fills: Fills, events: pd.DataFrame | None, row: int, fresh: int
) -> TopUps:
    """Return what the log says was topped up since the fresh fill.

    Parameters
    ----------
    samples : DataFrame
        All samples.
    fills : Fills
        Of them.
    events : DataFrame or None
        The log, as the fills were numbered by.
    row, fresh : int
        Positions of the sample and of its fresh fill.

    Returns
    -------
    TopUps
        From the change that began the fill, or from its own fresh-fill sample on. Moments are
        compared by date, else by hours, else by distance; a sample with the date of a
        top-up counts as drawn before it, a fresh-fill sample as drawn after it.
    """
    nothing = TopUps(np.zeros(0), ())
    if events is None or not len(events):
        return nothing
    unit = samples["unit_id"].iloc[row]
    mine = events[(events["unit_id"] == unit).to_numpy()]
    change = int(fills.change[row])
    own = fresh >= 0 and fills.group[fresh] == fills.group[row]
    if change >= 0 and not own and events["event"].iloc[change] == PARTIAL:
        doubt = "the fill began with a partial change, and no sample shows it fresh"
        return TopUps(np.zeros(0), (), doubt)
    added = mine[(mine["event"] == TOP_UP).to_numpy()]
    if not len(added):
        return nothing
    moments = np.column_stack([as_number(added[key]) for key in _KEYS])
    order = np.lexsort(moments.T[::-1])
    added, moments = added.iloc[order], moments[order]
    until = np.array([as_number(samples[key].iloc[[row]])[0] for key in _OF_SAMPLES])
    since, known = _before(moments, until)
    if own:
        start = np.array([as_number(samples[key].iloc[[fresh]])[0] for key in _OF_SAMPLES])
        early, placed = _before(moments, start, or_at=True)
        since, known = since & ~early, known & placed
    elif change >= 0:
        start = np.array([as_number(events[key].iloc[[change]])[0] for key in _KEYS])
        early, placed = _before(moments, start)
        since, known = since & ~early, known & placed
    doubt = ""
    if not known.all():
        doubt = f"{np.count_nonzero(~known)} top-ups of the unit have no date or meter to place"
    here = added[since]
    litres = here["litres"].to_numpy(dtype=np.float64, na_value=np.nan)
    if np.isnan(litres).any():
        doubt = f"the litres of {np.count_nonzero(np.isnan(litres))} top-ups are not logged"
    fluids = tuple("" if pd.isna(text) else str(text) for text in here["fluid"])
    return TopUps(litres, fluids, doubt)


def _before(
    moments: npt.NDArray[np.float64], moment: npt.NDArray[np.float64], *, or_at: bool = False
) -> tuple[Mask, Mask]:
    """Say which moments come before one, and which can be compared with it at all."""
    both = ~np.isnan(moments) & ~np.isnan(moment)
    key = both.argmax(axis=1)
    difference = (moments - moment)[np.arange(len(moments)), key]
    with np.errstate(invalid="ignore"):
        before = difference <= 0.0 if or_at else difference < 0.0
    known = both.any(axis=1)
    return np.asarray(before & known), np.asarray(known)
