"""Mass balances of many waters at once, and how they move with the unknowns.

Unknown are the logarithms of the activities of H+, CO3-2 and SO4-2 and the ionic strength; every
other amount follows from them explicitly: a free metal is its total over one plus its pairs, so
that the metals never enter the linear system. What is left is at most four by four.

The Jacobian of the balances is a covariance: a free species adds the products of what it takes up,
the pairs of one metal add the covariance of what they take up over that metal's species. It is
symmetric and positive definite, so that elimination needs no pivots.

Letters in the code: h, c, s for H+, CO3-2 and SO4-2 taken up, z for half a squared charge number,
i for the ionic strength; ``hc`` is how the balance of h moves with the logarithm of c.
"""

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import DTypeLike, NDArray

from chemcheck.chemistry import constants
from chemcheck.chemistry.activity import LN10, debye_huckel_terms
from chemcheck.chemistry.tableau import (
    FREE_COUNT,
    Floats,
    Matrices,
    Tableau,
    multiply,
    natural_log_k,
)
from chemcheck.chemistry.water_properties import debye_huckel_slopes

# Rows of the amounts; the totals of the tableau's partners follow [mol/kg].
CHLORIDE, SULFATE, ALKALINITY, HELD = range(4)
PARTNERS = slice(4, None)
# Rows of the state: natural logarithms of activities; the ionic strength [mol/kg].
LN_HYDROGEN, LN_CARBONATE, LN_SULFATE, STRENGTH, LN_WATER = range(5)
# Place of calcium among the partners.
CALCIUM = 0


class Held(Enum):
    """What stays constant beside the totals of metals, chloride, sulfate and the alkalinity."""

    PH = "pH, as measured (natural logarithm of the activity of H+); total carbonate follows"
    CARBONATE = "total carbonate (mol/kg): a closed system"
    CARBON_DIOXIDE = "natural logarithm of the activity of dissolved carbon dioxide: open to air"
    CALCITE = "total carbonate (mol/kg) before calcite forms or dissolves until saturation"


@dataclass(frozen=True, slots=True)
class Coefficients:
    """What the temperature alone decides: shapes end in n, or in 1 where all waters share it."""

    log_k: Floats
    log_calcite: Floats
    slope_a: Floats
    slope_b: Floats

    @classmethod
    def at(cls, temperature: NDArray[np.float64], tableau: Tableau) -> "Coefficients":
        """Compute them at temperatures [deg C]."""
        slope_a, slope_b = debye_huckel_slopes(temperature)
        return cls(
            tableau.log_constants(temperature),
            natural_log_k([constants.SOLIDS["calcite"]], temperature)[0],
            slope_a,
            slope_b,
        )

    def take(self, which: NDArray[np.intp] | slice) -> "Coefficients":
        """Return those of some of the waters."""
        if self.slope_a.size == 1:
            return self
        return Coefficients(
            self.log_k[:, which], self.log_calcite[which], self.slope_a[which], self.slope_b[which]
        )

    def single(self) -> "Coefficients":
        """Return them in single precision."""
        return Coefficients(
            self.log_k.astype(np.float32),
            self.log_calcite.astype(np.float32),
            self.slope_a.astype(np.float32),
            self.slope_b.astype(np.float32),
        )


class Workspace:
    """Arrays that every iteration writes again: fresh ones of this size cost more than the sums.

    Parameters
    ----------
    dtype : data type
        Precision of the arrays.
    """

    def __init__(self, dtype: DTypeLike) -> None:
        self._dtype = dtype
        self._buffers: dict[str, Floats] = {}

    def array(self, name: str, *shape: int) -> Floats:
        """Return the array of a name; what it held is lost."""
        size = int(np.prod(shape))
        buffer = self._buffers.get(name)
        if buffer is None or buffer.size < size:
            buffer = self._buffers[name] = np.empty(size, dtype=self._dtype)
        return buffer[:size].reshape(shape)


@dataclass(frozen=True, slots=True)
class Balances:
    """Sums over the species of a set of waters, and their derivatives.

    Parameters
    ----------
    sums : dict of str to numpy.ndarray, shape (n,)
        ``h``, ``c``, ``s``: what the species take up of H+, CO3-2 and SO4-2; ``z``: the ionic
        strength of the species; ``dissolved``: their sum [mol/kg].
    moves : dict of str to numpy.ndarray, shape (n,)
        Derivatives of the sums by the letters of the module.
    free : numpy.ndarray, shape (partners, n)
        Molalities of the free partners [mol/kg].
    calcium : numpy.ndarray, shape (n,)
        Total dissolved calcium [mol/kg].
    calcium_moves : numpy.ndarray, shape (4, n), or None
        How it moves with h, c, s and i where calcite decides it; None where its total is given.
    shifts : numpy.ndarray, shape (4, partners, n)
        How the logarithm of a free partner falls with h, c, s and i.
    terms, slopes : numpy.ndarray, shape (activity columns, n)
        Quantities that make up activity coefficients, and their derivatives with respect to i.
    """

    sums: dict[str, Floats]
    moves: dict[str, Floats]
    free: Floats
    calcium: Floats
    calcium_moves: Floats | None
    shifts: Floats
    terms: Floats
    slopes: Floats


def balances(
    amounts: Floats,
    held: Held,
    state: Floats,
    matrices: Matrices,
    fixed: Coefficients,
    work: Workspace,
) -> Balances:
    """Compute the sums and their derivatives.

    Parameters
    ----------
    amounts : numpy.ndarray, shape (4 + partners, n)
        Rows as named in this module.
    held : Held
        What the row `HELD` is.
    state : numpy.ndarray, shape (5, n)
        Rows as named in this module.
    matrices : Matrices
        The species.
    fixed : Coefficients
        Of the waters' temperatures.
    work : Workspace
        Where the arrays of the result live until the next call.

    Returns
    -------
    Balances
        At the state.
    """
    size = state.shape[1]
    rows = len(matrices.weights)
    columns = len(matrices.sizes) + 2
    known = work.array("known", columns + 4, size)
    terms, slopes = known[:columns], work.array("slopes", columns, size)
    debye_huckel_terms(
        state[STRENGTH], fixed.slope_a, fixed.slope_b, matrices.sizes, terms[:-1], slopes[:-1]
    )
    np.multiply(LN10, state[STRENGTH], out=terms[-1])
    slopes[-1] = LN10
    known[columns] = state[LN_WATER]
    known[columns + 1 :] = state[:STRENGTH]
    species = multiply(matrices.weights, known, work.array("species", rows, size))
    species += fixed.log_k
    np.exp(species, out=species)
    drifting = multiply(matrices.activity_weights, slopes, work.array("drifting", rows, size))
    drifting *= species

    # Pairs are per molality of their free partner up to here.
    shares, means, shifts = _partner_means(matrices, species, drifting, work)
    totals = amounts[PARTNERS]
    calcium_moves = None
    if held is Held.CALCITE:
        # The solid, not a total, decides the free calcium: its product with CO3-2 is fixed.
        weights = matrices.partner_weights[CALCIUM]
        free_calcium = np.exp(fixed.log_calcite - state[LN_CARBONATE] - weights @ terms)
        totals = totals.copy()
        np.divide(free_calcium, shares[CALCIUM], out=totals[CALCIUM])
        calcium_moves = shifts[:, CALCIUM].copy()
        shifts[:3, CALCIUM] = ((0.0,), (1.0,), (0.0,))
        np.matmul(weights, slopes, out=shifts[3, CALCIUM])
        calcium_moves -= shifts[:, CALCIUM]
        calcium_moves *= totals[CALCIUM]
    free = np.multiply(totals, shares, out=shares)
    spread = np.take(
        free,
        matrices.pair_partners,
        axis=0,
        out=work.array("spread", rows - FREE_COUNT, size),
        mode="clip",
    )
    species[FREE_COUNT:] *= spread
    drifting[FREE_COUNT:] *= spread

    sums = multiply(matrices.feature_products, species, work.array("sums", 14, size))
    drifts = multiply(matrices.features, drifting, work.array("drifts", 4, size))
    weighted = np.multiply(totals, means, out=means)
    moves = _covariances(sums, drifts, weighted, shifts, work)
    if calcium_moves is not None:
        # The balance of c is then that of carbonate less calcium.
        moves["cc"] -= calcium_moves[1]
        moves["ci"] -= calcium_moves[3]
    half_chloride = 0.5 * amounts[CHLORIDE]
    return Balances(
        {
            "h": sums[0],
            "c": sums[1],
            "s": sums[2],
            "z": sums[3] + matrices.half_squares @ free + half_chloride,
            "dissolved": sums[13] + np.add.reduce(free, axis=0) + amounts[CHLORIDE],
        },
        moves,
        free,
        totals[CALCIUM],
        calcium_moves,
        shifts,
        terms,
        slopes,
    )


def _partner_means(
    matrices: Matrices, species: Floats, drifting: Floats, work: Workspace
) -> tuple[Floats, Floats, Floats]:
    """Share of the free partner, means of h, c, s, z over its species, and how it shifts."""
    partners, size = len(matrices.half_squares), species.shape[1]
    sums = multiply(
        matrices.partner_sums,
        species[FREE_COUNT:],
        work.array("partner sums", 5 * partners, size),
    ).reshape(5, partners, size)
    shares, means = sums[0], sums[1:]
    shares += 1.0
    np.divide(1.0, shares, out=shares)
    means[3] += matrices.half_squares[:, None]
    means *= shares
    shifts = work.array("shifts", 4, partners, size)
    shifts[:3] = means[:3]
    multiply(matrices.partner_sums[:partners], drifting[FREE_COUNT:], shifts[3])
    shifts[3] *= shares
    return shares, means, shifts


_PRODUCTS = {
    "hh": (0, 0),
    "hc": (0, 1),
    "hs": (0, 2),
    "cc": (1, 1),
    "sc": (2, 1),
    "ss": (2, 2),
    "zh": (3, 0),
    "zc": (3, 1),
    "zs": (3, 2),
}
_DRIFTS = {"hi": 0, "ci": 1, "si": 2, "zi": 3}


def _covariances(
    sums: Floats, drifts: Floats, weighted: Floats, shifts: Floats, work: Workspace
) -> dict[str, Floats]:
    """Sum the products over free species and pairs, less those of the partners' means."""
    product = work.array("product", *weighted.shape[1:])
    moves = {}
    for place, (name, (row, column)) in enumerate(_PRODUCTS.items()):
        np.multiply(weighted[row], shifts[column], out=product)
        moves[name] = sums[4 + place] - np.add.reduce(product, axis=0)
    for name, row in _DRIFTS.items():
        np.multiply(weighted[row], shifts[3], out=product)
        moves[name] = drifts[row] - np.add.reduce(product, axis=0)
    return moves
