"""What readings say about the shape of a trend: how each fill went on, not how it began."""

from dataclasses import replace

import numpy as np

from chemcheck.forecasting.curves import Curve
from chemcheck.forecasting.fill_rows import Bools
from chemcheck.forecasting.fleet_readings import FleetReadings, scale_readings
from chemcheck.forecasting.propagation import propagate
from chemcheck.forecasting.variance_search import full_likelihood
from chemcheck.forecasting.variances import Variances

# How closely pseudo-readings settle: the likelihood hardly changes with them.
CLOSE = 1e-3


def likelihood_along_fills(fleet: FleetReadings, curve: Curve, variances: Variances) -> float:
    """Return the log-likelihood of a curve by what followed each fill's first reading.

    Parameters
    ----------
    fleet : FleetReadings
        The readings.
    curve : Curve
        Shape of the trends.
    variances : Variances
        The most likely variances on that curve, one way, on the scale of the arithmetic.

    Returns
    -------
    float
        In the user's units, comparable between curves; NaN where no fill has a reading at the
        axis' start, or too few follow.

    Notes
    -----
    Where the axis counts from a fill's first sample, its level there is anything: a unit sampled
    late begins low. Whether such levels spread as a normal or as a log-normal says nothing of the
    curve, and may outweigh what does. Each such level is therefore free, as after a dose; its
    reading's density does not count [1]_. A fill first sampled later on the axis keeps its prior:
    how far it had come by then does tell.

    References
    ----------
    .. [1] Patterson, H. D. and Thompson, R. (1971), Recovery of inter-block information when block
       sizes are unequal, Biometrika 58, 545-554 (likelihood of what is free of nuisance effects).
    """
    first = _first_at_start(fleet)
    told = int(fleet.told.sum()) - int(first.sum())
    if not first.any() or told <= 2 * fleet.features.shape[1] + 2:
        return float("nan")
    breaks = first if fleet.breaks is None else first | fleet.breaks
    scaled = scale_readings(replace(fleet, breaks=breaks), curve)
    readings = scaled.readings.all_special() if variances.wild.any() else scaled.readings
    at = propagate(scaled.rows, readings, variances, settled=CLOSE)
    gain = float(at.log_likelihood[0] - at.fit.log_likelihood[0])
    return full_likelihood(at.fit) + gain + scaled.log_stretch


def _first_at_start(fleet: FleetReadings) -> Bools:
    """Return the first reading of each fill that has one at the axis' start, shape (n,)."""
    at_start = np.flatnonzero(fleet.features[:, 0] == 0.0)
    _, place = np.unique(fleet.codes[at_start], return_index=True)
    first = np.zeros(fleet.codes.size, dtype=bool)
    first[at_start[place]] = True
    return first
