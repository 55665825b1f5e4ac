"""A fault signature in words and rows that a person reads."""

from dataclasses import dataclass

from chemcheck.analytes import vocabulary
from chemcheck.limit_library.cause_records import DERIVED, Feature, Signature


@dataclass(frozen=True, slots=True)
class FeatureRow:
    """One feature in words.

    Parameters
    ----------
    key, title : str
        Of what it looks at.
    expected : str
        What the cause does to it.
    weight, against : float
        The most that it can say for the cause, and against it [log10 of a likelihood ratio].
    applies : str
        In which technologies it is looked at; empty where in all.
    brings_up : bool
        Whether the cause is raised only where this, or another such, speaks for it.
    """

    key: str
    title: str
    expected: str
    weight: float
    against: float
    applies: str
    brings_up: bool


def explain_cause(signature: Signature) -> tuple[FeatureRow, ...]:
    """Return every feature of a fault signature in words, in the order of the file.

    Parameters
    ----------
    signature : Signature
        Any.

    Examples
    --------
    >>> from chemcheck.limit_library.causes import signatures
    >>> row = explain_cause(signatures()["road_salt"])[0]
    >>> row.title, row.expected
    ('chloride', 'expected up by 50 to 500 mg/L')
    """
    return tuple(
        FeatureRow(
            key=one.of if one.to is None else f"{one.of}/{one.to}",
            title=feature_title(one),
            expected=expected_words(one),
            weight=one.weight,
            against=one.against,
            applies=" or ".join(key.replace("_", " ") for key in sorted(one.technologies)),
            brings_up=one.key,
        )
        for one in signature.features
    )


def feature_title(feature: Feature) -> str:
    """Return what a feature looks at, in words."""
    if feature.of in DERIVED:
        return DERIVED[feature.of][0]
    title = vocabulary()[feature.of].title
    if feature.of_tap_water and feature.look == "level":
        return f"{title} of the tap water"
    if feature.to is None:
        return title
    return f"rise of {title} to that of {vocabulary()[feature.to].title}"


def expected_words(feature: Feature) -> str:
    """Say what a cause does to what a feature looks at."""
    low, high = feature.quoted
    if feature.of in DERIVED:
        unit = f" {DERIVED[feature.of][1]}".rstrip()
    else:
        known = vocabulary()[feature.of]
        if known.words:
            worse = " or worse" if low + 1 < len(known.words) else ""
            return f"expected {known.words[round(low)][0]}{worse}"
        unit = "" if known.unit in ("pH", "1") else f" {known.unit}"
    if feature.look == "ratio" and feature.band is None:
        return "expected as in the tap water"
    if feature.look == "ratio":
        return f"expected {low:.3g} to {high:.3g}"
    if feature.look == "factor" or feature.of == "common_factor":
        return f"expected {low:.3g} to {high:.3g} times that"
    if feature.look == "level":
        return f"expected {'above' if feature.up else 'below'} {low:.4g}{unit}"
    if feature.steady:
        return f"expected no rise by {low:.4g}{unit}"
    word = "up" if feature.up else "down"
    than = " against the tap water" if feature.of_tap_water else ""
    return f"expected {word} by {low:.4g} to {high:.4g}{unit}{than}"
