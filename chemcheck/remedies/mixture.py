"""The cheapest mixture of waters that meets every bound, or the bounds that exclude each other.

Amounts dissolved in water mix in proportion, so that every bound is linear in the shares and a
linear program finds the least cost. pH is not linear and is no part of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.limit_library.records import Side

Floats = npt.NDArray[np.float64]

_TOLERANCE = 1e-10  # of bounds and of costs in the linear program, relative
_WORTH = 1e-6  # a margin gained that is worth leaving a corner of the program
_OPTIONS = {
    "primal_feasibility_tolerance": _TOLERANCE,
    "dual_feasibility_tolerance": _TOLERANCE,
}


@dataclass(frozen=True, slots=True)
class Mixture:
    """Shares of waters against a set of bounds.

    Parameters
    ----------
    possible : bool
        Whether the shares meet every bound.
    shares : ndarray of float64, shape (n_waters,)
        Of each water, sum 1 [1]. Where no mixture is possible, those that come nearest: the
        greatest excess over a bound, as a part of it, is least. NaN where not even that can be
        said, as every water is above a range.
    cost : float
        Of a litre [the unit of the costs per litre].
    held : ndarray of float64, shape (n_bounds,)
        What the mixture holds at the unfavourable end of the readings [unit of each bound].
    controlled_by : tuple of int
        Positions of the bounds that keep it from being cheaper, the weightiest first; where no
        mixture is possible, of those that exclude each other.
    barred : tuple of (int, int)
        Water and bound: waters that are left out because their reading is open towards it.
    """

    possible: bool
    shares: Floats
    cost: float
    held: Floats
    controlled_by: tuple[int, ...]
    barred: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class _Program:
    """Rows of ``rows @ shares <= ends``, each as a part of its bound, and what is left out."""

    rows: Floats
    ends: Floats
    open_to: npt.NDArray[np.bool_]

    @property
    def usable(self) -> npt.NDArray[np.bool_]:
        return np.asarray(~self.open_to.any(axis=0))


def cheapest_mixture(
    lower: Floats, upper: Floats, bounds: Floats, sides: Sequence[Side], costs: Floats
) -> Mixture:
    """Find the shares that meet every bound at the least cost.

    An upper bound is held against the upper ends of the readings, a lower bound against the
    lower ends: the mixture holds wherever in the intervals the true values lie.

    Parameters
    ----------
    lower, upper : ndarray, shape (n_waters, n_bounds)
        The ends of what each water holds of each bound's quantity [unit of the bound]; no NaN,
        ``upper`` infinite above a range.
    bounds : ndarray, shape (n_bounds,)
        The numbers to meet [unit of the bound].
    sides : sequence of {"lower", "upper"}
        Which side each bound is on.
    costs : ndarray, shape (n_waters,)
        Of a litre of each water [any unit of money per litre].

    Returns
    -------
    Mixture
        Of several mixtures of one cost, the one farthest from its nearest bound.

    Raises
    ------
    ValueError
        If the shapes do not agree, there is no water, or a value is NaN.

    Notes
    -----
    The linear program min c x with A x <= b, x >= 0, sum x = 1 [1]_. If it has no solution, the
    least t with A x - t |b| <= b is sought; the bounds with a price above zero in its dual
    exclude each other by themselves (Farkas' lemma).

    References
    ----------
    .. [1] Huangfu, Q. and Hall, J. A. J., Mathematical Programming Computation 10 (2018), the
       solver HiGHS, by `scipy.optimize.linprog`.

    Examples
    --------
    Tap water of 85 mg/L chloride for 0.002 a litre, deionised water of 1 for 0.5, at most 40:

    >>> import numpy as np
    >>> found = cheapest_mixture(
    ...     np.array([[85.0], [0.0]]), np.array([[85.0], [1.0]]), np.array([40.0]), ("upper",),
    ...     np.array([0.002, 0.5]),
    ... )
    >>> found.shares.round(3).tolist(), round(found.cost, 3)
    ([0.464, 0.536], 0.269)
    """
    program = _program(lower, upper, bounds, sides)
    if costs.shape != (len(lower),):
        message = f"expected {len(lower)} costs, got {costs.shape}"
        raise ValueError(message)
    barred = tuple((int(k), int(j)) for j, k in np.argwhere(program.open_to))
    if not program.usable.any():
        rows = tuple(np.flatnonzero(program.open_to.any(axis=1)).tolist())
        nothing = np.full(len(lower), np.nan)
        return Mixture(False, nothing, np.nan, np.full(bounds.size, np.nan), rows, barred)
    found = _least_cost(program, costs)
    possible = found is not None
    shares, control = _nearest(program) if found is None else found
    return Mixture(
        possible=possible,
        shares=shares,
        cost=float(costs @ shares),
        held=_held(lower, upper, sides, shares),
        controlled_by=control,
        barred=barred,
    )


def stated_mixture(
    shares: Floats,
    lower: Floats,
    upper: Floats,
    bounds: Floats,
    sides: Sequence[Side],
    costs: Floats,
) -> Mixture:
    """Hold stated shares against bounds.

    Parameters
    ----------
    shares : ndarray, shape (n_waters,)
        Not below zero, sum 1 [1].
    lower, upper, bounds, sides, costs
        As for `cheapest_mixture`.

    Returns
    -------
    Mixture
        Controlled by nothing, as nothing was sought.

    Examples
    --------
    >>> import numpy as np
    >>> half = np.array([0.5, 0.5])
    >>> chloride = np.array([[85.0], [1.0]])
    >>> stated_mixture(half, chloride, chloride, np.array([40.0]), ("upper",), half).possible
    False
    """
    program = _program(lower, upper, bounds, sides)
    met = program.rows @ shares <= program.ends + _TOLERANCE
    used = shares > 0.0
    possible = bool(met.all()) and not program.open_to[:, used].any()
    held = _held(lower, upper, sides, shares)
    return Mixture(possible, shares, float(costs @ shares), held, ())


def _program(lower: Floats, upper: Floats, bounds: Floats, sides: Sequence[Side]) -> _Program:
    if not len(lower) or not lower.shape == upper.shape == (len(lower), len(sides)):
        message = f"expected readings of shape (n, {len(sides)}), got {lower.shape}, {upper.shape}"
        raise ValueError(message)
    if np.isnan(lower).any() or np.isnan(upper).any() or np.isnan(bounds).any():
        message = "a value to mix is NaN"
        raise ValueError(message)
    # A lower bound on y is an upper bound on -y.
    sign = np.array([1.0 if side == "upper" else -1.0 for side in sides])
    ends = np.where(sign[:, np.newaxis] > 0, upper.T, lower.T)
    open_to = np.isinf(ends)
    scale = np.where(bounds == 0.0, 1.0, np.abs(bounds))
    rows = np.where(open_to, 0.0, ends) * (sign / scale)[:, np.newaxis]
    return _Program(rows, sign * bounds / scale, open_to)


def _least_cost(program: _Program, costs: Floats) -> tuple[Floats, tuple[int, ...]] | None:
    """Return shares of the least cost and what controls them, None where there are none."""
    from scipy.optimize import linprog  # too slow to load where nothing is mixed

    limits = [(0.0, 1.0 if usable else 0.0) for usable in program.usable]
    whole = np.ones((1, len(limits)))
    scale = max(float(np.abs(costs).max()), np.finfo(float).tiny)
    found = linprog(
        costs / scale, program.rows, program.ends, whole, [1.0], limits, options=_OPTIONS
    )
    if not found.success:
        return None
    margin = float((program.ends - program.rows @ found.x).min(initial=1.0))
    wider = linprog(
        np.array([*np.zeros(len(limits)), -1.0]),
        np.block(
            [
                [program.rows, np.ones((len(program.rows), 1))],
                [costs / scale, np.zeros((1, 1))],
            ]
        ),
        np.array([*program.ends, found.fun + _TOLERANCE]),
        np.array([[*whole[0], 0.0]]),
        [1.0],
        [*limits, (0.0, 1.0)],
        options=_OPTIONS,
    )
    shares = wider.x[:-1] if wider.success and wider.x[-1] > margin + _WORTH else found.x
    return _clean(shares), _priced(found.ineqlin.marginals)


def _nearest(program: _Program) -> tuple[Floats, tuple[int, ...]]:
    """Return the shares that come nearest, and the bounds that exclude each other."""
    from scipy.optimize import linprog

    n = program.rows.shape[1]
    found = linprog(
        np.array([*np.zeros(n), 1.0]),
        np.column_stack([program.rows, -np.ones(len(program.rows))]),
        program.ends,
        np.array([[*np.ones(n), 0.0]]),
        [1.0],
        [*((0.0, 1.0 if usable else 0.0) for usable in program.usable), (0.0, None)],
        options=_OPTIONS,
    )
    return _clean(found.x[:-1]), _priced(found.ineqlin.marginals)


def _priced(marginals: Floats) -> tuple[int, ...]:
    """Return the rows with a price, the dearest first."""
    order = np.argsort(marginals, kind="stable")
    return tuple(int(row) for row in order if marginals[row] < -1e-9)


def _clean(shares: Floats) -> Floats:
    """Take out what rounding left of shares that are none."""
    kept = np.where(shares < 1e-9, 0.0, shares)
    return np.asarray(kept / kept.sum())


def _held(lower: Floats, upper: Floats, sides: Sequence[Side], shares: Floats) -> Floats:
    used = shares > 0.0
    return np.array(
        [
            float(shares[used] @ (upper if side == "upper" else lower)[used, place])
            for place, side in enumerate(sides)
        ]
    )
