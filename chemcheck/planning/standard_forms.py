"""Families of lifetimes in their standard form, on the logarithm of time.

The logarithm of a Weibull lifetime is a smallest extreme value, that of a log-normal one is
normal, each moved by the logarithm of the scale and stretched. With z = steepness (log t - log
scale) one set of formulas serves every family, and the log-likelihood of exact and interval
observations is concave in steepness and steepness times log scale (Burridge, J. (1981), Empirical
Bayes analysis of survival time data, J. R. Statist. Soc. B 43, 65-75): it has one summit.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammainc, gammaln, log_ndtr, ndtr, ndtri

from chemcheck.errors import not_one_of

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Curve = Callable[[Floats], Floats]

LOG_ROOT_TWO_PI = 0.5 * np.log(2.0 * np.pi)


class Between(NamedTuple):
    """Logarithm of the probability between two ends, and its derivatives.

    Parameters
    ----------
    value : numpy.ndarray, shape (n,)
        Logarithm of the probability.
    by_start, by_end : numpy.ndarray, shape (n,)
        First derivatives by the ends; minus their product is the mixed second one.
    bend_start, bend_end : numpy.ndarray, shape (n,)
        Second derivatives by each end.
    """

    value: Floats
    by_start: Floats
    by_end: Floats
    bend_start: Floats
    bend_end: Floats


@dataclass(frozen=True, slots=True)
class Family:
    """One family of lifetimes; its functions take and return whole arrays.

    Parameters
    ----------
    name : str
        As users write it.
    shape_is_free : bool
        Whether the shape is fitted; otherwise it is 1.
    steepness : callable
        Factor of log t in z, from the shape; and the shape from that factor.
    log_density, slope, bend : callable
        Logarithm of the density of z and its first and second derivatives.
    log_survival, log_failure : callable
        Logarithm of the probability above z, and up to z.
    between : callable
        Logarithm of the probability between z and z + gap, with derivatives.
    quantile : callable
        z up to which the probability lies.
    restricted_mean : callable
        Mean of the lifetime cut at t, for scale 1: integral of the survival from 0 to t, a
        function of t and the steepness.
    """

    name: str
    shape_is_free: bool
    steepness: Callable[[float], float]
    log_density: Curve
    slope: Curve
    bend: Curve
    log_survival: Curve
    log_failure: Curve
    between: Callable[[Floats, Floats], Between]
    quantile: Curve
    restricted_mean: Callable[[Floats, float], Floats]


def _extreme_log_density(z: Floats) -> Floats:
    return z - np.exp(z)


def _extreme_slope(z: Floats) -> Floats:
    return 1.0 - np.exp(z)


def _extreme_bend(z: Floats) -> Floats:
    return -np.exp(z)


def _extreme_log_failure(z: Floats) -> Floats:
    return np.log(-np.expm1(-np.exp(z)))


def _extreme_between(z: Floats, gap: Floats) -> Between:
    at_start = np.exp(z)
    rise = at_start * np.expm1(np.minimum(gap, 1.0))
    wide = gap > 1.0
    # A small difference of two exponentials loses digits; a large one loses the product.
    rise[wide] = np.exp(z[wide] + gap[wide]) - at_start[wide]
    at_end = at_start + rise
    # Of what survives the start, minus the share that ends between: every term follows from it.
    ended = np.expm1(-rise)
    by_start = at_start / ended
    by_end = np.where(ended > -1.0, -at_end * (1.0 + ended) / ended, 0.0)
    slope_end = np.where(by_end > 0.0, 1.0 - at_end, 0.0)
    return Between(
        value=np.log(-ended) - at_start,
        by_start=by_start,
        by_end=by_end,
        bend_start=by_start * (1.0 - at_start - by_start),
        bend_end=by_end * (slope_end - by_end),
    )


def _extreme_quantile(probability: Floats) -> Floats:
    return np.log(-np.log1p(-probability))


def _weibull_restricted_mean(time: Floats, steepness: float) -> Floats:
    # Integral of exp(-t^b) is Gamma(1 + 1/b) P(1/b, t^b), P the regularised incomplete gamma.
    inverse = 1.0 / steepness
    share = np.asarray(gammainc(inverse, time**steepness), dtype=np.float64)
    mean: Floats = np.exp(gammaln(1.0 + inverse) + np.log(share))
    return mean


def _normal_log_density(z: Floats) -> Floats:
    density: Floats = -0.5 * z * z - LOG_ROOT_TWO_PI
    return density


def _normal_slope(z: Floats) -> Floats:
    return -z


def _normal_bend(z: Floats) -> Floats:
    return np.full_like(z, -1.0)


def _normal_log_survival(z: Floats) -> Floats:
    return np.asarray(log_ndtr(-z), dtype=np.float64)


def _normal_log_failure(z: Floats) -> Floats:
    return np.asarray(log_ndtr(z), dtype=np.float64)


def _normal_between(z: Floats, gap: Floats) -> Between:
    end = z + gap
    # Far above the middle both ends are turned over, where the tail is not 1 minus something.
    upper = np.where(z > 0.0, -z, end)
    whole = np.asarray(log_ndtr(upper), dtype=np.float64)
    lower = np.asarray(log_ndtr(upper - gap), dtype=np.float64)
    value = whole + np.log(-np.expm1(lower - whole))
    by_start = -np.exp(_normal_log_density(z) - value)
    by_end = np.exp(_normal_log_density(end) - value)
    return Between(
        value=value,
        by_start=by_start,
        by_end=by_end,
        bend_start=by_start * (-z - by_start),
        bend_end=by_end * (-end - by_end),
    )


def _normal_quantile(probability: Floats) -> Floats:
    return np.asarray(ndtri(probability), dtype=np.float64)


def _lognormal_restricted_mean(time: Floats, steepness: float) -> Floats:
    sigma = 1.0 / steepness
    z = np.log(time) / sigma
    with np.errstate(invalid="ignore"):  # infinite time: nothing survives, whatever the product
        beyond = np.where(np.isinf(time), 0.0, time * ndtr(-z))
    below: Floats = np.exp(0.5 * sigma * sigma + np.asarray(log_ndtr(z - sigma)))
    return beyond + below


def _shape_itself(shape: float) -> float:
    return shape


def _inverse_of_shape(shape: float) -> float:
    return 1.0 / shape


def _extreme_family(name: str, *, shape_is_free: bool) -> Family:
    return Family(
        name=name,
        shape_is_free=shape_is_free,
        steepness=_shape_itself,
        log_density=_extreme_log_density,
        slope=_extreme_slope,
        bend=_extreme_bend,
        log_survival=_extreme_bend,
        log_failure=_extreme_log_failure,
        between=_extreme_between,
        quantile=_extreme_quantile,
        restricted_mean=_weibull_restricted_mean,
    )


FAMILIES: Mapping[str, Family] = MappingProxyType(
    {
        "weibull": _extreme_family("weibull", shape_is_free=True),
        "lognormal": Family(
            name="lognormal",
            shape_is_free=True,
            steepness=_inverse_of_shape,
            log_density=_normal_log_density,
            slope=_normal_slope,
            bend=_normal_bend,
            log_survival=_normal_log_survival,
            log_failure=_normal_log_failure,
            between=_normal_between,
            quantile=_normal_quantile,
            restricted_mean=_lognormal_restricted_mean,
        ),
        "exponential": _extreme_family("exponential", shape_is_free=False),
    }
)


def family_named(name: str) -> Family:
    """Find a family by its name.

    Parameters
    ----------
    name : {"weibull", "lognormal", "exponential"}
        Its name.

    Returns
    -------
    Family
        Its formulas.

    Raises
    ------
    ValueError
        If there is no such family.

    Examples
    --------
    >>> family_named("exponential").shape_is_free
    False
    """
    if name not in FAMILIES:
        raise ValueError(not_one_of(name, tuple(FAMILIES), "family of lifetimes"))
    return FAMILIES[name]
