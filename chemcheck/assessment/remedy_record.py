"""A remedy for one sample, before and after it is judged for what it leads to."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


class Predicted(NamedTuple):
    """What a remedy leads to, of one analyte.

    Parameters
    ----------
    analyte : str
        Its key.
    lower, upper : float
        Ends of the level [canonical unit], without the method's uncertainty.
    verdict : str
        State of it by the limit set that judged the sample.
    u : float
        Standard uncertainty of a reading at that level, which the state counts with
        [canonical unit]; NaN where none is known.
    """

    analyte: str
    lower: float
    upper: float
    verdict: str
    u: float


@dataclass(frozen=True, slots=True)
class Draft:
    """A remedy that is not judged yet.

    Parameters
    ----------
    title : str
        What is done, in a few words.
    steps : tuple of str
        Sentences, in the order of doing.
    lower, upper : ndarray, shape (n_columns,)
        Ends of the levels it leads to, by column of readings; NaN where not known.
    litres : float
        Fluid that it takes, in systems [1]: what it costs is about in proportion.
    cautions : tuple of str
        Keys.
    needs : tuple of str
        What was not known.
    keeps_fill : bool
        Whether part of the old fill stays on purpose.
    held_back : str or None
        Why others come first, however cheap it is.
    refused : bool
        Whether that rules it out.
    """

    title: str
    steps: tuple[str, ...]
    lower: Floats
    upper: Floats
    litres: float
    cautions: tuple[str, ...]
    needs: tuple[str, ...]
    keeps_fill: bool = True
    held_back: str | None = None
    refused: bool = False


@dataclass(frozen=True, slots=True)
class Remedy:
    """What to do with one sample's system, and what that leads to.

    Parameters
    ----------
    title, steps, cautions, needs, held_back
        As in `Draft`.
    predicted : tuple of Predicted
        Of every analyte that a bound decides and the remedy's outcome is known of.
    verdict : str
        Of what it leads to: ``fit``, ``undecided`` or ``unfit``, by the same judging as
        the sample's own. Often undecided, because what does not mix in proportion, such as
        pH, has to be measured afterwards.
    feasible : bool
        Whether nothing that is known of the outcome is beyond a bound, and nothing rules
        it out.
    """

    title: str
    steps: tuple[str, ...]
    predicted: tuple[Predicted, ...]
    cautions: tuple[str, ...]
    needs: tuple[str, ...]
    verdict: str
    feasible: bool
    held_back: str | None = None
