"""How well a way of naming causes does: the figures that ways are compared by."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tests.causes.simulated_faults.draw import NO_CAUSE, Cases
from tests.causes.simulated_faults.likelihood import ranks
from tests.causes.simulated_faults.ranges import Floats

PREVALENCES = (0.05, 0.1, 0.3)
THIRDS = ("lower", "middle", "upper")


@dataclass(frozen=True)
class Figures:
    """Recall of one way by one panel.

    Parameters
    ----------
    first, first_three : tuple of float
        Share of samples with one cause that have it first, or in the first three, by the third
        of its range that its strength lies in.
    either_first : float
        Share of samples with two causes where the first is one of them.
    both : float
        And where both are in the first three.
    """

    first: tuple[float, ...]
    first_three: tuple[float, ...]
    either_first: float
    both: float


@dataclass(frozen=True)
class Raised:
    """What a way raises.

    Parameters
    ----------
    clean : float
        Share of sound units without a raised cause.
    found : float
        Share of the causes at work that are raised.
    right : tuple of float
        Share of raised causes that are right, where 5, 10 and 30 % of units have a fault.
    """

    clean: float
    found: float
    right: tuple[float, ...]


def recall(score: Floats, cases: Cases) -> Figures:
    """Return how often true causes come first, or among the first three."""
    place = ranks(score, cases.causes)
    one = (cases.causes[:, 0] != NO_CAUSE) & (cases.causes[:, 1] == NO_CAUSE)
    two = cases.causes[:, 1] != NO_CAUSE
    third = np.digitize(cases.strengths[:, 0], [1 / 3, 2 / 3])
    each = [place[one & (third == k), 0] for k in range(3)]
    return Figures(
        tuple(float(np.mean(some == 1)) for some in each),
        tuple(float(np.mean(some <= 3)) for some in each),
        float(np.mean(place[two].min(axis=1) == 1)),
        float(np.mean(place[two].max(axis=1) <= 3)),
    )


def raising(raised: npt.NDArray[np.bool_], cases: Cases) -> Raised:
    """Return how far raised causes may be believed."""
    n = len(cases)
    true = np.zeros(raised.shape, dtype=bool)
    for place in range(2):
        rows = np.flatnonzero(cases.causes[:, place] != NO_CAUSE)
        true[rows, cases.causes[rows, place]] = True
    clean = cases.causes[:, 0] == NO_CAUSE
    right = (raised & true)[~clean].sum() / (n - clean.sum())
    wrong = (raised & ~true)[~clean].sum() / (n - clean.sum())
    false = raised[clean].sum() / clean.sum()
    return Raised(
        float(np.mean(~raised[clean].any(axis=1))),
        float((raised & true).sum() / true.sum()),
        tuple(
            float(share * right / max(share * (right + wrong) + (1 - share) * false, 1e-12))
            for share in PREVALENCES
        ),
    )
