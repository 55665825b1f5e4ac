"""What judging says: a state for every result, a verdict for every sample, as whole columns."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from chemcheck.limit_library.records import Evidence, Kind, LimitSet, Side
from chemcheck.readings.record import Readings

# States of one result. NO_RESULT is a blank, absent or rejected cell.
NO_RESULT, INSIDE, WARNING, UNDECIDED, OUTSIDE, NOT_JUDGED = (np.int8(k) for k in range(-1, 5))
STATE_NAMES = ("inside", "warning", "undecided", "outside", "not judged")

FIT, NOT_DECIDED, UNFIT = (np.int8(k) for k in range(3))
VERDICT_NAMES = ("fit", "undecided", "unfit")

RULES = ("overlap", "simple", "guarded")


@dataclass(frozen=True, slots=True)
class Quantity:
    """What one column of states judges: a column of readings, or a rule of a set.

    Parameters
    ----------
    key : str
        The analyte's key, or the rule's id.
    title, unit : str
        The words and unit a person reads.
    basis : str or None
        As in the readings.
    column : int or None
        Its column in the readings; None for a rule.
    """

    key: str
    title: str
    unit: str
    basis: str | None
    column: int | None


@dataclass(frozen=True, slots=True)
class BoundInForce:
    """A bound, rule or condition as it was applied, for one set and quantity.

    Parameters
    ----------
    limit_set : str
        The set's id.
    quantity : int
        Position among the quantities.
    side : {"lower", "upper"} or None
        As in the set; None for a condition and for a rule of several comparisons.
    kind : {"action", "warning", "condition"}
        As in the set; a condition is what keeps a limit from deciding, or a sample or
        result from being relied on.
    value : float
        The number or the fraction of fresh [canonical unit or 1]; NaN where there is no
        side.
    of_fresh : bool
        Whether each sample's own bound is ``value`` times its fresh fill.
    consequence, source, evidence : as in the set
        Shown with the result.
    """

    limit_set: str
    quantity: int
    side: Side | None
    kind: Kind | Literal["condition"]
    value: float
    of_fresh: bool
    consequence: str
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Judged:
    """All samples judged by one choice of limit sets.

    Parameters
    ----------
    readings : Readings
        What was judged.
    name : str
        The choice, as the user would name it: a set's id, or ``by technology``.
    rule : {"overlap", "simple", "guarded"}
        The decision rule.
    sets : tuple of LimitSet
        The sets in use.
    set_of_sample : ndarray of int16, shape (n_samples,)
        Position in ``sets``; -1 where no set applies (the sample is not judged).
    quantities : tuple of Quantity
        The columns of readings in their order, then the rules of all sets.
    state : ndarray of int8, shape (n_samples, n_quantities), Fortran order
        ``NO_RESULT`` to ``NOT_JUDGED``.
    bounds : tuple of BoundInForce
        Every bound and rule of the sets in use that has a quantity here.
    decisive : ndarray of int16, shape (n_samples, n_quantities), Fortran order
        Position in ``bounds`` of what decided the state: the bound that is or may be
        broken, the nearest bound where inside, the condition that keeps the limit from
        deciding, or the bound that is a fraction of an unknown fresh fill; -1 where there
        is no result or no limit.
    bound_value : ndarray of float64, shape (n_samples, n_quantities) or None
        The number of the decisive bound for each sample where any bound is a fraction
        of the fresh fill; None where ``bounds[decisive].value`` says it all.
    uncertainty : ndarray of float32, shape (n_samples, n_quantities), Fortran order
        Standard uncertainty of the method at the upper end, at the lower where the upper
        is open [canonical unit]; NaN where there is no reading, and for rules.
    verdict : ndarray of int8, shape (n_samples,)
        ``FIT``, ``NOT_DECIDED`` or ``UNFIT``.
    missing_essential : ndarray of bool, shape (n_samples,)
        Whether an essential of the sample's set is missing, rejected or not judged.
    undecided_share : mapping of str to float
        By decision rule, the share of samples it leaves undecided.
    withheld : ndarray of int16, shape (n_samples,) or None
        Position in ``bounds`` of what keeps a whole sample from being decided, such as
        where it was taken; -1 where nothing does; None where no sample is kept.
    """

    readings: Readings
    name: str
    rule: str
    sets: tuple[LimitSet, ...]
    set_of_sample: npt.NDArray[np.int16]
    quantities: tuple[Quantity, ...]
    state: npt.NDArray[np.int8]
    bounds: tuple[BoundInForce, ...]
    decisive: npt.NDArray[np.int16]
    bound_value: npt.NDArray[np.float64] | None
    uncertainty: npt.NDArray[np.float32]
    verdict: npt.NDArray[np.int8]
    missing_essential: npt.NDArray[np.bool_]
    undecided_share: Mapping[str, float]
    withheld: npt.NDArray[np.int16] | None = None
