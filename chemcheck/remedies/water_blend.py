"""A limit set's bounds as limits on the share of tap water, for whole columns of waters."""

from collections.abc import Callable, Container, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import analyte as analyte_of
from chemcheck.limit_library.records import Combination, Comparison, LimitSet, Rule, Side
from chemcheck.remedies.deionised_share import TapShare, blend, tap_share
from chemcheck.remedies.deionised_water import AssumedValue

Column = npt.NDArray[np.float64]
# Amounts of which a litre of each water brings its share. Carbonate and bicarbonate turn into each
# other, and bacteria grow.
_DIMENSIONS = frozenset({"mass concentration", "as calcium carbonate", "conductivity"})
_TURN = frozenset({"bicarbonate", "carbonate", "p_alkalinity", "density", "sulfide"})

# The ends of an analyte's readings on a basis (None: on any), shape (n_waters,).
ReadingOf = Callable[[str, str | None], tuple[Column, Column]]


@dataclass(frozen=True, slots=True)
class LinearBound:
    """A bound on a quantity that mixes in proportion.

    Parameters
    ----------
    key : str
        The analyte's key, or the rule's id.
    title : str
        The words a person reads.
    terms : tuple of (str, str or None, float)
        Analyte, basis and factor of what is summed; one term of factor 1 for an analyte.
    side : {"lower", "upper"}
        As in the set.
    value : float
        The bound [unit].
    unit : str
        Of the value.
    essential : bool
        Whether the set cannot do without one of its terms.
    """

    key: str
    title: str
    terms: tuple[tuple[str, str | None, float], ...]
    side: Side
    value: float
    unit: str
    essential: bool


@dataclass(frozen=True, slots=True)
class WaterBlend:
    """What deionised water can do for waters against one limit set.

    Parameters
    ----------
    bounds : tuple of LinearBound
        The action bounds that limit the share.
    left_out : tuple of str
        Bounds that cannot: what, and why.
    share : TapShare
        The admissible shares by the readings as reported.
    known : ndarray of bool, shape (n_waters,)
        Whether every essential that mixes in proportion was read; without one no share
        can be promised.
    analytes : tuple of str
        What is known of tap and deionised water both.
    lower, upper : ndarray, shape (n_waters, n_analytes)
        The ends of the blend with the largest admissible share [canonical units]; NaN
        where there is none.
    """

    bounds: tuple[LinearBound, ...]
    left_out: tuple[str, ...]
    share: TapShare
    known: npt.NDArray[np.bool_]
    analytes: tuple[str, ...]
    lower: Column
    upper: Column


def blend_with_deionised(
    limit_set: LimitSet,
    deionised: Mapping[str, AssumedValue],
    reading_of: ReadingOf,
    n_waters: int,
) -> WaterBlend:
    """Return how much of each water may stay when deionised water makes up the rest.

    Parameters
    ----------
    limit_set : LimitSet
        What the blend has to meet: its action bounds, and its action rules on sums.
    deionised : mapping of str to AssumedValue
        The deionised water.
    reading_of : callable
        Gives the ends of an analyte's readings on a basis.
    n_waters : int
        How many waters there are.

    Returns
    -------
    WaterBlend
        The shares, what controls them and what the blend holds.
    """
    bounds, left_out = linear_bounds(limit_set, deionised)
    lower, upper = np.zeros((2, n_waters, len(bounds)))
    pure = np.zeros((2, len(bounds)))
    for place, bound in enumerate(bounds):
        for key, basis, factor in bound.terms:
            ends = reading_of(key, basis)
            lower[:, place] += factor * ends[0]
            upper[:, place] += factor * ends[1]
            pure[:, place] += factor * np.array([deionised[key].lower, deionised[key].upper])
    values = np.array([bound.value for bound in bounds])
    share = tap_share(lower, upper, pure, values, tuple(bound.side for bound in bounds))
    essential = np.array([bound.essential for bound in bounds], dtype=bool)
    analytes = tuple(dict.fromkeys(key for bound in bounds for key, _, _ in bound.terms))
    tap = [reading_of(key, None) for key in analytes]
    blended = [
        _blended([pair[end] for pair in tap], [_end(deionised[key], end) for key in analytes],
                 share.largest)
        for end in (0, 1)
    ]  # fmt: skip
    return WaterBlend(
        bounds=bounds,
        left_out=left_out,
        share=share,
        known=~(share.unread & essential).any(axis=1),
        analytes=analytes,
        lower=blended[0],
        upper=blended[1],
    )


def mixes_in_proportion(key: str) -> bool:
    """Say whether a mixture holds the shares of what its waters hold of an analyte.

    Examples
    --------
    >>> mixes_in_proportion("chloride"), mixes_in_proportion("ph")
    (True, False)
    """
    return analyte_of(key).dimension in _DIMENSIONS and key not in _TURN


def linear_bounds(
    limit_set: LimitSet, deionised: Container[str]
) -> tuple[tuple[LinearBound, ...], tuple[str, ...]]:
    """Return a set's action bounds that mix in proportion, and what is left out and why.

    Parameters
    ----------
    limit_set : LimitSet
        Any set.
    deionised : container of str
        Analytes known of the deionised water, or of all waters; one that is not in it does not
        mix in proportion, or nobody knows how much of it they have.

    Returns
    -------
    bounds : tuple of LinearBound
        In the order of the set.
    left_out : tuple of str
        What, and why.
    """
    bounds: list[LinearBound] = []
    left_out: dict[str, str] = {}
    for limit in limit_set.limits:
        known = analyte_of(limit.analyte)
        for bound in limit.bounds:
            if bound.kind != "action":
                continue
            if bound.of_fresh or limit.analyte not in deionised:
                left_out[limit.analyte] = left_out_words(limit.analyte)
                continue
            bounds.append(
                LinearBound(
                    key=limit.analyte,
                    title=known.title,
                    terms=((limit.analyte, limit.basis, 1.0),),
                    side=bound.side,
                    value=bound.value,
                    unit=known.unit,
                    essential=limit.analyte in limit_set.essential,
                )
            )
    for rule in limit_set.rules:
        if rule.kind != "action":
            continue
        sums = list(_sums(rule.requirement))
        if all(_mixes(one, deionised) for one in sums):
            bounds.extend(_of_rule(rule, one, limit_set) for one in sums if one is not None)
        else:
            left_out[rule.id] = f"{rule.title} does not mix in proportion"
    return tuple(bounds), tuple(left_out.values())


def _sums(requirement: Comparison | Combination) -> Iterator[Comparison | None]:
    """Give the sums that must all hold; None for what is no sum."""
    if isinstance(requirement, Comparison):
        yield requirement if requirement.kind == "sum" else None
    elif requirement.kind == "all_of":
        for part in requirement.parts:
            yield from _sums(part)
    else:
        yield None


def _mixes(one: Comparison | None, deionised: Container[str]) -> bool:
    return one is not None and all(key in deionised for key, _ in one.terms)


def _of_rule(rule: Rule, one: Comparison, limit_set: LimitSet) -> LinearBound:
    return LinearBound(
        key=rule.id,
        title=rule.title,
        terms=tuple((key, None, factor) for key, factor in one.terms),
        side=one.side,
        value=one.value,
        unit=one.unit,
        essential=any(key in limit_set.essential for key, _ in one.terms),
    )


def left_out_words(key: str) -> str:
    """Say why a bound of an analyte does not limit a share."""
    title = analyte_of(key).title
    if key == "ph":
        return "pH does not mix in proportion: measure it in the blend"
    return f"{title} is not reckoned: nothing is assumed of it in deionised water"


def _end(value: AssumedValue, end: int) -> float:
    return value.upper if end else value.lower


def _blended(tap: list[Column], pure: list[float], share: Column) -> Column:
    if not tap:
        return np.empty((len(share), 0))
    return blend(np.column_stack(tap), np.array(pure), share)
