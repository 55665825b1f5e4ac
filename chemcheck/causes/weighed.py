"""Some samples weighed and ranked, for whoever says something of them."""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from chemcheck.causes.evidence import evidence
from chemcheck.causes.plan import Plan
from chemcheck.causes.quantities import Quantities
from chemcheck.causes.ranking import Ranking, rank

Singles = npt.NDArray[np.float32]


class WeighedSamples(NamedTuple):
    """Evidence and ranking of some samples.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    rows : ndarray of int, shape (n,)
        Positions of these.
    quantities : Quantities
        What features look at in them.
    found : ndarray of float32, shape (n_features, n)
        Evidence of each feature.
    ranking : Ranking
        Their causes.
    """

    plan: Plan
    rows: npt.NDArray[np.intp]
    quantities: Quantities
    found: Singles
    ranking: Ranking


def weigh(plan: Plan, rows: npt.NDArray[np.intp]) -> WeighedSamples:
    """Weigh and rank some samples, by what was weighed of them beforehand if all of them were.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    rows : ndarray of int, shape (n,)
        Positions of some.
    """
    known = [plan.weighed.get(row) for row in rows.tolist()]
    ready = [each for each in known if each is not None]
    found = np.stack(ready, axis=1) if ready and len(ready) == len(rows) else evidence(plan, rows)
    return WeighedSamples(plan, rows, Quantities(plan, rows), found, rank(plan, found.copy(), rows))
