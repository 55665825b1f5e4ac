"""The pH of mixtures: against PHREEQC, against sampling, and what is said where it fails."""

import warnings

import numpy as np
import pytest

from chemcheck.chemistry.box_search import INPUTS
from chemcheck.chemistry.carbonate import blend, equilibrate, open_to_air, speciate
from chemcheck.errors import ChemcheckWarning
from chemcheck.remedies.mixture_ph import mixture_ph


def water(**readings: float | tuple[float, float]) -> dict[str, tuple[float, float]]:
    """Build a water sampled at 25 deg C; a number is exact."""
    held = {"temperature": 25.0, "silica": 0.0, **readings}
    return {key: v if isinstance(v, tuple) else (v, v) for key, v in held.items()}


def ph_of(waters, shares, pure=None):
    """Mix waters, of which one that is told pure has no pH."""
    ends = [
        {key: np.array([one.get(key, (np.nan, np.nan))[end] for one in waters]) for key in INPUTS}
        for end in (0, 1)
    ]
    return mixture_ph(*ends, np.array(pure or [False] * len(waters)), np.array(shares))


HARD = water(
    ph=7.4, alkalinity=250.0, calcium=100.0, magnesium=20.0, sodium=15.0, potassium=2.0,
    chloride=40.0, sulfate=60.0,
)  # fmt: skip
SOFT = water(
    ph=6.5, alkalinity=20.0, calcium=6.0, magnesium=1.5, sodium=5.0, potassium=0.5,
    chloride=8.0, sulfate=7.0,
)  # fmt: skip


@pytest.mark.parametrize(
    ("share", "closed", "opened"),
    [(0.6, 7.27519, 8.60433), (0.3, 7.08429, 8.39011)],
)
def test_against_phreeqc(share, closed, opened):
    # phreeqpython 1.6.2, phreeqc.dat: both waters in mg/L at density 1, MIX, then CO2 at 4.2e-4
    # atm; both invented.
    found = ph_of([HARD, SOFT], [share, 1.0 - share])
    assert found.closed == pytest.approx((closed, closed), abs=0.001)
    assert found.open_to_air == pytest.approx((opened, opened), abs=0.001)
    assert found.missing == ()


def test_deionised_water_in_air():
    # In equilibrium with air pure water has pH 5.6 (handbooks); with a trace of bicarbonate and
    # no carbon dioxide beyond it, near 8.
    none = dict.fromkeys(INPUTS, (0.0, 0.0))
    found = ph_of([none | {"alkalinity": (0.0, 2.0)}], [1.0], [True])
    assert found.closed[0] == pytest.approx(5.6, abs=0.05)
    assert 7.0 < found.closed[1] < 8.5


def test_intervals_hold_what_sampling_finds():
    rng = np.random.default_rng(7)
    hard = water(
        ph=(7.2, 7.6), alkalinity=(220.0, 270.0), calcium=(90.0, 110.0),
        magnesium=(15.0, 25.0), sodium=(10.0, 20.0), potassium=(1.0, 3.0), chloride=(30.0, 50.0),
        sulfate=(50.0, 70.0),
    )  # fmt: skip
    soft = water(
        ph=(6.2, 6.8), alkalinity=(10.0, 30.0), calcium=(4.0, 8.0), magnesium=(1.0, 2.0),
        sodium=(4.0, 6.0), potassium=0.5, chloride=8.0, sulfate=7.0,
    )  # fmt: skip
    shares = np.array([0.35, 0.65])
    found = ph_of([hard, soft], shares)
    totals = []
    for box in (hard, soft):
        drawn = {key: rng.uniform(*ends, size=2000) for key, ends in box.items()}
        totals.append(speciate(**drawn).totals)
    mixed = blend(totals, np.repeat(shares[:, np.newaxis], 2000, 1))
    for ends, sampled in (
        (found.closed, equilibrate(mixed).ph),
        (found.open_to_air, open_to_air(mixed).ph),
    ):
        assert ends[0] <= sampled.min()
        assert sampled.max() <= ends[1]
        # And no wider than sampling comes near to.
        assert ends[1] - ends[0] < 1.5 * np.ptp(sampled)


def test_an_alkalinity_that_nobody_read_is_wide_and_still_holds_what_sampling_finds():
    # pH 7.6 and an alkalinity from none: mixed with water that holds carbon dioxide.
    rng = np.random.default_rng(11)
    open_box = HARD | {"ph": (7.6, 7.6), "alkalinity": (0.0, 900.0)}
    acid = SOFT | {"ph": (5.5, 5.5), "alkalinity": (2.0, 2.0)}
    shares = np.array([0.4, 0.6])
    found = ph_of([open_box, acid], shares)
    drawn = np.concatenate([rng.uniform(0.1, 5.0, 500), rng.uniform(5.0, 900.0, 1500)])
    totals = [
        speciate(
            **{key: np.full(2000, ends[0]) for key, ends in box.items()}
            | ({"alkalinity": drawn} if box is open_box else {})
        ).totals
        for box in (open_box, acid)
    ]
    sampled = equilibrate(blend(totals, np.repeat(shares[:, np.newaxis], 2000, 1))).ph
    assert found.closed[0] <= sampled.min()
    assert sampled.max() <= found.closed[1]


def test_a_wider_reading_never_narrows_the_ph():
    wide = HARD | {"alkalinity": (200.0, 300.0), "ph": (7.3, 7.5)}
    shares = np.array([0.5, 0.5])
    narrow = ph_of([HARD, SOFT], shares)
    wider = ph_of([wide, SOFT], shares)
    for one, other in (
        (narrow.closed, wider.closed),
        (narrow.open_to_air, wider.open_to_air),
    ):
        assert other[0] <= one[0]
        assert one[1] <= other[1]


def test_what_is_missing_is_named_and_only_of_waters_in_use():
    bare = SOFT | {"alkalinity": (np.nan, np.nan)}
    assert ph_of([HARD, bare], [0.5, 0.5]).missing == ((1, "alkalinity"),)
    assert np.isnan(ph_of([HARD, bare], [0.5, 0.5]).closed).all()
    assert ph_of([HARD, bare], [1.0, 0.0]).missing == ()
    endless = SOFT | {"calcium": (6.0, np.inf)}
    assert ph_of([HARD, endless], [0.5, 0.5]).missing == ((1, "calcium"),)


def test_an_alkalinity_that_cannot_be_is_named_without_a_warning():
    # Hydroxide of pH 11.5 alone is 3 meq/L, 160 mg/L as CaCO3.
    never = HARD | {"ph": (11.5, 11.5), "alkalinity": (5.0, 5.0)}
    with warnings.catch_warnings():
        warnings.simplefilter("error", ChemcheckWarning)
        found = ph_of([never], [1.0])
    assert found.missing == ((0, "alkalinity"),)
