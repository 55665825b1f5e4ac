"""How far two methods or laboratories may read apart before their readings are compared."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.limit_library import default_method, find_method, precision_of
from chemcheck.limit_library.records import Method
from chemcheck.limit_library.settings import check_settings

Floats = npt.NDArray[np.float64]

MATERIAL = "coolant"


@dataclass(frozen=True, slots=True)
class MethodLevel:
    """Who measured.

    Parameters
    ----------
    method, laboratory : str or None
        As the file has them; None where it does not say.
    """

    method: str | None
    laboratory: str | None

    @property
    def sort_key(self) -> tuple[str, str]:
        """Order of names, what is not stated last."""
        last = chr(0x10FFFF)
        return (self.method or last).casefold(), (self.laboratory or last).casefold()

    def known_method(self) -> Method:
        """Return the library's method, the usual laboratory's where the text names none."""
        found = None if self.method is None else find_method(self.method, MATERIAL)
        return found or default_method(MATERIAL)


@dataclass(frozen=True, slots=True)
class OffsetPrior:
    """What is known of offsets before any reading.

    Parameters
    ----------
    relative : bool
        Whether offsets are logarithms of factors; else they are in the analyte's unit.
    covariance : ndarray, shape (L, L)
        Of the offsets of levels 1 to L from the reference, each about nothing.
    """

    relative: bool
    covariance: Floats

    @property
    def deviation(self) -> Floats:
        """Standard deviation of each offset, shape (L,)."""
        return np.sqrt(np.diag(self.covariance))


def offset_prior(
    analyte: str,
    levels: Sequence[MethodLevel],
    level: npt.NDArray[np.int64],
    lower: Floats,
    upper: Floats,
) -> OffsetPrior:
    """Return how far levels may be from the first.

    Parameters
    ----------
    analyte : str
        A key of the vocabulary.
    levels : sequence of MethodLevel
        The reference first.
    level : ndarray of int64, shape (n,)
        Level of each reading.
    lower, upper : ndarray, shape (n,)
        Their ends, from which the size of readings and the steps of strips are taken.

    Returns
    -------
    OffsetPrior
        Factors, unless the laboratory's precision is stated in the analyte's unit alone or
        readings lie below nothing.

    Notes
    -----
    Each level, the reference too, is off by its own normal error with the part of its method's
    standard uncertainty that repeatability does not explain, so that the offsets of two levels
    share the reference's. A strip pad has no uncertainty but its step: its lot is taken to be off
    by a share of that.

    Examples
    --------
    >>> levels = [MethodLevel("ICP", "North"), MethodLevel("ICP", "South")]
    >>> read = np.full(4, 50.0)
    >>> prior = offset_prior("silicon", levels, np.array([0, 0, 1, 1]), read, read)
    >>> prior.relative, prior.deviation.round(3).tolist()
    (True, [0.034])
    """
    usual = precision_of(default_method(MATERIAL), analyte)
    below = bool((lower < 0.0).any())
    relative = not below and not (usual.absolute > 0.0 and usual.relative == 0.0)
    values = check_settings("method_offsets")
    middle = np.where(np.isfinite(upper), 0.5 * (lower + upper), lower)
    typical = float(np.median(np.abs(middle))) if middle.size else 0.0
    own = np.zeros(len(levels))
    for k, one in enumerate(levels):
        method = one.known_method()
        if analyte in method.steps:
            width = (upper - lower)[(level == k) & np.isfinite(upper)]
            if not width.size:
                pads = [step for step in method.steps[analyte]]
                width = np.diff(np.array(pads, dtype=np.float64))
            size = values["strip_share"].value * float(np.median(width))
        else:
            stated = precision_of(method, analyte)
            size = values["between_share"].value * np.hypot(
                stated.absolute, stated.relative * typical
            )
        own[k] = max(float(size), 1e-3 * typical or 1e-6)
    if relative and typical > 0.0:
        own /= typical
    return OffsetPrior(relative, np.diag(own[1:] ** 2) + own[0] ** 2)
