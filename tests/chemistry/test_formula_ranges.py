"""Ranges of the published indices: brute force inside, order, open ends."""

import numpy as np
import pytest

from chemcheck.chemistry.formula_ranges import FORMULAS, formula_range

LOW = {
    "ph": 6.5,
    "temperature": 5.0,
    "dissolved_solids": 200.0,
    "calcium_hardness": 60.0,
    "alkalinity": 50.0,
    "chloride": 20.0,
    "sulfate": 30.0,
}
HIGH = {
    "ph": 8.2,
    "temperature": 25.0,
    "dissolved_solids": 500.0,
    "calcium_hardness": 220.0,
    "alkalinity": 180.0,
    "chloride": 90.0,
    "sulfate": 140.0,
}


@pytest.mark.parametrize("index", sorted(FORMULAS))
def test_brute_force_fills_the_range(index: str) -> None:
    rng = np.random.default_rng(2)
    formula = FORMULAS[index]
    names = (*formula.rising, *formula.falling)
    places = rng.choice([0.0, 0.3, 1.0], size=(len(names), 4000))
    values = formula.function(
        **{
            name: LOW[name] + place * (HIGH[name] - LOW[name])
            for name, place in zip(names, places, strict=True)
        }
    )
    ends = formula_range(index, LOW, HIGH)
    assert values.min() == pytest.approx(ends.lower[0], abs=1e-9)
    assert values.max() == pytest.approx(ends.upper[0], abs=1e-9)


def test_wider_never_narrows() -> None:
    for index in FORMULAS:
        inner = {name: 0.7 * LOW[name] + 0.3 * HIGH[name] for name in LOW}
        narrow, wide = formula_range(index, inner, HIGH), formula_range(index, LOW, HIGH)
        assert wide.lower <= narrow.lower
        assert wide.upper >= narrow.upper


def test_no_alkalinity_leaves_one_end_open() -> None:
    ends = formula_range("langelier_index", {**LOW, "alkalinity": 0.0}, HIGH)
    assert np.isneginf(ends.lower)
    assert np.isfinite(ends.upper)
    ends = formula_range("larson_skold", {**LOW, "alkalinity": 0.0}, HIGH)
    assert np.isposinf(ends.upper)


def test_exact_outside_is_empty() -> None:
    hot = {**LOW, "temperature": 110.0}
    ends = formula_range("langelier_index", hot, hot)
    assert np.isnan(ends.lower)
    assert np.isnan(ends.upper)


def test_missing_is_missing() -> None:
    some = {**LOW, "chloride": np.array([np.nan, 20.0])}
    ends = formula_range("larson_skold", some, HIGH)
    assert np.isnan(ends.lower).tolist() == [True, False]


def test_unknown_index() -> None:
    with pytest.raises(ValueError, match="'langelier' is no index known here"):
        formula_range("langelier", LOW, HIGH)
