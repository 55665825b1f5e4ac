"""From each bound's crossing to the first of all, and from an axis to dates."""

import numpy as np
import numpy.typing as npt
import pandas as pd

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

# Halvings of the search for a joint quantile: to a millionth of the span searched.
_HALVINGS = 22


def probability_by(
    axis: Floats, now: Floats, outside_now: Floats, quantiles: Floats, probabilities: Floats
) -> Floats:
    """Probability that each crossing has come by a place on the axis.

    Between the quantiles the probability runs straight; beyond the last finite one it
    stays, for nothing is known of what comes after the horizon.

    Parameters
    ----------
    axis : ndarray, shape (n,)
        The place [axis].
    now : ndarray, shape (n,)
        The last sample [axis].
    outside_now : ndarray, shape (n,)
        Probability of being out of bounds there.
    quantiles : ndarray, shape (n, n_probabilities)
        Of the crossing, ascending [axis]; infinite beyond the horizon.
    probabilities : ndarray, shape (n_probabilities,)
        Of the quantiles, ascending.

    Returns
    -------
    ndarray, shape (n,)
        From 0 to 1.

    Examples
    --------
    >>> probability_by(
    ...     np.array([150.0]), np.array([0.0]), np.array([0.0]),
    ...     np.array([[100.0, 200.0]]), np.array([0.1, 0.5]),
    ... )
    array([0.3])
    """
    reached = quantiles <= axis[:, None]
    place = reached.sum(axis=1)
    rows = np.arange(len(axis))
    first = place == 0
    from_axis = np.where(first, np.minimum(now, quantiles[:, 0]), quantiles[rows, place - 1])
    from_chance = np.where(
        first, np.minimum(outside_now, probabilities[0]), probabilities[place - 1]
    )
    last = np.minimum(place, len(probabilities) - 1)
    to_axis = np.where(place > last, np.inf, quantiles[rows, last])
    span = to_axis - from_axis
    share = np.where(
        np.isfinite(span) & (span > 0), (axis - from_axis) / np.where(span > 0, span, 1), 0.0
    )
    return np.asarray(from_chance + np.clip(share, 0, 1) * (probabilities[last] - from_chance))


def first_of_all(
    unit: Integers,
    now: Floats,
    outside_now: Floats,
    quantiles: Floats,
    probabilities: Floats,
    wanted: Floats,
) -> Floats:
    """Find when each unit has passed any of its bounds, with given probabilities.

    The bounds are taken as independent given the trends, so that no bound can hide
    another: 1 - prod(1 - P(crossed k)).

    Parameters
    ----------
    unit : ndarray of int64, shape (n,)
        Unit of each crossing, every one from 0 to the last having one.
    now, outside_now, quantiles, probabilities : ndarray
        As in `probability_by`.
    wanted : ndarray, shape (n_wanted,)
        Probabilities asked for.

    Returns
    -------
    ndarray, shape (n_units, n_wanted)
        Place on the axis, infinite where the probability is not reached by the horizon.

    Examples
    --------
    Two bounds, each passed by 100 with probability 0.5, are passed by then with 0.75:

    >>> first_of_all(
    ...     np.array([0, 0]), np.zeros(2), np.zeros(2), np.full((2, 1), 100.0),
    ...     np.array([0.5]), np.array([0.75, 0.9]),
    ... ).round(3)
    array([[100.,  inf]])
    """
    n_units = int(unit.max(initial=-1)) + 1
    finite = np.where(np.isfinite(quantiles), quantiles, -np.inf)
    start = np.full(n_units, np.inf)
    np.minimum.at(start, unit, np.minimum(now, quantiles[:, 0]))
    end = np.full(n_units, -np.inf)
    np.maximum.at(end, unit, np.maximum(finite.max(axis=1), now))

    def joint(axis: Floats) -> Floats:
        chance = probability_by(axis[unit], now, outside_now, quantiles, probabilities)
        spared = np.bincount(unit, weights=np.log1p(-np.minimum(chance, 1 - 1e-12)))
        return np.asarray(-np.expm1(spared))

    answer = np.empty((n_units, len(wanted)))
    at_end = joint(end)
    for k, chance in enumerate(wanted):
        low, high = start.copy(), end.copy()
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            passed = joint(middle) >= chance
            high = np.where(passed, middle, high)
            low = np.where(passed, low, middle)
        answer[:, k] = np.where(at_end >= chance - 1e-9, high, np.inf)
    return answer


def dates_of(
    axis: Floats, now: Floats, date_now: npt.NDArray[np.datetime64], rate: Floats, horizon: float
) -> npt.NDArray[np.datetime64]:
    """Turn places on the axis into dates by each unit's rate of use.

    Parameters
    ----------
    axis, now : ndarray, shape (n,)
        The place, and the last sample [axis].
    date_now : ndarray of datetime64, shape (n,)
        Date of the last sample.
    rate : ndarray, shape (n,)
        Use [axis per day].
    horizon : float
        Days after the last sample beyond which no date is given.

    Returns
    -------
    ndarray of datetime64[D], shape (n,)
        NaT where the place, the date or the rate is unknown, or beyond the horizon.

    Examples
    --------
    >>> dates_of(np.array([350.0]), np.array([300.0]),
    ...          np.array(["2031-01-01"], "datetime64[D]"), np.array([5.0]), 3650)
    array(['2031-01-11'], dtype='datetime64[D]')
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        days = (axis - now) / rate
    known = np.isfinite(days) & (days <= horizon)
    # Whole days, rounded down: a change-by date is never later than the forecast.
    whole = np.floor(np.where(known, days, 0.0)).astype("timedelta64[D]")
    dates = date_now.astype("datetime64[D]") + whole
    return np.where(known, dates, np.datetime64("NaT", "D"))


def next_sample(
    date_now: npt.NDArray[np.datetime64],
    change_by: npt.NDArray[np.datetime64],
    lead_time: float,
    samples_before_change: float,
    longest_gap: float,
) -> npt.NDArray[np.datetime64]:
    """Say when to sample next: early enough to act before the change date.

    Parameters
    ----------
    date_now, change_by : ndarray of datetime64, shape (n,)
        Last sample; date by which the coolant should be changed, NaT where none is near.
    lead_time : float
        From drawing a sample to work done [d].
    samples_before_change : float
        Samples between now and the change date.
    longest_gap : float
        No unit goes longer without a sample [d].

    Returns
    -------
    ndarray of datetime64[D], shape (n,)
        NaT only where the last sample has no date.

    Notes
    -----
    The interval is (P-F interval - lead time) / n, with P-F here the time to the change
    date; half of the P-F interval is the usual default of reliability-centred maintenance.

    Examples
    --------
    >>> day = np.array(["2031-01-01"], "datetime64[D]")
    >>> next_sample(day, day + 114, 14, 2, 365)
    array(['2031-02-20'], dtype='datetime64[D]')
    """
    left = (change_by - date_now).astype("timedelta64[D]").astype(np.float64)
    left = np.where(np.isnat(change_by), np.inf, left)
    gap = np.clip((left - lead_time) / samples_before_change, 0.0, longest_gap)
    gap = np.where(np.isnat(date_now), 0.0, gap)
    return np.asarray(date_now.astype("datetime64[D]") + np.floor(gap).astype("timedelta64[D]"))


def earliest(unit: Integers, quantiles: pd.DataFrame) -> Integers:
    """Return the row of each unit's limiting crossing.

    The earliest median counts; where no median lies before the horizon, the earliest
    tenth percentile.

    Parameters
    ----------
    unit : ndarray of int64, shape (n,)
        Unit of each crossing.
    quantiles : DataFrame, n rows
        With ``p50`` and ``p10``; infinite beyond the horizon.

    Returns
    -------
    ndarray of int64, shape (n_units,)
        Row; -1 where not even a tenth percentile lies before the horizon.
    """
    order = np.lexsort((quantiles["p10"], quantiles["p50"], unit))
    first = order[np.r_[True, np.diff(unit[order]) != 0]]
    return np.where(np.isfinite(quantiles["p10"].to_numpy()[first]), first, -1)
