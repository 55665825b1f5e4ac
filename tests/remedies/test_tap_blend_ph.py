"""The pH of whole columns of blends: as each blend by itself, and where there is none."""

import warnings

import numpy as np
import pytest

from chemcheck.chemistry.box_search import INPUTS, IONS
from chemcheck.errors import ChemcheckWarning
from chemcheck.remedies.mixture_ph import mixture_ph
from chemcheck.remedies.tap_blend_ph import tap_blend_ph

PURE = (
    dict.fromkeys(("alkalinity", *IONS, "silica"), 0.0),
    {"alkalinity": 2.0, "calcium": 0.8, **dict.fromkeys(IONS[1:], 1.0), "silica": 0.0},
)


def tables(n=12, seed=3):
    """Draw waters, every other one with intervals."""
    rng = np.random.default_rng(seed)
    lower = {
        "ph": rng.uniform(6.5, 8.2, n),
        "alkalinity": rng.uniform(20.0, 300.0, n),
        "calcium": rng.uniform(5.0, 120.0, n),
        "magnesium": rng.uniform(1.0, 30.0, n),
        "sodium": rng.uniform(3.0, 60.0, n),
        "potassium": rng.uniform(0.5, 5.0, n),
        "chloride": rng.uniform(5.0, 90.0, n),
        "sulfate": rng.uniform(5.0, 90.0, n),
        "silica": rng.uniform(0.0, 20.0, n),
        "temperature": rng.uniform(5.0, 25.0, n),
    }
    wide = np.arange(n) % 2 == 0
    upper = {
        name: values * np.where(wide, 1.02 if name == "ph" else 1.2, 1.0)
        for name, values in lower.items()
    }
    return lower, upper, rng.uniform(0.2, 0.9, n)


def test_each_blend_is_as_by_itself():
    lower, upper, shares = tables()
    found = tap_blend_ph(lower, upper, PURE, shares)
    for k, share in enumerate(shares):
        ends = [
            {name: np.array([each[name][k], pure.get(name, np.nan)]) for name in INPUTS}
            for each, pure in zip((lower, upper), PURE, strict=True)
        ]
        alone = mixture_ph(*ends, np.array([False, True]), np.array([share, 1.0 - share]))
        for columns, expected in (
            (found.closed, alone.closed),
            (found.open_to_air, alone.open_to_air),
        ):
            # Both search corners; `mixture_ph` moves the ions of all waters together.
            assert [end[k] for end in columns] == pytest.approx(expected, abs=0.01)


def test_where_nothing_is_blended_or_known_there_is_none():
    lower, upper, shares = tables(4)
    shares[0], shares[1] = 1.0, np.nan
    lower["ph"][2] = upper["ph"][2] = np.nan
    found = tap_blend_ph(lower, upper, PURE, shares)
    assert np.isnan(found.closed[0]).tolist() == [True, True, True, False]
    assert np.isnan(found.ends[1]).tolist() == [True, True, True, False]


def test_an_alkalinity_that_cannot_be_gives_none_without_a_warning():
    lower, upper, shares = tables(2)
    for each in (lower, upper):
        each["ph"][:], each["alkalinity"][:] = 11.5, 5.0
    with warnings.catch_warnings():
        warnings.simplefilter("error", ChemcheckWarning)
        found = tap_blend_ph(lower, upper, PURE, shares)
    assert np.isnan(found.closed[0]).all()
    assert np.isnan(found.open_to_air[1]).all()


def test_all_deionised_water_has_its_own_ph():
    lower, upper, _ = tables(1)
    found = tap_blend_ph(lower, upper, PURE, np.array([0.0]))
    # Pure water in air: 5.6 (handbooks).
    assert found.closed[0][0] == pytest.approx(5.6, abs=0.05)
