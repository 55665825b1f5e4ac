"""What the distinct texts of a column of readings mean, and how they were measured."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.limit_library.records import Method
from chemcheck.readings.record import BLANK

# What a number counts: per volume; per mass, to be turned with the density of its sample;
# or ppm in coolant, which may be either.
PER_VOLUME, PER_MASS, EITHER = (np.int8(k) for k in range(3))


@dataclass(frozen=True, slots=True)
class Measured:
    """How the readings that are looked at were measured.

    Parameters
    ----------
    material : {"water", "coolant"}
        Of their samples.
    method : Method or None
        None where nobody says.
    lot_known : bool
        Whether the lot of their strips is known.
    not_by_refraction : bool
        Whether refractive index tells no glycol in them.
    """

    material: str
    method: Method | None = None
    lot_known: bool = False
    not_by_refraction: bool = False


@dataclass(slots=True)
class CellValues:
    """What each distinct text of a column means.

    Parameters
    ----------
    lower, upper : ndarray of float64, shape (n,)
        The ends [canonical unit]; NaN in both where there is no reading.
    status : ndarray of int8, shape (n,)
        ``READ``, ``BLANK`` or ``REJECTED``.
    counts : ndarray of int8, shape (n,)
        ``PER_VOLUME``, ``PER_MASS`` or ``EITHER``: of the last two the ends are still to
        be multiplied with a density [kg/L].
    problem, open, question : ndarray of int32, shape (n,)
        Position in the column's `Said`; -1 where there is nothing to say. An open choice
        is one that the user can settle for all such cells.
    """

    lower: npt.NDArray[np.float64]
    upper: npt.NDArray[np.float64]
    status: npt.NDArray[np.int8]
    counts: npt.NDArray[np.int8]
    problem: npt.NDArray[np.int32]
    open: npt.NDArray[np.int32]
    question: npt.NDArray[np.int32]

    @classmethod
    def blank(cls, size: int) -> "CellValues":
        """Begin with nothing read."""
        return cls(
            np.full(size, np.nan),
            np.full(size, np.nan),
            np.full(size, BLANK),
            np.full(size, PER_VOLUME),
            *(np.full(size, -1, dtype=np.int32) for _ in range(3)),
        )


class Said:
    """The distinct things said of a column's cells, by number."""

    def __init__(self) -> None:
        self.numbers: dict[str, int] = {}

    def number(self, text: str) -> int:
        """Return the number of a text."""
        return self.numbers.setdefault(text, len(self.numbers))

    @property
    def texts(self) -> list[str]:
        """All texts in the order of their numbers."""
        return list(self.numbers)
