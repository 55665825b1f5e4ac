"""Evidence in words, for samples that are told of."""

from collections.abc import Iterable, Iterator

import numpy as np

from chemcheck.analytes import vocabulary
from chemcheck.causes.derived import derived_move
from chemcheck.causes.evidence import tap_water_ratio
from chemcheck.causes.plan import NEEDS, UNKNOWN, Plan, read_of
from chemcheck.causes.quantities import Move, Quantities
from chemcheck.causes.record import Hypothesis
from chemcheck.causes.weighed import WeighedSamples
from chemcheck.limit_library.cause_records import DERIVED, Feature
from chemcheck.limit_library.explain_cause import expected_words

# Evidence smaller than this is not told [log10].
_LEAST_TOLD = 0.05


def hypotheses(weighed: WeighedSamples) -> Iterator[tuple[Hypothesis, ...]]:
    """Yield the causes of each of some samples in words.

    Parameters
    ----------
    weighed : WeighedSamples
        The samples.
    """
    ranking = weighed.ranking
    for i in range(len(weighed.rows)):
        causes = [c for c in ranking.order[:, i].tolist() if c >= 0]
        yield tuple(
            _hypothesis(weighed, i, c, raised=place < ranking.raised[i])
            for place, c in enumerate(causes)
        )


def _hypothesis(weighed: WeighedSamples, i: int, c: int, *, raised: bool) -> Hypothesis:
    plan, quantities, found = weighed.plan, weighed.quantities, weighed.found
    row = int(weighed.rows[i])
    cause, where = plan.causes[c], plan.of_cause[c]
    speaks_for, speaks_against = [], []
    for k in range(where.start, where.stop):
        said = float(found[k, i])
        if said > _LEAST_TOLD:
            speaks_for.append((-said, _said(plan.features[k], quantities, i)))
        elif said < -_LEAST_TOLD:
            speaks_against.append((said, _said(plan.features[k], quantities, i)))
    missing, least, most = what_is_missing(unread(plan, quantities, c, row, i))
    weight = float(found[where, i].sum())
    return Hypothesis(
        cause=cause.key,
        title=cause.title,
        weight_of_evidence=round(weight, 2),
        evidence_for=tuple(text for _, text in sorted(speaks_for)),
        evidence_against=tuple(text for _, text in sorted(speaks_against)),
        missing=missing,
        least=round(weight - least, 2),
        most=round(weight + most, 2),
        raised=bool(raised),
        confirm_by=cause.confirm_by,
        remedy=cause.remedy,
        cautions=cause.cautions,
        looks_like=cause.looks_like,
        source=cause.source,
        evidence=cause.evidence,
    )


def was_read(plan: Plan, quantities: Quantities, k: int, i: int) -> bool:
    """Return whether a feature's reading is there in one sample of a stretch."""
    feature = plan.features[k]
    if feature.of in DERIVED:
        return any(
            derived_move(quantities, feature.of, held).low[i] > -UNKNOWN
            for held in quantities.held(feature)
        )
    keys = read_of(feature)
    if feature.of_tap_water and not all(_is_known(quantities.tap_water(key), i) for key in keys):
        return False
    of_water_alone = feature.of_tap_water and feature.look == "level"
    return of_water_alone or all(_is_known(quantities.level(key), i) for key in keys)


def _is_known(level: Move, i: int) -> bool:
    return bool(level.low[i] > -UNKNOWN)


def unread(plan: Plan, quantities: Quantities, c: int, row: int, i: int = 0) -> Iterator[Feature]:
    """Yield the features of a cause that nobody read in one sample of a stretch.

    Parameters
    ----------
    plan : Plan
        Of all samples.
    quantities : Quantities
        Of the stretch.
    c : int
        Position of the cause.
    row, i : int
        Position of the sample among all, and in the stretch.

    Yields
    ------
    Feature
        Not those of other technologies, nor those that see what another one read.
    """
    where = plan.of_cause[c]
    read = [
        plan.features[k] for k in range(where.start, where.stop) if was_read(plan, quantities, k, i)
    ]
    seen = {feature.once for feature in read if feature.once}
    code = int(plan.references.technology[row])
    technology = plan.references.technologies[code] if code >= 0 else None
    for feature in plan.causes[c].features:
        elsewhere = bool(feature.technologies) and technology not in feature.technologies
        if not (elsewhere or feature.once in seen or any(feature is one for one in read)):
            yield feature


def what_is_missing(features: Iterable[Feature]) -> tuple[tuple[str, ...], float, float]:
    """Name what nobody read, and say how much it could say against a cause and for it."""
    names: dict[str, None] = {}
    against: dict[str, float] = {}
    weight: dict[str, float] = {}
    for k, feature in enumerate(features):
        names[_needs(feature)] = None
        group = feature.once or str(k)
        against[group] = max(against.get(group, 0.0), feature.against)
        weight[group] = max(weight.get(group, 0.0), feature.weight)
    return tuple(names), sum(against.values()), sum(weight.values())


def _needs(feature: Feature) -> str:
    """Name what has to be read for a feature."""
    if feature.of in NEEDS:
        groups = (" or ".join(_title(key) for key in group) for group in NEEDS[feature.of])
        return " and ".join(groups)
    if feature.of in DERIVED:
        return DERIVED[feature.of][0]
    names = " and ".join(_title(key) for key in read_of(feature))
    return f"{names} of the tap water" if feature.of_tap_water else names


def _title(analyte: str) -> str:
    return vocabulary()[analyte].title


def _said(feature: Feature, quantities: Quantities, i: int) -> str:
    """Say what was read, beside what the cause does."""
    expected = expected_words(feature)
    if feature.of in DERIVED:
        held = _telling(feature, quantities, i)
        low, high = (float(end[i]) for end in derived_move(quantities, feature.of, held)[:2])
        if feature.of == "common_factor":
            # An end that is not known lies as far off as a number can.
            with np.errstate(over="ignore"):
                low, high = float(np.exp(low)), float(np.exp(high))
        return f"{DERIVED[feature.of][0]} {_span(low, high)}; {expected}"
    if feature.of_tap_water:
        return _of_tap_water_said(feature, quantities, i, expected)
    known = vocabulary()[feature.of]
    here = np.asarray(quantities.rows)[i : i + 1]
    low, high = (float(end[0]) for end in quantities.raw(feature.of, here))
    if known.words:
        return f"{known.title}: {known.words[round(low)][0]}; {expected}"
    unit = "" if known.unit in ("pH", "1") else f" {known.unit}"
    if feature.look == "level":
        return f"{known.title} {_span(low, high)}{unit}; {expected}"
    if feature.look == "ratio":
        return _ratio_said(feature, quantities, i, expected)
    held = _telling(feature, quantities, i)
    ref_low, ref_high, is_reading = quantities.reference(feature.of, held)
    return (
        f"{known.title} {_span(low, high)}{unit}, {_reference_name(held, bool(is_reading[i]))} "
        f"{_span(float(ref_low[i]), float(ref_high[i]))}{unit}; {expected}"
    )


def _telling(feature: Feature, quantities: Quantities, i: int) -> str:
    """Return what a feature is held against in one sample: whatever it is further from."""

    def apart(held: str) -> float:
        if feature.of in DERIVED:
            move = derived_move(quantities, feature.of, held)
        elif feature.look == "ratio":
            move = quantities.change(feature.to or feature.of, "rise", held)
        else:
            move = quantities.of(feature, held)
        low, high = float(move.low[i]), float(move.high[i])
        return low if feature.up else -high

    several = quantities.held(feature)
    if len(several) == 1 or not quantities.since[i]:
        return several[0]
    return max(several, key=apart)


def _of_tap_water_said(feature: Feature, quantities: Quantities, i: int, expected: str) -> str:
    """Say what was read beside the tap water, or of it."""
    water = quantities.tap_water(feature.of)
    unit = f" {vocabulary()[feature.of].unit}"
    of_it = f"{_span(float(water.low[i]), float(water.high[i]))}{unit}"
    if feature.look == "level":
        return f"{_title(feature.of)} of the tap water {of_it}; {expected}"
    if feature.to is not None:
        low, high, _ = tap_water_ratio(feature, quantities)
        own = _span(float(low[i]), float(high[i]))
        return _ratio_said(feature, quantities, i, f"that of the tap water is {own}")
    low, high, _ = quantities.level(feature.of)
    read = _span(float(low[i]), float(high[i]))
    return f"{_title(feature.of)} {read}{unit}, the tap water {of_it}; {expected}"


def _reference_name(held: str, is_reading: bool) -> str:
    if not is_reading:
        return "fresh coolants of its technology"
    return "the sample before" if held == "previous" else "its fill when fresh"


def _ratio_said(feature: Feature, quantities: Quantities, i: int, expected: str) -> str:
    held = "reference" if feature.of_tap_water else _telling(feature, quantities, i)
    top, below = (
        sum(float(end[i]) for end in quantities.change(key, "rise", held)[:2]) / 2
        for key in (feature.of, feature.to or feature.of)
    )
    pair = f"rise of {_title(feature.of)} to that of {_title(feature.to or '')}"
    return f"{pair} as {top / below:.2g}; {expected}"


def _span(low: float, high: float) -> str:
    """Write an interval as one number, a bound or a range."""
    if low == high:
        return f"{low:.4g}"
    if high >= UNKNOWN:
        return f"above {low:.4g}"
    if low <= 0:
        return f"below {high:.4g}"
    return f"{low:.4g} to {high:.4g}"
