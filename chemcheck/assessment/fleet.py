"""All that is said of a fleet on one page: forecasts, verdicts, change intervals."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.assessment.backtest import Backtest
from chemcheck.assessment.bound_evidence import BoundEvidence
from chemcheck.assessment.check import check
from chemcheck.assessment.forecast import Forecast
from chemcheck.assessment.interval import Intervals, change_intervals
from chemcheck.assessment.interval_settings import IntervalSettings
from chemcheck.assessment.record import Assessment
from chemcheck.errors import NotEnoughDataError


@dataclass(frozen=True, slots=True)
class Fleet:
    """A forecast, and what else its readings say.

    Parameters
    ----------
    forecast : Forecast
        When each unit reaches which bound.
    backtest : Backtest or None
        How past forecasts did, where that was asked.
    assessment : Assessment
        The same samples, judged.
    intervals : Intervals or None
        How long fills may run; None where no fill tells.
    no_intervals_because : str
        Why there are none; empty where there are.
    evidence : BoundEvidence or None
        Whether each bound is right for the fleet.
    """

    forecast: Forecast
    backtest: Backtest | None
    assessment: Assessment
    intervals: Intervals | None
    no_intervals_because: str
    evidence: BoundEvidence | None = None

    def due(self) -> npt.NDArray[np.bool_]:
        """Return which units of the forecast are due.

        Returns
        -------
        ndarray of bool, shape (n_units,)
            Beyond a bound now, or to be changed before the longest gap between samples and
            the lead time after its last one are over: there is no waiting for another sample.
        """
        units, settings = self.forecast.units, self.forecast.settings
        room = np.timedelta64(round(settings.longest_gap + settings.lead_time), "D")
        last = units["last_sample"].to_numpy("datetime64[D]")
        change_by = units["change_by"].to_numpy("datetime64[D]")
        soon = ~np.isnat(change_by) & ~np.isnat(last) & (change_by <= last + room)
        return np.asarray(soon | (units["status"] == "outside now").to_numpy())


def fleet(
    forecast: Forecast,
    backtest: Backtest | None = None,
    limits: Sequence[str] | None = None,
    evidence: BoundEvidence | None = None,
) -> Fleet:
    """Judge the samples of a forecast, and find how long their fills may run.

    Parameters
    ----------
    forecast : Forecast
        Of the fleet.
    backtest : Backtest or None
        Of the forecast.
    limits : sequence of str or None
        The limit sets that the forecast was made with.
    evidence : BoundEvidence or None
        Whether each of its bounds is right for the fleet.

    Returns
    -------
    Fleet
        The same readings, log and limits in all parts.
    """
    readings, events = forecast.readings, forecast.events
    settings = IntervalSettings.from_library(
        risk=forecast.settings.risk, lead_time=forecast.settings.lead_time
    )
    intervals, why = None, ""
    try:
        intervals = change_intervals(
            readings, events, limits=limits, axis=forecast.axis, settings=settings
        )
    except NotEnoughDataError as problem:
        why = str(problem)
    return Fleet(
        forecast=forecast,
        backtest=backtest,
        assessment=check(readings, list(limits) if limits else None, events=events),
        intervals=intervals,
        no_intervals_because=why,
        evidence=evidence,
    )
