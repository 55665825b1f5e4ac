"""Newton's method on the balances of many waters at once, chunk by chunk."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from chemcheck.chemistry import species as sp
from chemcheck.chemistry.activity import WATER_ACTIVITY_SLOPE
from chemcheck.chemistry.balances import (
    ALKALINITY,
    CALCIUM,
    HELD,
    LN_CARBONATE,
    LN_HYDROGEN,
    LN_WATER,
    PARTNERS,
    STRENGTH,
    SULFATE,
    Balances,
    Coefficients,
    Held,
    Workspace,
    balances,
)
from chemcheck.chemistry.tableau import Floats, Matrices, Tableau

# Rows that follow those of the state in a solution; the partners' activities follow them.
CARBONATE_TOTAL, CALCIUM_TOTAL = 5, 6
LN_PARTNERS = slice(7, None)

CHUNK = 8192  # small enough for a cache, large enough that calling numpy costs little
# Every step squares the error: one of 3e-5 leaves about 1e-9.
TOLERANCE = 3e-5
MAX_ITERATIONS = 60
_LAGGING = 100.0
# Single precision, for half the price, until few waters are further from the solution than a
# step of double precision brings to the tolerance.
ROUGH_TOLERANCE = 4e-3
ROUGH_REST = 0.1
MAX_ROUGH_ITERATIONS = 6
# Natural-log units a step may take; the few waters that swing about come to rest with less.
_LONGEST_STEP, _CAREFUL_STEP, _CAREFUL_AFTER = 3.0, 0.3, 12
_CARBON_DIOXIDE = next(i for i, s in enumerate(sp.FREE) if s.name == "CO2")


def solve(
    amounts: NDArray[np.float64],
    held: Held,
    start: NDArray[np.float64],
    temperature: NDArray[np.float64],
    tableau: Tableau,
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Find the equilibrium of every water.

    Parameters
    ----------
    amounts : numpy.ndarray, shape (4 + partners, n)
        Rows as named in `balances`, finite, no total below zero.
    held : Held
        What the row ``HELD`` of the amounts is.
    start : numpy.ndarray, shape (5, n)
        State to begin from, rows as named in `balances`.
    temperature : numpy.ndarray, shape (n,) or (1,)
        [deg C].
    tableau : Tableau
        The species.

    Returns
    -------
    solution : numpy.ndarray, shape (7 + partners, n)
        The state; total dissolved carbonate and calcium [mol/kg]; natural logarithms of the
        activities of the free partners, -inf where there is none.
    converged : numpy.ndarray of bool, shape (n,)
        Whether the step fell below the tolerance.
    """
    size = amounts.shape[1]
    solution = np.empty((LN_PARTNERS.start + len(tableau.partners), size))
    converged = np.zeros(size, dtype=np.bool_)
    shared = Coefficients.at(temperature, tableau)
    work, rough = Workspace(np.float64), Workspace(np.float32)
    for first in range(0, size, CHUNK):
        here = slice(first, min(first + CHUNK, size))
        fixed = shared.take(here)
        state = _rough(amounts[:, here], held, start[:, here], tableau.single, fixed, rough)
        _solve_chunk(
            amounts[:, here],
            held,
            state,
            tableau.double,
            fixed,
            work,
            solution[:, here],
            converged[here],
        )
    return solution, converged


def _rough(
    amounts: Floats,
    held: Held,
    start: Floats,
    matrices: Matrices,
    fixed: Coefficients,
    work: Workspace,
) -> Floats:
    """Come near the solution in single precision, which takes half the time."""
    state = start.astype(np.float32)
    amounts = amounts.astype(np.float32)
    fixed = fixed.single()
    for _ in range(MAX_ROUGH_ITERATIONS):
        now = balances(amounts, held, state, matrices, fixed, work)
        state, step = _move(state, _change(amounts, held, now, state, fixed), now, 0)
        if np.count_nonzero(step > ROUGH_TOLERANCE) < ROUGH_REST * step.size:
            break
    near = state.astype(np.float64)
    lost = ~np.isfinite(near).all(axis=0)
    if lost.any():
        near[:, lost] = start[:, lost]
    if held is Held.PH:
        near[LN_HYDROGEN] = start[LN_HYDROGEN]
    return near


def _solve_chunk(
    amounts: Floats,
    held: Held,
    state: Floats,
    matrices: Matrices,
    fixed: Coefficients,
    work: Workspace,
    solution: Floats,
    converged: NDArray[np.bool_],
) -> None:
    """Iterate one chunk; waters that are done leave it once they are the majority."""
    left: NDArray[np.intp] | slice = slice(None)
    for iteration in range(MAX_ITERATIONS):
        now = balances(amounts, held, state, matrices, fixed, work)
        change = _change(amounts, held, now, state, fixed)
        state, step = _move(state, change, now, iteration)
        done = step < TOLERANCE
        count = int(np.count_nonzero(done))
        if 2 * count <= done.size and iteration < MAX_ITERATIONS - 1:
            continue
        _write(state, change, now, matrices, solution, left)
        converged[left] = done
        if count == done.size:
            break
        stay = np.flatnonzero(~done)
        left = stay if isinstance(left, slice) else left[stay]
        amounts, state, fixed = amounts[:, stay], state[:, stay], fixed.take(stay)


def _change(
    amounts: Floats,
    held: Held,
    now: Balances,
    state: Floats,
    fixed: Coefficients,
) -> Floats:
    """Solve the linear system for the changes of h, c, s and i, shape (4, n)."""
    m = now.moves
    sulfate = now.sums["s"] - amounts[SULFATE]
    strength = now.sums["z"] - state[STRENGTH]
    beyond = m["zi"] - 1.0
    change = np.zeros((4, state.shape[1]), dtype=state.dtype)
    if held in (Held.CARBONATE, Held.CALCITE):
        carbonate = now.sums["c"] - amounts[HELD]
        if held is Held.CALCITE:
            carbonate -= now.calcium - amounts[PARTNERS][CALCIUM]
        hydrogen = now.sums["h"] - 2.0 * amounts[HELD] + amounts[ALKALINITY]
        rows = [
            [m["hh"], m["hc"], m["hs"], m["hi"], hydrogen],
            [m["hc"], m["cc"], m["sc"], m["ci"], carbonate],
            [m["hs"], m["sc"], m["ss"], m["si"], sulfate],
            [m["zh"], m["zc"], m["zs"], beyond, strength],
        ]
        change[:] = eliminate(rows)
        return change
    # Alkalinity is twice the carbonate less the hydrogen taken up.
    alkalinity = 2.0 * now.sums["c"] - now.sums["h"] - amounts[ALKALINITY]
    by_carbonate = 2.0 * m["cc"] - m["hc"]
    by_sulfate = 2.0 * m["sc"] - m["hs"]
    by_strength = 2.0 * m["ci"] - m["hi"]
    if held is Held.PH:
        rows = [
            [by_carbonate, by_sulfate, by_strength, alkalinity],
            [m["sc"], m["ss"], m["si"], sulfate],
            [m["zc"], m["zs"], beyond, strength],
        ]
        change[1:] = eliminate(rows)
        return change
    # A fixed activity of CO2 ties c to h: one up, the other down by twice as much; and it stays
    # tied when the activity of water moves.
    by_hydrogen = 2.0 * m["hc"] - m["hh"] - 2.0 * by_carbonate
    off = (
        amounts[HELD]
        + state[LN_WATER]
        - fixed.log_k[_CARBON_DIOXIDE]
        - 2.0 * state[LN_HYDROGEN]
        - state[LN_CARBONATE]
    )
    rows = [
        [by_hydrogen, by_sulfate, by_strength, alkalinity + by_carbonate * off],
        [m["hs"] - 2.0 * m["sc"], m["ss"], m["si"], sulfate + m["sc"] * off],
        [m["zh"] - 2.0 * m["zc"], m["zs"], beyond, strength + m["zc"] * off],
    ]
    change[0], change[2], change[3] = eliminate(rows)
    change[1] = off - 2.0 * change[0]
    return change


def eliminate(rows: Sequence[list[Floats]]) -> list[Floats]:
    """Solve small linear systems, one for every water, by elimination without pivots.

    Parameters
    ----------
    rows : sequence of list of numpy.ndarray, shape (n,)
        Coefficients of each equation, then what it is off by.

    Returns
    -------
    list of numpy.ndarray, shape (n,)
        Changes of the unknowns that bring every equation to zero.

    Examples
    --------
    >>> two, one, off = np.array([2.0]), np.array([1.0]), np.array([-3.0])
    >>> [x.tolist() for x in eliminate([[two, one, off], [one, two, off]])]
    [[1.0], [1.0]]
    """
    size = len(rows)
    done: list[list[Floats]] = []
    remaining = [list(row) for row in rows]
    for place in range(size):
        first, *others = remaining
        inverse = 1.0 / first[place]
        pivot = [value * inverse for value in first[place + 1 :]]
        done.append(pivot)
        remaining = []
        for row in others:
            factor = row[place]
            kept = row[: place + 1]
            remaining.append(
                kept + [x - factor * y for x, y in zip(row[place + 1 :], pivot, strict=True)]
            )
    found: list[Floats] = []
    for pivot in reversed(done):
        value = -pivot[-1]
        for coefficient, later in zip(pivot[:-1], reversed(found), strict=True):
            value = value - coefficient * later
        found.append(value)
    return found[::-1]


def _move(state: Floats, change: Floats, now: Balances, iteration: int) -> tuple[Floats, Floats]:
    """Apply the change, no further than is safe; return the new state and the step."""
    longest = _LONGEST_STEP if iteration < _CAREFUL_AFTER else _CAREFUL_STEP
    np.clip(change[:3], -longest, longest, out=change[:3])
    moved = np.empty_like(state)
    np.add(state[:STRENGTH], change[:3], out=moved[:STRENGTH])
    strength = state[STRENGTH]
    np.clip(strength + change[3], 0.3 * strength, 3.0 * strength, out=moved[STRENGTH])
    np.log1p(-WATER_ACTIVITY_SLOPE * now.sums["dissolved"], out=moved[LN_WATER])
    # The activity of water follows a step behind: its error is the step, not the square of it.
    step = _LAGGING * np.abs(moved[LN_WATER] - state[LN_WATER])
    np.maximum(step, np.abs(change[:3]).max(axis=0), out=step)
    np.maximum(step, np.abs(moved[STRENGTH] / strength - 1.0), out=step)
    step[np.isnan(step)] = np.inf
    return moved, step


def _write(
    state: Floats,
    change: Floats,
    now: Balances,
    matrices: Matrices,
    solution: Floats,
    left: NDArray[np.intp] | slice,
) -> None:
    """Write the state and what follows from it, carried over the last step by derivatives."""
    m = now.moves
    h, c, s, i = change
    solution[:CARBONATE_TOTAL, left] = state
    # With calcite this is the balance of carbonate less calcium, and what calcium adds follows.
    carbonate = now.sums["c"] + m["hc"] * h + m["cc"] * c + m["sc"] * s + m["ci"] * i
    calcium = now.calcium
    if now.calcium_moves is not None:
        moved = np.add.reduce(now.calcium_moves * change, axis=0)
        calcium = calcium + moved
        carbonate += moved
    solution[CARBONATE_TOTAL, left] = carbonate
    solution[CALCIUM_TOTAL, left] = calcium
    with np.errstate(divide="ignore"):
        log_free = np.log(now.free)
    for shift, each in zip(now.shifts, change, strict=True):
        log_free -= shift * each
    log_free += matrices.partner_weights @ (now.terms + now.slopes * i)
    solution[LN_PARTNERS, left] = log_free
