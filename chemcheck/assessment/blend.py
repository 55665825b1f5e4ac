"""The answer on mixing waters: the cheapest mixture that will do, or why there is none."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from chemcheck.analytes import analyte as analyte_of
from chemcheck.assessment.blend_record import BlendAnswer, Blended, MixedWater
from chemcheck.assessment.blend_sources import Waters
from chemcheck.assessment.blended_water import PH, ROOM, blended_water
from chemcheck.assessment.check import Limits, check
from chemcheck.assessment.record import Assessment
from chemcheck.assessment.water_ends import estimated_solids, reading_ends
from chemcheck.errors import QuantityError, not_one_of
from chemcheck.judging.record import VERDICT_NAMES
from chemcheck.judging.water_analysis import water_analysis
from chemcheck.limit_library import choose, load_set
from chemcheck.limit_library.records import LimitSet
from chemcheck.remedies.deionised_water import deionised_water
from chemcheck.remedies.mixture import cheapest_mixture, stated_mixture
from chemcheck.remedies.water_blend import (
    LinearBound,
    left_out_words,
    linear_bounds,
    mixes_in_proportion,
)

Floats = npt.NDArray[np.float64]

_BY_PROPORTION = (
    "Amounts mix in proportion, volumes taken as additive; conductivity does so only nearly: a "
    "mixture conducts some percent more than reckoned."
)
_PH_ASSUMED = (
    "The pH of the mixture is that of the carbonate equilibrium at 25 deg C, from mixed without "
    "air to standing open to it; no carbonate drops out."
)
_ASSUMED_WATER = "Deionised water is assumed as in the library, not measured: measure yours."
_INPUT_NAMES = {"ph": "pH"}
# Shares in whole percent may miss the whole by so much through rounding.
_WHOLE = 0.0051
_CAUTIONS = ("pure_water", "maker_and_local_rules")


@dataclass(frozen=True, slots=True)
class _Ends:
    """What waters hold of each bound's quantity, at one width of the readings."""

    lower: Floats
    upper: Floats


def blend(
    waters: Waters,
    limits: Limits | Sequence[Limits] | None = None,
    *,
    rule: str = "overlap",
    shares: Mapping[str, float] | None = None,
) -> BlendAnswer:
    """Find the cheapest mixture of waters that meets every bound, and judge it.

    Parameters
    ----------
    waters : Waters
        From `read_waters`.
    limits : str, Path, LimitSet or sequence of them, optional
        Sets for water; the mixture has to meet all of them. By default the set for fill water.
    rule : {"overlap", "simple", "guarded"}
        How uncertainty counts for the verdict of the mixture.
    shares : mapping of str to float, optional
        A mixture to judge besides: the share of each source by its name, sum 1 [1].

    Returns
    -------
    BlendAnswer
        With what was assumed.

    Raises
    ------
    QuantityError
        If a source has no reading of what a set cannot do without, a set is not for water, or
        shares name no source or do not make up a whole.
    LimitFileError
        If a limit set cannot be used.

    Examples
    --------
    >>> from chemcheck.assessment.blend_sources import read_waters
    >>> from chemcheck.remedies.source_text import read_source
    >>> tap = "tap=pH=7.6; hardness=310 mg/L; chloride=85; sulfate=120; TDS=520:0.002"
    >>> answer = blend(read_waters([read_source(one, "") for one in (tap, "deionised:0.5")]))
    >>> round(answer.tap_share_max, 3), answer.tap_controlled_by.key
    (0.464, 'chloride')
    """
    sets = _sets(limits)
    alone = check(waters.readings, sets, rule=rule)
    bounds, left_out = _bounds(waters, alone, sets)
    given = all(source.cost is not None for source in waters.sources)
    deionised = np.array([source.is_deionised for source in waters.sources])
    costs = deionised.astype(float)
    if given:
        costs = np.array([source.cost for source in waters.sources], dtype=float)
    values = np.array([bound.value for bound in bounds])
    sides = tuple(bound.side for bound in bounds)
    reported, widened = (_ends(waters, alone, bounds, width) for width in (0.0, ROOM))
    found = cheapest_mixture(reported.lower, reported.upper, values, sides, costs)
    roomy = cheapest_mixture(widened.lower, widened.upper, values, sides, costs)
    least = cheapest_mixture(reported.lower, reported.upper, values, sides, deionised.astype(float))
    stated = None
    if shares is not None:
        asked = stated_mixture(
            _in_order(waters, shares), reported.lower, reported.upper, values, sides, costs
        )
        stated = blended_water(waters, alone, asked, sets, rule)
    cheapest = blended_water(waters, alone, found, sets, rule)
    with_room = blended_water(waters, alone, roomy, sets, rule) if roomy.possible else None
    return BlendAnswer(
        waters=tuple(_waters(waters, alone, costs)),
        limit_sets=sets,
        rule=rule,
        bounds=bounds,
        cheapest=cheapest,
        with_room=with_room if found.possible else None,
        stated=stated,
        tap_share_max=float(least.shares[~deionised].sum()) if least.possible else np.nan,
        tap_controlled_by=(
            bounds[least.controlled_by[0]] if least.possible and least.controlled_by else None
        ),
        deionised_would_do=not found.possible and not any(waters.pure) and _meets(bounds),
        costs_given=given,
        left_out=_still_open(left_out, cheapest),
        assumptions=tuple(_assumptions(waters, alone, given, cheapest)),
        questions=tuple(_questions(waters, cheapest)),
        cautions=tuple(dict.fromkeys((*alone.cautions, *_CAUTIONS))),
    )


def _in_order(waters: Waters, shares: Mapping[str, float]) -> Floats:
    """Return stated shares in the order of the sources; one that is not named has none."""
    names = [source.name for source in waters.sources]
    for name in shares:
        if name not in names:
            raise QuantityError(not_one_of(name, names, "source"))
    found = np.array([shares.get(name, 0.0) for name in names])
    if abs(found.sum() - 1.0) > _WHOLE:
        message = f"the shares make up {100 * found.sum():.4g} %, not 100 %"
        raise QuantityError(message)
    return np.asarray(found / found.sum())


def _sets(limits: Limits | Sequence[Limits] | None) -> tuple[LimitSet, ...]:
    if limits is None:
        default = choose("water")
        assert default is not None  # there is always one for water
        return (default,)
    named = list(limits) if isinstance(limits, list | tuple) else [limits]
    sets = tuple(one if isinstance(one, LimitSet) else load_set(one) for one in named)  # type: ignore[arg-type]  # a sequence was laid out above
    for one in sets:
        if one.material != "water":
            message = f"the limit set {one.id} is for {one.material}, not for water"
            raise QuantityError(message)
    return sets


class _Mixing:
    """The analytes that mix in proportion, as a container."""

    def __contains__(self, key: object) -> bool:
        return isinstance(key, str) and mixes_in_proportion(key)


def _bounds(
    waters: Waters, alone: Assessment, sets: Sequence[LimitSet]
) -> tuple[tuple[LinearBound, ...], tuple[str, ...]]:
    """Return the bounds that every source has readings for, and say what is left out."""
    found: list[LinearBound] = []
    left_out: dict[str, None] = {}
    every = np.arange(len(waters.sources))
    ends = reading_ends(alone.headline, estimated_solids(alone.readings), every, 0.0)
    for limit_set in sets:
        bounds, others = linear_bounds(limit_set, _Mixing())
        left_out |= dict.fromkeys(others)
        for bound in bounds:
            unread = [
                (int(k), key)
                for key, basis, _ in bound.terms
                for k in np.flatnonzero(np.isnan(ends(key, basis)[0]))
            ]
            if not unread:
                found.append(bound)
                continue
            place, key = unread[0]
            name, title = waters.sources[place].name, analyte_of(key).title
            if bound.essential:
                message = (
                    f"source {name!r} has no reading of {title}, which {limit_set.id} cannot do "
                    f"without: add it, as in '{key}=...'"
                )
                raise QuantityError(message)
            left_out[f"{bound.title} is not reckoned: source {name} has no reading of it"] = None
    # Two sets may say the same of one quantity.
    once = {(one.key, one.terms, one.side, one.value): one for one in found}
    return tuple(once.values()), tuple(left_out)


def _meets(bounds: Sequence[LinearBound]) -> bool:
    """Say whether deionised water, as it is assumed, meets every bound by itself."""
    assumed = deionised_water()
    for bound in bounds:
        if any(key not in assumed for key, _, _ in bound.terms):
            return False
        low, high = (
            sum(factor * getattr(assumed[key], end) for key, _, factor in bound.terms)
            for end in ("lower", "upper")
        )
        if high > bound.value if bound.side == "upper" else low < bound.value:
            return False
    return True


def _still_open(left_out: tuple[str, ...], cheapest: Blended | None) -> tuple[str, ...]:
    """Take pH out of what is left out, where it was reckoned."""
    if cheapest is None or PH not in cheapest.held:
        return left_out
    return tuple(line for line in left_out if line != left_out_words("ph"))


def _ends(waters: Waters, alone: Assessment, bounds: Sequence[LinearBound], width: float) -> _Ends:
    """Return the ends of each bound's quantity, shape (n_waters, n_bounds)."""
    n = len(waters.sources)
    estimated, every = estimated_solids(alone.readings), np.arange(n)
    widened = reading_ends(alone.headline, estimated, every, width)
    reported = reading_ends(alone.headline, estimated, every, 0.0)
    # What is assumed of deionised water is an allowance already.
    assumed = np.array(waters.samples) == 0
    lower, upper = np.zeros((2, n, len(bounds)))
    for place, bound in enumerate(bounds):
        for key, basis, factor in bound.terms:
            ends = zip(reported(key, basis), widened(key, basis), strict=True)
            low, high = (np.where(assumed, plain, wide) for plain, wide in ends)
            lower[:, place] += factor * low
            upper[:, place] += factor * high
    return _Ends(lower, upper)


def _waters(waters: Waters, alone: Assessment, costs: Floats) -> Iterator[MixedWater]:
    verdicts = alone.headline.verdict
    for k, source in enumerate(waters.sources):
        origin = source.file or ("values given" if source.values else "assumed")
        yield MixedWater(
            name=source.name,
            origin=origin,
            cost=float(costs[k]),
            is_deionised=source.is_deionised,
            samples=waters.samples[k],
            verdict=VERDICT_NAMES[verdicts[k]],
        )


def _assumptions(
    waters: Waters, alone: Assessment, costs_given: bool, cheapest: Blended | None
) -> Iterator[str]:
    yield from alone.assumptions
    yield from waters.assumptions
    yield _BY_PROPORTION
    if any(source.is_assumed for source in waters.sources):
        yield _ASSUMED_WATER
    if not costs_given:
        yield (
            "No costs were given: the least deionised water is sought."
            if any(source.is_deionised for source in waters.sources)
            else "No costs were given: the mixture farthest from its nearest bound is sought."
        )
    if cheapest is None or np.isnan(cheapest.ph.ends[0]):
        return
    yield _PH_ASSUMED
    used = cheapest.mixture.shares > 0.0
    for (name, how), where in water_analysis(
        waters.readings, np.arange(len(waters.sources))
    ).assumed.items():
        sources = [waters.sources[k].name for k in np.flatnonzero(where & used)]
        if sources:
            yield f"For the pH {name} of {' and '.join(sources)} is {how}: it was not read."


def _questions(waters: Waters, cheapest: Blended | None) -> Iterator[str]:
    if cheapest is None:
        return
    names = [source.name for source in waters.sources]
    if cheapest.ph.missing:
        # Without a pH nothing is known of a water's carbonate, and one line says so.
        firsts = dict(reversed(cheapest.ph.missing))
        told = " and ".join(
            f"{_INPUT_NAMES.get(key, key)} of {names[k]}" for k, key in sorted(firsts.items())
        )
        yield (
            f"The pH of the mixture cannot be reckoned without a usable {told}: measure it in the "
            "mixture."
        )
    for name in sorted({names[place] for place, _ in cheapest.mixture.barred}):
        yield (
            f"{name} is left out, because a reading of it has no upper end: dilute it and read it "
            "again."
        )
