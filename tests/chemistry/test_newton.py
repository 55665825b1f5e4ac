"""The linear algebra against numpy's, the derivatives against differences."""

import numpy as np
import pytest

from chemcheck.chemistry.balances import Coefficients, Held, Workspace, balances
from chemcheck.chemistry.newton import eliminate, solve
from chemcheck.chemistry.start import start_at_ph
from chemcheck.chemistry.tableau import FULL


def test_elimination_against_numpy() -> None:
    rng = np.random.default_rng(3)
    matrix = rng.normal(size=(50, 4, 4)) + 4.0 * np.eye(4)
    off = rng.normal(size=(50, 4))
    rows = [[*matrix[:, place].T, off[:, place]] for place in range(4)]
    expected = np.linalg.solve(matrix, -off[..., None])[..., 0]
    assert pytest.approx(expected) == np.array(eliminate(rows)).T


# Chloride, sulfate, alkalinity, held; Ca, Mg, Na, K, Si [mol/kg].
AMOUNTS = np.array(
    [
        [2e-3, 5e-2, 1e-4],
        [1e-3, 3e-2, 5e-5],
        [3e-3, 6e-3, 9e-4],
        [3e-3, 5e-3, 1e-3],
        [2e-3, 9e-3, 2e-4],
        [1e-3, 3e-2, 1e-4],
        [2e-3, 4e-2, 9e-4],
        [1e-4, 9e-3, 1e-5],
        [3e-4, 2e-4, 1e-4],
    ]
)
STATE = np.array(
    [
        [-18.0, -20.5, -16.0],
        [-13.0, -9.5, -14.0],
        [-7.5, -5.2, -10.5],
        [0.01, 0.15, 2e-3],
        [-2e-4, -3e-3, -1e-5],
    ]
)


@pytest.mark.parametrize("held", [Held.CARBONATE, Held.CALCITE])
def test_derivatives_against_differences(held: Held) -> None:
    """Central differences of the sums with respect to every unknown."""
    fixed = Coefficients.at(np.array([60.0]), FULL)

    def at(state: np.ndarray) -> dict[str, np.ndarray]:
        found = balances(AMOUNTS, held, state, FULL.double, fixed, Workspace(np.float64))
        sums = {name: values.copy() for name, values in found.sums.items()}
        if held is Held.CALCITE:
            sums["c"] -= found.calcium
        return sums

    now = balances(AMOUNTS, held, STATE, FULL.double, fixed, Workspace(np.float64))
    for row, column in enumerate("hcsi"):
        little = np.zeros_like(STATE)
        little[row] = 1e-5 * (STATE[3] if column == "i" else 1.0)
        above, below = at(STATE + little), at(STATE - little)
        for name in "hcsz":
            # The upper half is kept where the matrix is symmetric.
            known = now.moves.get(name + column, now.moves.get(column + name))
            expected = (above[name] - below[name]) / (2.0 * little[row])
            scale = np.abs(now.moves[{"h": "hh", "c": "cc", "s": "ss", "z": "zi"}[name]])
            limit = 1e-6 * scale + 1e-6 * np.abs(expected)
            if column == "i":
                limit = limit / STATE[3]
            assert np.all(np.abs(known - expected) < limit), name + column


def test_matrix_is_positive_definite() -> None:
    """What lets the elimination go without pivots."""
    fixed = Coefficients.at(np.array([25.0]), FULL)
    for held in (Held.CARBONATE, Held.CALCITE):
        m = balances(AMOUNTS, held, STATE, FULL.double, fixed, Workspace(np.float64)).moves
        matrix = np.array(
            [
                [m["hh"], m["hc"], m["hs"]],
                [m["hc"], m["cc"], m["sc"]],
                [m["hs"], m["sc"], m["ss"]],
            ]
        )
        assert np.all(np.linalg.eigvalsh(matrix.transpose(2, 0, 1)) > 0.0)


def test_chunks_do_not_change_the_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    amounts = np.tile(AMOUNTS, (1, 7))
    amounts[3] = -np.log(10.0) * np.linspace(6.0, 8.5, 21)
    heat = np.linspace(5.0, 30.0, 21)
    start = start_at_ph(amounts, np.empty((0, 21)), heat, FULL)
    whole, done = solve(amounts, Held.PH, start, heat, FULL)
    monkeypatch.setattr("chemcheck.chemistry.newton.CHUNK", 4)
    parts, _ = solve(amounts, Held.PH, start, heat, FULL)
    assert done.all()
    assert parts == pytest.approx(whole, rel=1e-8, abs=1e-8)
