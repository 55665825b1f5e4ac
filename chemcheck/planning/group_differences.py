"""Whether groups of units differ in lifetime, before each gets an interval of its own."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaincc

from chemcheck.errors import NotEnoughDataError
from chemcheck.planning.fit_lifetime import fit_lifetime
from chemcheck.planning.lifetime import Lifetime
from chemcheck.planning.observations import Observations, observe
from chemcheck.planning.standard_forms import Floats, Mask

TOO_FEW_GROUPS = "fewer than two groups can be fitted by themselves"


@dataclass(frozen=True, slots=True)
class GroupDifference:
    """Test of one lifetime for all against one for each group.

    Parameters
    ----------
    grouping : str
        By what the units are grouped.
    common : Lifetime or None
        One fit to all groups that can be fitted by themselves; None without two such.
    lifetimes : mapping of label to Lifetime
        One fit a group.
    set_aside : mapping of label to str
        Groups that cannot be fitted by themselves, and why; they are in no part of the test.
    statistic : float
        Twice the gain of the log-likelihood.
    degrees_of_freedom : int
        Parameters more.
    p_value : float
        Chance of as great a statistic if the groups were alike; NaN without a test.
    adjusted_p_value : float
        The same, allowing for all groupings that were tested (Holm).
    reason : str or None
        Why there is no test.
    """

    grouping: str
    common: Lifetime | None
    lifetimes: Mapping[Hashable, Lifetime]
    set_aside: Mapping[Hashable, str]
    statistic: float
    degrees_of_freedom: int
    p_value: float
    adjusted_p_value: float
    reason: str | None


def compare_groupings(
    lower: ArrayLike,
    upper: ArrayLike,
    groupings: Mapping[str, ArrayLike],
    weights: ArrayLike | None = None,
    family: str = "weibull",
) -> tuple[GroupDifference, ...]:
    """Test for each grouping whether its groups differ in lifetime.

    Parameters
    ----------
    lower, upper : array-like, shape (n,)
        Lifetimes as for `fit_lifetime`.
    groupings : mapping of str to array-like, shape (n,)
        Labels of each lifetime, by technology, duty, water source.
    weights : array-like, shape (n,), optional
        How often each counts. None: once.
    family : {"weibull", "lognormal", "exponential"}, default "weibull"
        Family of distributions.

    Returns
    -------
    tuple of GroupDifference
        One a grouping, in order.

    Raises
    ------
    ValueError
        If the family, an end, a weight or a shape is not possible.

    Notes
    -----
    Likelihood-ratio test [1]_; its chi-squared distribution is that of many ends in each group,
    and with a handful it rejects a little too often. p-values are adjusted by Holm's step-down
    method [2]_, which holds the chance of any false difference.

    References
    ----------
    .. [1] Meeker, W. Q. and Escobar, L. A. (1998), Statistical Methods for Reliability Data,
       Wiley, section 17.6 and appendix B.6.5 (from memory).
    .. [2] Holm, S. (1979), A simple sequentially rejective multiple test procedure, Scandinavian
       Journal of Statistics 6, 65-70 (from memory).

    Examples
    --------
    >>> seen = [100, 110, 120, 130, 200, 220, 240, 260]
    >>> duty = ["hard"] * 4 + ["light"] * 4
    >>> (test,) = compare_groupings(seen, seen, {"duty": duty})
    >>> test.degrees_of_freedom, test.p_value < 0.001
    (2, True)
    """
    seen = observe(lower, upper, weights)
    kept = _kept(lower, weights)
    tests = [
        _compare(seen, name, np.asarray(labels)[kept], family)
        for name, labels in _checked(groupings, kept).items()
    ]
    adjusted = holm([test.p_value for test in tests])
    return tuple(
        replace(test, adjusted_p_value=float(p)) for test, p in zip(tests, adjusted, strict=True)
    )


def holm(p_values: ArrayLike) -> Floats:
    """Adjust p-values for their number by Holm's step-down method.

    Parameters
    ----------
    p_values : array-like, shape (k,)
        From 0 to 1; NaN is no test and counts for none.

    Returns
    -------
    numpy.ndarray, shape (k,)
        Adjusted p-values.

    Examples
    --------
    >>> holm([0.01, 0.04, 0.03])
    array([0.03, 0.06, 0.06])
    """
    values = np.asarray(p_values, dtype=np.float64)
    order = np.argsort(values, kind="stable")
    tested = int(np.isfinite(values).sum())
    factors = np.maximum(tested - np.arange(values.size), 1)
    adjusted = np.minimum(np.maximum.accumulate(values[order] * factors), 1.0)
    back = np.empty_like(adjusted)
    back[order] = adjusted
    return back


def _kept(lower: ArrayLike, weights: ArrayLike | None) -> Mask:
    """Tell which observations count; those of weight 0 are left out by the check."""
    if weights is None:
        return np.ones(np.shape(lower), dtype=np.bool_)
    return np.asarray(np.asarray(weights, dtype=np.float64) > 0.0)


def _checked(groupings: Mapping[str, ArrayLike], kept: Mask) -> Mapping[str, ArrayLike]:
    """Refuse labels that are not one for each lifetime."""
    for name, labels in groupings.items():
        if np.shape(labels) != kept.shape:
            message = (
                f"{name}: {np.shape(labels)}: expected one label for each of {kept.size} lifetimes"
            )
            raise ValueError(message)
    return groupings


def _compare(seen: Observations, name: str, labels: NDArray[Any], family: str) -> GroupDifference:
    """Fit every group, then all that could be fitted together."""
    distinct, codes = np.unique(labels, return_inverse=True)
    lifetimes: dict[Hashable, Lifetime] = {}
    set_aside: dict[Hashable, str] = {}
    together = np.zeros(codes.shape, dtype=np.bool_)
    for code, label in enumerate(distinct.tolist()):
        mine = codes == code
        try:
            lifetimes[label] = _fit(seen, mine, family)
        except NotEnoughDataError as problem:
            set_aside[label] = str(problem)
        else:
            together |= mine
    if len(lifetimes) < 2:
        return GroupDifference(
            name, None, lifetimes, set_aside, np.nan, 0, np.nan, np.nan, TOO_FEW_GROUPS
        )
    common = _fit(seen, together, family)
    apart = sum(life.log_likelihood for life in lifetimes.values())
    statistic = max(2.0 * (apart - common.log_likelihood), 0.0)
    freedom = common.parameters * (len(lifetimes) - 1)
    # Survival of a chi-squared variable.
    p = float(gammaincc(0.5 * freedom, 0.5 * statistic))
    return GroupDifference(name, common, lifetimes, set_aside, statistic, freedom, p, p, None)


def _fit(seen: Observations, mine: Mask, family: str) -> Lifetime:
    return fit_lifetime(seen.lower[mine], seen.upper[mine], seen.weights[mine], family)
