"""How far a reading is widened before it is held against a bound."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class DecisionRule:
    """Widths in standard uncertainties of the method.

    Parameters
    ----------
    accept : float
        A reading is inside if it is so even when widened by this much.
    reject : float
        A reading is outside if it is so even when widened by this much.
    """

    accept: float
    reject: float


# 1.96 spans 95 % of a normal distribution on two sides, 1.645 on one.
DECISION_RULES: Mapping[str, DecisionRule] = MappingProxyType(
    {
        "overlap": DecisionRule(accept=1.96, reject=1.96),
        "simple": DecisionRule(accept=0.0, reject=0.0),
        "guarded": DecisionRule(accept=1.645, reject=0.0),
    }
)
"""Decision rules by name.

``overlap`` decides only where the whole 95 % interval lies on one side of the bound.
``simple`` is the simple acceptance of JCGM 106:2012, section 8.2: the method's uncertainty
is not used. ``guarded`` is its guarded acceptance, section 8.3.2: the bound for acceptance
is moved in by 1.645 u; a reading between the two bounds is not accepted, and as it does not
break the bound itself it is undecided here, not outside. The interval of the reading counts
under every rule. Section numbers from memory.
"""


@dataclass(frozen=True, slots=True)
class Cells:
    """One column of readings, or a stretch of it, with its uncertainty.

    Parameters
    ----------
    lower, upper : ndarray of float64, shape (n,)
        Ends of the readings; NaN where there is none.
    u_lower, u_upper : ndarray of float64, shape (n,)
        Standard uncertainty of the method at either end.
    missing : ndarray of bool, shape (n,)
        Where there is no reading.
    """

    lower: Floats
    upper: Floats
    u_lower: Floats
    u_upper: Floats
    missing: npt.NDArray[np.bool_]

    def widened(self, width: float) -> tuple[Floats, Floats]:
        """Return the ends moved apart by so many standard uncertainties."""
        if width == 0.0:
            return self.lower, self.upper
        return self.lower - width * self.u_lower, self.upper + width * self.u_upper


@dataclass(frozen=True, slots=True)
class FreshCells:
    """What bounds that are fractions of the fresh fill are fractions of.

    Parameters
    ----------
    lower, upper : Cells
        For lower and for upper bounds. They are one and the same where a single sample
        shows the fresh fill; a fleet's several references leave a range between them.
    """

    lower: Cells
    upper: Cells
