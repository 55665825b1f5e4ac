"""The species as matrices, so that all sums of all waters come from a few matrix products.

The logarithm of a molality is linear in a few quantities of the water: the Debye-Hueckel term of
each ion size, the ionic strength, and the logarithms of the activities of water, H+, CO3-2 and
SO4-2. A row of ``weights`` holds a species' coefficients, and exp(ln K + row x quantities) is its
molality: for a free species outright, for an ion pair per molality of its free partner.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chemcheck.chemistry import species as sp
from chemcheck.chemistry.activity import LN10
from chemcheck.chemistry.constants import LogK, temperature_terms
from chemcheck.chemistry.species import Species

Floats = NDArray[np.floating]
FREE_COUNT = len(sp.FREE)
# Products below which OpenBLAS starts no further thread: 262,144 in its sources (memory).
_ONE_THREAD = 200_000


@dataclass(frozen=True, slots=True, eq=False)
class Matrices:
    """What the solver multiplies, in one precision.

    Parameters
    ----------
    sizes : numpy.ndarray, shape (k,)
        Distinct ion sizes [Angstrom].
    weights : numpy.ndarray, shape (species, k + 6)
        Coefficients of the k sizes, the Davies equation, the ionic strength, water, H+, CO3-2 and
        SO4-2.
    activity_weights : numpy.ndarray, shape (species, k + 2)
        The first columns of the weights: how molalities move with the activity terms.
    partner_weights : numpy.ndarray, shape (partners, k + 2)
        Rows that give the activity coefficients of the free partners.
    half_squares : numpy.ndarray, shape (partners,)
        Half the squared charge numbers of the free partners.
    features : numpy.ndarray, shape (4, species)
        What a mole of each species adds to the sums: h, c, s, the H+, CO3-2 and SO4-2 it takes
        up, and z, half its squared charge number.
    feature_products : numpy.ndarray, shape (14, species)
        h, c, s, z; hh, hc, hs, cc, sc, ss; zh, zc, zs; 1.
    partner_sums : numpy.ndarray, shape (5 partners, pairs)
        Sums over the pairs of each partner: of the pairs, then of the pairs times h, c, s and z.
    pair_partners : numpy.ndarray of int, shape (pairs,)
        Place of every pair's partner.
    """

    sizes: Floats
    weights: Floats
    activity_weights: Floats
    partner_weights: Floats
    half_squares: Floats
    features: Floats
    feature_products: Floats
    partner_sums: Floats
    pair_partners: NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Tableau:
    """The species of a set of waters.

    Parameters
    ----------
    partners : tuple of Species
        Free metals and acids that form pairs; calcium first.
    pairs : tuple of Species
        Ion pairs.
    """

    partners: tuple[Species, ...] = sp.PARTNERS
    pairs: tuple[Species, ...] = sp.PAIRS

    def without(self, names: Iterable[str]) -> "Tableau":
        """Return the same species without some ion pairs.

        Parameters
        ----------
        names : iterable of str
            Names of ion pairs, as in ``MgOH+``.

        Returns
        -------
        Tableau
            The smaller tableau.

        Raises
        ------
        KeyError
            If a name is no ion pair of the tableau.

        Examples
        --------
        >>> len(FULL.pairs), len(FULL.without(["MgOH+"]).pairs)
        (13, 12)
        """
        gone = set(names)
        for name in gone - {s.name for s in self.pairs}:
            raise KeyError(name)
        return Tableau(self.partners, tuple(s for s in self.pairs if s.name not in gone))

    @cached_property
    def without_silica(self) -> "Tableau":
        """The same species without silicic acid: waters without it need not carry it."""
        return Tableau(
            tuple(s for s in self.partners if s.partner != "silica"),
            tuple(s for s in self.pairs if s.partner != "silica"),
        )

    @cached_property
    def species(self) -> tuple[Species, ...]:
        """Free species, then ion pairs: the rows."""
        return sp.FREE + self.pairs

    @cached_property
    def double(self) -> Matrices:
        """The matrices in double precision."""
        every = self.species + self.partners
        sizes = np.array(sorted({s.size for s in every if s.size is not None and s.charge}))
        places = {p.partner: place for place, p in enumerate(self.partners)}
        pair_partners = np.array([places[s.partner] for s in self.pairs], dtype=np.intp)

        partner_weights = np.array([_activity_row(s, sizes) for s in self.partners])
        activity_weights = -np.array([_activity_row(s, sizes) for s in self.species])
        activity_weights[FREE_COUNT:] += partner_weights[pair_partners]
        taken = np.array(
            [[s.water, s.hydrogen, s.carbonate, s.sulfate] for s in self.species], dtype=np.float64
        )
        h, c, s, z = features = np.array(
            [
                [each.hydrogen, each.carbonate, each.sulfate, 0.5 * each.charge**2]
                for each in self.species
            ]
        ).T.copy()
        products = [h * h, h * c, h * s, c * c, c * s, s * s, z * h, z * c, z * s, np.ones_like(h)]
        members = np.zeros((len(self.partners), len(self.pairs)))
        members[pair_partners, np.arange(len(self.pairs))] = 1.0
        return Matrices(
            sizes=sizes,
            weights=np.hstack([activity_weights, taken]),
            activity_weights=activity_weights,
            partner_weights=partner_weights,
            half_squares=np.array([0.5 * p.charge**2 for p in self.partners]),
            features=features,
            feature_products=np.vstack([features, *products]),
            partner_sums=np.vstack([members, *(members * f[FREE_COUNT:] for f in features)]),
            pair_partners=pair_partners,
        )

    @cached_property
    def single(self) -> Matrices:
        """The matrices in single precision."""
        d = self.double
        return Matrices(
            d.sizes.astype(np.float32),
            d.weights.astype(np.float32),
            d.activity_weights.astype(np.float32),
            d.partner_weights.astype(np.float32),
            d.half_squares.astype(np.float32),
            d.features.astype(np.float32),
            d.feature_products.astype(np.float32),
            d.partner_sums.astype(np.float32),
            d.pair_partners,
        )

    def log_constants(self, temperature: ArrayLike) -> NDArray[np.float64]:
        """Natural logarithms of the formation constants.

        Parameters
        ----------
        temperature : float or array-like, shape (n,)
            [deg C].

        Returns
        -------
        numpy.ndarray, shape (species, n)
            ln K.
        """
        return natural_log_k([s.constant for s in self.species], temperature)


def _activity_row(s: Species, sizes: NDArray[np.float64]) -> NDArray[np.float64]:
    """Coefficients of the natural logarithm of a species' activity coefficient."""
    row = np.zeros(sizes.size + 2)
    if s.size is None:
        row[-2] = s.charge**2
        return row
    if s.charge:
        row[np.searchsorted(sizes, s.size)] = s.charge**2
    row[-1] = s.linear
    return row


def multiply(matrix: Floats, columns: Floats, out: Floats) -> Floats:
    """Multiply a small matrix with very many columns, a block of columns at a time.

    Parameters
    ----------
    matrix : numpy.ndarray, shape (m, k)
        The matrix.
    columns : numpy.ndarray, shape (k, n)
        What it multiplies.
    out : numpy.ndarray, shape (m, n)
        Where the product goes.

    Returns
    -------
    numpy.ndarray, shape (m, n)
        The product, `out` itself.

    Notes
    -----
    A block is small enough that the linear algebra library keeps to the thread that asks: handing
    so little work to others costs more than doing it, and far more on a machine that is busy.

    Examples
    --------
    >>> multiply(np.eye(2), np.ones((2, 3)), np.empty((2, 3))).tolist()
    [[1.0, 1.0, 1.0], [1.0, 1.0, 1.0]]
    """
    width = _ONE_THREAD // max(1, matrix.size)
    for first in range(0, columns.shape[1], width):
        block = slice(first, first + width)
        np.matmul(matrix, columns[:, block], out=out[:, block])
    return out


def natural_log_k(constants: Sequence[LogK], temperature: ArrayLike) -> NDArray[np.float64]:
    """Natural logarithms of several constants.

    Parameters
    ----------
    constants : sequence of LogK
        The constants.
    temperature : float or array-like, shape (n,)
        [deg C].

    Returns
    -------
    numpy.ndarray, shape (constants, n)
        ln K.
    """
    coefficients = np.array([constant.coefficients for constant in constants])
    logs: NDArray[np.float64] = LN10 * (coefficients @ temperature_terms(temperature))
    return logs


FULL = Tableau()
