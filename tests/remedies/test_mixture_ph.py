"""The pH of mixtures: against PHREEQC, against sampling, and what is said where it fails."""

import warnings

import numpy as np
import pytest

from chemcheck.chemistry.carbonate import blend, equilibrate, open_to_air, speciate
from chemcheck.errors import ChemcheckWarning
from chemcheck.remedies.mixture_ph import mixture_ph


def water(**readings: float | tuple[float, float]) -> dict[str, tuple[float, float]]:
    """Build a water sampled at 25 deg C; a number is exact."""
    held = {"water_temperature": 25.0, **readings}
    return {key: v if isinstance(v, tuple) else (v, v) for key, v in held.items()}


HARD = water(
    ph=7.4, total_alkalinity=250.0, calcium=100.0, magnesium=20.0, sodium=15.0, potassium=2.0,
    chloride=40.0, sulfate=60.0,
)  # fmt: skip
SOFT = water(
    ph=6.5, total_alkalinity=20.0, calcium=6.0, magnesium=1.5, sodium=5.0, potassium=0.5,
    chloride=8.0, sulfate=7.0,
)  # fmt: skip


@pytest.mark.parametrize(
    ("share", "closed", "opened"),
    [(0.6, 7.27519, 8.60433), (0.3, 7.08429, 8.39011)],
)
def test_against_phreeqc(share, closed, opened):
    # phreeqpython 1.6.2, phreeqc.dat: both waters in mg/L at density 1, MIX, then CO2 at 4.2e-4
    # atm; both invented.
    found = mixture_ph([HARD, SOFT], [False, False], np.array([share, 1.0 - share]))
    assert found.closed == pytest.approx((closed, closed), abs=0.001)
    assert found.open_to_air == pytest.approx((opened, opened), abs=0.001)
    assert found.missing == found.bounded == ()


def test_deionised_water_in_air():
    # In equilibrium with air pure water has pH 5.6 (handbooks); with a trace of bicarbonate and
    # no carbon dioxide beyond it, near 8.
    found = mixture_ph([{"total_alkalinity": (0.0, 2.0)}], [True], np.array([1.0]))
    assert found.closed[0] == pytest.approx(5.6, abs=0.05)
    assert 7.0 < found.closed[1] < 8.5


def test_intervals_hold_what_sampling_finds():
    rng = np.random.default_rng(7)
    hard = water(
        ph=(7.2, 7.6), total_alkalinity=(220.0, 270.0), calcium=(90.0, 110.0),
        magnesium=(15.0, 25.0), sodium=(10.0, 20.0), potassium=(1.0, 3.0), chloride=(30.0, 50.0),
        sulfate=(50.0, 70.0),
    )  # fmt: skip
    soft = water(
        ph=(6.2, 6.8), total_alkalinity=(10.0, 30.0), calcium=(4.0, 8.0), magnesium=(1.0, 2.0),
        sodium=(4.0, 6.0), potassium=0.5, chloride=8.0, sulfate=7.0,
    )  # fmt: skip
    shares = np.array([0.35, 0.65])
    found = mixture_ph([hard, soft], [False, False], shares)
    totals = []
    for box in (hard, soft):
        drawn = {key: rng.uniform(*ends, size=2000) for key, ends in box.items()}
        drawn["alkalinity"] = drawn.pop("total_alkalinity")
        drawn["temperature"] = drawn.pop("water_temperature")
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


def test_a_wider_reading_never_narrows_the_ph():
    wide = HARD | {"total_alkalinity": (200.0, 300.0), "ph": (7.3, 7.5)}
    shares = np.array([0.5, 0.5])
    narrow = mixture_ph([HARD, SOFT], [False, False], shares)
    wider = mixture_ph([wide, SOFT], [False, False], shares)
    for one, other in (
        (narrow.closed, wider.closed),
        (narrow.open_to_air, wider.open_to_air),
    ):
        assert other[0] <= one[0]
        assert one[1] <= other[1]


def test_hardness_and_charges_bound_what_was_not_read():
    known = {"ph", "total_alkalinity", "chloride", "sulfate", "water_temperature"}
    partly = {key: ends for key, ends in HARD.items() if key in known}
    # 100 mg/L calcium and 20 mg/L magnesium are 332 mg/L as CaCO3.
    partly["total_hardness"] = (332.0, 332.0)
    shares = np.array([0.6, 0.4])
    whole = mixture_ph([HARD, SOFT], [False, False], shares)
    found = mixture_ph([partly, SOFT], [False, False], shares)
    assert found.bounded == (0,)
    assert found.closed[0] <= whole.closed[0] <= found.closed[1]
    assert found.open_to_air[0] <= whole.open_to_air[0] <= found.open_to_air[1]
    # Ions act by their strength alone: the interval stays narrow.
    assert found.closed[1] - found.closed[0] < 0.1


def test_what_is_missing_is_named_and_only_of_waters_in_use():
    bare = {"chloride": (8.0, 8.0), "sulfate": (7.0, 7.0), "ph": (7.0, 7.0)}
    found = mixture_ph([HARD, bare], [False, False], np.array([0.5, 0.5]))
    assert found.missing == ((1, "total_alkalinity"),)
    assert np.isnan(found.closed).all()
    assert mixture_ph([HARD, bare], [False, False], np.array([1.0, 0.0])).missing == ()


def test_an_alkalinity_that_cannot_be_is_named_without_a_warning():
    # Hydroxide of pH 11.5 alone is 3 meq/L, 160 mg/L as CaCO3.
    never = HARD | {"ph": (11.5, 11.5), "total_alkalinity": (5.0, 5.0)}
    with warnings.catch_warnings():
        warnings.simplefilter("error", ChemcheckWarning)
        found = mixture_ph([never], [False], np.array([1.0]))
    assert found.missing == ((0, "total_alkalinity"),)
