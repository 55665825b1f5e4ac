"""Intervals through the chemistry: containment by brute force, order, and open ends."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chemcheck.chemistry import carbonate
from chemcheck.chemistry.box_search import FIGURES, IONS
from chemcheck.chemistry.intervals import figure_ranges
from chemcheck.chemistry.phosphate import hydroxyapatite_index
from chemcheck.chemistry.precipitation import precipitation_potential
from chemcheck.chemistry.saturation import saturation_index

EXACT = {
    "ph": 7.6,
    "alkalinity": 120.0,
    "calcium": 60.0,
    "magnesium": 12.0,
    "sodium": 20.0,
    "potassium": 3.0,
    "chloride": 40.0,
    "sulfate": 50.0,
    "temperature": 15.0,
}


def figures(inputs: dict[str, np.ndarray], temperature: float) -> dict[str, np.ndarray]:
    """Return the figures of exact waters by the plain functions."""
    ions = {name: inputs[name] for name in IONS}
    water = carbonate.speciate(
        inputs["ph"], inputs["alkalinity"], **ions, temperature=inputs["temperature"]
    )
    hot = carbonate.heat(water, temperature)
    found = {"ph": hot.ph, "ccpp_mg_per_kg": precipitation_potential(hot).potential}
    for solid in ("calcite", "aragonite", "gypsum", "anhydrite"):
        found[f"{solid}_si"] = saturation_index(hot, solid)
    return found


def boxes(rng: np.random.Generator, size: int) -> tuple[dict, dict]:
    """Return boxes as strips give them: from two thirds to one and a half of a random water."""
    middle = {
        "alkalinity": 10.0 ** rng.uniform(1.0, 2.5, size),
        "calcium": 10.0 ** rng.uniform(0.5, 2.4, size),
        "magnesium": 10.0 ** rng.uniform(0.0, 2.0, size),
        "sodium": 10.0 ** rng.uniform(0.5, 2.5, size),
        "potassium": 10.0 ** rng.uniform(0.0, 1.5, size),
        "chloride": 10.0 ** rng.uniform(0.5, 2.5, size),
        "sulfate": 10.0 ** rng.uniform(0.5, 2.7, size),
    }
    factor = {name: rng.uniform(1.0, 1.5, size) for name in middle}
    low = {name: value / factor[name] for name, value in middle.items()}
    high = {name: value * factor[name] for name, value in middle.items()}
    low["ph"] = rng.uniform(6.0, 8.6, size)
    high["ph"] = low["ph"] + rng.uniform(0.0, 0.6, size)
    low["temperature"], high["temperature"] = np.full(size, 5.0), np.full(size, 25.0)
    return low, high


def test_exact_waters_are_exact() -> None:
    found = figure_ranges(EXACT, EXACT, [15.0, 60.0])
    for temperature in (15.0, 60.0):
        expected = figures({n: np.array([v]) for n, v in EXACT.items()}, temperature)
        for figure in FIGURES:
            ends = found[temperature][figure]
            assert ends.lower == ends.upper
            assert ends.lower == pytest.approx(expected[figure], abs=1e-7)


@pytest.mark.parametrize("temperature", [15.0, 90.0])
def test_brute_force_is_contained(temperature: float) -> None:
    """Corners, edges and insides of 40 boxes, 400 waters each: none lies outside its range."""
    rng = np.random.default_rng(11)
    low, high = boxes(rng, 40)
    found = figure_ranges(low, high, [temperature])[temperature]
    inputs = {}
    for name in low:
        kind = rng.random((400, 40))
        place = np.where(kind < 0.35, 0.0, np.where(kind < 0.7, 1.0, rng.random((400, 40))))
        inputs[name] = low[name] + place * (high[name] - low[name])
    for figure, values in figures(inputs, temperature).items():
        ends = found[figure]
        assert np.all(values >= ends.lower), figure
        assert np.all(values <= ends.upper), figure
        # And not by being vast: sampling comes near to both ends.
        reached = (values.max(axis=0) - values.min(axis=0)) / (ends.upper - ends.lower)
        assert np.median(reached) > 0.85, figure


fractions = st.floats(0.0, 1.0)


@given(st.integers(0, 10**6), st.lists(fractions, min_size=18, max_size=18))
@settings(max_examples=10, deadline=None)
def test_a_wider_input_never_narrows(seed: int, cuts: list[float]) -> None:
    low, high = boxes(np.random.default_rng(seed), 1)
    inner_low, inner_high = {}, {}
    for place, name in enumerate(low):
        one, other = sorted(cuts[2 * place : 2 * place + 2])
        span = high[name] - low[name]
        inner_low[name] = low[name] + one * span
        inner_high[name] = np.maximum(low[name] + other * span, inner_low[name])
    narrow = figure_ranges(inner_low, inner_high, [60.0])[60.0]
    wide = figure_ranges(low, high, [60.0])[60.0]
    for figure in FIGURES:
        assert wide[figure].lower <= narrow[figure].lower + 1e-9, figure
        assert wide[figure].upper >= narrow[figure].upper - 1e-9, figure


def test_potential_turns_round_inside() -> None:
    """Rich in carbon dioxide: it falls with alkalinity, then rises; the corners miss the least."""
    low = {**EXACT, "ph": 7.5, "calcium": 15.0, "alkalinity": 20.0}
    high = {**low, "alkalinity": 600.0}
    alkalinity = np.linspace(20.0, 600.0, 400)
    inputs = {name: np.full(400, value) for name, value in low.items()}
    inputs["alkalinity"] = alkalinity
    values = figures(inputs, 15.0)["ccpp_mg_per_kg"]
    assert values.min() < min(values[0], values[-1]) - 1.0
    ends = figure_ranges(low, high, [15.0])[15.0]["ccpp_mg_per_kg"]
    assert ends.lower[0] == pytest.approx(values.min() - 0.25, abs=0.01)


def test_open_upper_end() -> None:
    """Calcium over range: its saturation has no upper end, but a lower one."""
    found = figure_ranges(EXACT, {**EXACT, "calcium": np.inf}, [25.0])[25.0]
    exact = figure_ranges(EXACT, EXACT, [25.0])[25.0]
    for figure in ("calcite_si", "gypsum_si", "ccpp_mg_per_kg"):
        assert np.isposinf(found[figure].upper)
        assert found[figure].lower == exact[figure].lower
    sulfate = figure_ranges(EXACT, {**EXACT, "sulfate": np.inf}, [25.0])[25.0]
    assert np.isposinf(sulfate["gypsum_si"].upper)
    assert np.isneginf(sulfate["calcite_si"].lower)
    assert np.isfinite(sulfate["calcite_si"].upper)


def test_zero_alkalinity_leaves_the_index_open() -> None:
    found = figure_ranges({**EXACT, "alkalinity": 0.0}, EXACT, [25.0])[25.0]
    assert np.isneginf(found["calcite_si"].lower)
    assert np.isfinite(found["calcite_si"].upper)
    assert np.isfinite(found["ccpp_mg_per_kg"].lower)


def test_part_of_the_box_cannot_be() -> None:
    """PH to 10.5 needs 16 mg/L of alkalinity for its hydroxide alone."""
    low, high = {**EXACT, "alkalinity": 5.0}, {**EXACT, "ph": 10.5, "alkalinity": 60.0}
    found = figure_ranges(low, high, [25.0])[25.0]
    assert np.isneginf(found["calcite_si"].lower)
    assert np.isfinite(found["calcite_si"].upper)


def test_none_of_the_box_can_be() -> None:
    low = {**EXACT, "ph": 11.0, "alkalinity": 5.0}
    found = figure_ranges(low, {**low, "alkalinity": 10.0}, [25.0])[25.0]
    assert np.isnan(found["calcite_si"].lower)
    assert np.isnan(found["ccpp_mg_per_kg"].upper)


def test_beyond_the_activity_model() -> None:
    """Chloride to 30 g/L leaves the model: every end is open."""
    high = {**EXACT, "chloride": 30_000.0, "sodium": 20_000.0}
    found = figure_ranges(EXACT, high, [25.0])[25.0]
    assert np.isneginf(found["calcite_si"].lower)
    assert np.isposinf(found["calcite_si"].upper)


def test_missing_is_missing() -> None:
    some = {**EXACT, "sodium": np.array([20.0, np.nan])}
    found = figure_ranges(some, some, [25.0])[25.0]
    assert np.isnan(found["calcite_si"].lower).tolist() == [False, True]


def test_vented_is_another_bound() -> None:
    closed = figure_ranges(EXACT, EXACT, [60.0])[60.0]["calcite_si"]
    vented = figure_ranges(EXACT, EXACT, [60.0], vented=True)[60.0]["calcite_si"]
    assert vented.lower > closed.upper


def test_blocks_do_not_change_the_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    low, high = boxes(np.random.default_rng(5), 6)
    whole = figure_ranges(low, high, [60.0])[60.0]
    monkeypatch.setattr("chemcheck.chemistry.intervals._POINTS", 200)
    parts = figure_ranges(low, high, [60.0])[60.0]
    for figure in FIGURES:
        assert parts[figure].lower == pytest.approx(whole[figure].lower, abs=1e-5)
        assert parts[figure].upper == pytest.approx(whole[figure].upper, abs=1e-5)


def test_ends_the_wrong_way_round() -> None:
    with pytest.raises(ValueError, match="a lower end of calcium exceeds its upper end"):
        figure_ranges({**EXACT, "calcium": 70.0}, EXACT, [25.0])


def test_an_input_left_out() -> None:
    less = {name: value for name, value in EXACT.items() if name != "sodium"}
    with pytest.raises(KeyError, match="sodium"):
        figure_ranges(less, EXACT, [25.0])


def test_other_solids_are_contained() -> None:
    """Brucite, amorphous silica and hydroxyapatite of 20 boxes, 200 waters each."""
    rng = np.random.default_rng(21)
    low, high = boxes(rng, 20)
    low |= {"silica": rng.uniform(0.0, 10.0, 20), "phosphate": rng.uniform(0.1, 1.0, 20)}
    high |= {"silica": low["silica"] + 20.0, "phosphate": 3.0 * low["phosphate"]}
    found = figure_ranges(low, high, [60.0], others=True)[60.0]
    inputs = {}
    for name in low:
        kind = rng.random((200, 20))
        place = np.where(kind < 0.35, 0.0, np.where(kind < 0.7, 1.0, rng.random((200, 20))))
        inputs[name] = (low[name] + place * (high[name] - low[name])).ravel()
    phosphate = inputs.pop("phosphate")
    hot = carbonate.heat(carbonate.speciate(**inputs), 60.0)
    for figure, values in (
        ("brucite_si", saturation_index(hot, "brucite")),
        ("amorphous_silica_si", saturation_index(hot, "amorphous silica")),
        ("hydroxyapatite_si", hydroxyapatite_index(hot, phosphate)),
    ):
        values = values.reshape(200, 20)
        assert np.all(values >= found[figure].lower), figure
        assert np.all(values <= found[figure].upper), figure
        reached = (values.max(axis=0) - values.min(axis=0)) / (
            found[figure].upper - found[figure].lower
        )
        assert np.median(reached) > 0.8, figure
