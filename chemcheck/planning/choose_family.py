"""Which family of lifetimes the data ask for, if they can tell."""

from dataclasses import dataclass

from numpy.typing import ArrayLike

from chemcheck.errors import NotEnoughDataError
from chemcheck.planning.fit_lifetime import fit_lifetime
from chemcheck.planning.lifetime import Lifetime
from chemcheck.planning.standard_forms import FAMILIES

# Families whose Akaike criterion differs by less are not told apart: Burnham, K. P. and
# Anderson, D. R. (2002), Model Selection and Multimodel Inference, section 2.6 (from memory).
CLOSE = 2.0


@dataclass(frozen=True, slots=True)
class FamilyChoice:
    """Families fitted to the same lifetimes.

    Parameters
    ----------
    lifetimes : tuple of Lifetime
        One fit a family, least Akaike criterion first.
    decided : bool
        Whether the first is told from every other.
    reason : str
        Why the first was chosen, or what the data cannot tell.
    """

    lifetimes: tuple[Lifetime, ...]
    decided: bool
    reason: str

    @property
    def lifetime(self) -> Lifetime:
        """The fit with the least Akaike criterion."""
        return self.lifetimes[0]

    @property
    def close(self) -> tuple[Lifetime, ...]:
        """Fits that the data cannot tell from the first, the first among them."""
        return tuple(life for life in self.lifetimes if life.aic - self.lifetime.aic < CLOSE)


def choose_family(
    lower: ArrayLike, upper: ArrayLike, weights: ArrayLike | None = None
) -> FamilyChoice:
    """Fit every family and choose by Akaike's criterion.

    Parameters
    ----------
    lower, upper, weights : array-like, shape (n,)
        Lifetimes as for `fit_lifetime`.

    Returns
    -------
    FamilyChoice
        All fits, best first, and whether the data can tell.

    Raises
    ------
    ValueError
        If an end or weight is not possible.
    NotEnoughDataError
        If no family can be fitted.

    Examples
    --------
    >>> choice = choose_family([120, 250, 400, 410, 700, 900], [130, 260, 410, 420, 720, 940])
    >>> choice.decided, choice.reason
    (False, 'the data cannot tell weibull from lognormal, exponential')
    """
    fitted, refused = [], []
    for family in FAMILIES:
        try:
            fitted.append(fit_lifetime(lower, upper, weights, family))
        except NotEnoughDataError as problem:
            refused.append(problem)
    if not fitted:
        raise refused[0]
    fitted.sort(key=lambda life: life.aic)
    best = fitted[0]
    close = [life.family for life in fitted[1:] if life.aic - best.aic < CLOSE]
    if close:
        reason = f"the data cannot tell {best.family} from {', '.join(close)}"
    elif len(fitted) == 1:
        reason = f"only {best.family} can be fitted: {refused[0]}"
    else:
        ahead = fitted[1].aic - best.aic
        reason = f"{best.family} is ahead of {fitted[1].family} by {ahead:.1f} in AIC"
    return FamilyChoice(tuple(fitted), not close and len(fitted) > 1, reason)
