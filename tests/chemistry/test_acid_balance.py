"""Reserve alkalinity and acids: worked examples, a vessel step by step, and what always holds."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.chemistry.acid_balance import (
    ACIDITY,
    Change,
    acid_balance,
    excess,
    reserve_of_acid,
    reserve_of_alkalinity,
)
from chemcheck.chemistry.range_record import Range
from tests.remedies.mixing import Vessel


def exact(value):
    return Range(np.asarray(float(value)), np.asarray(float(value)))


NOTHING = exact(0.0)


def ends(one):
    return float(one.lower), float(one.upper)


def test_1000_mg_of_glycolate_are_1_3_units():
    # Worked example (computed here): 13.3 meq/L, 1.3 units; 2 % of pKa 3.83 is not given off.
    assert reserve_of_acid("glycolate", 1000.0) == pytest.approx(1.3, abs=0.05)


def test_an_acid_of_pka_4_8_counts_by_83_per_cent():
    # Worked example (computed here): 17 % is still undissociated at pH 5.5.
    full = 590.44 / 59.044 / 10  # 10 meq/L of acetate
    assert reserve_of_acid("acetate", 590.44) / full == pytest.approx(0.85, abs=0.02)


def test_oxalic_acid_gives_two_protons():
    # 88.018 mg are 2 meq; at pH 5.5 the first is given off and 94 % of the second (pKa 4.27).
    assert reserve_of_acid("oxalate", 88.018) == pytest.approx(0.1 * (1.0 + 0.944), abs=0.002)


def test_no_other_acid_is_known():
    with pytest.raises(KeyError, match="citrate"):
        reserve_of_acid("citrate", 1.0)


def test_alkalinity_of_water():
    # 50.04 mg of CaCO3 are 1 meq (IUPAC weights): 500.4 mg/L are 10 meq/L, 1 unit.
    assert reserve_of_alkalinity(500.4) == pytest.approx(1.0, rel=1e-3)


def test_neutral_salt_is_no_acid():
    # 58.44 mg of common salt hold 22.99 mg of sodium and 35.45 of chloride.
    ions = {"chloride": 354.5, "sodium": 229.9, "potassium": 0.0, "calcium": 0.0, "magnesium": 0.0}
    changes = {key: Change(exact(x), NOTHING, NOTHING) for key, x in ions.items()}
    answer = acid_balance(Change(exact(5.0), exact(5.0), NOTHING), exact(1.0), changes)
    assert ends(answer.explained) == pytest.approx((0.0, 0.0), abs=1e-3)


def test_the_same_chloride_without_a_cation_is_acid():
    # 354.5 mg/L of chloride are 10 meq/L: one unit.
    ions = {"chloride": 354.5, "sodium": 0.0, "potassium": 0.0, "calcium": 0.0, "magnesium": 0.0}
    changes = {key: Change(exact(x), NOTHING, NOTHING) for key, x in ions.items()}
    answer = acid_balance(Change(exact(4.0), exact(5.0), NOTHING), exact(1.0), changes)
    assert ends(answer.by_acid["mineral"]) == pytest.approx((1.0, 1.0), abs=1e-3)


def test_without_all_cations_it_may_be_either():
    answer = acid_balance(
        Change(exact(4.0), exact(5.0), NOTHING),
        exact(1.0),
        {"sulfate": Change(exact(500.0), NOTHING, NOTHING)},
    )
    # Worked example (computed here): 500 mg/L of sulfate are 1.0 unit.
    assert ends(answer.by_acid["mineral"]) == pytest.approx((0.0, 1.04), abs=0.01)


def test_sodium_of_a_dose_is_no_salt_of_sulfate():
    # 460 mg/L of nitrite are 10 meq/L, which came with 230 mg/L of sodium.
    ions = {"sulfate": 480.3, "sodium": 229.9, "nitrite": 460.05, "potassium": 0.0,
            "calcium": 0.0, "magnesium": 0.0}  # fmt: skip
    changes = {key: Change(exact(x), NOTHING, NOTHING) for key, x in ions.items()}
    answer = acid_balance(Change(exact(4.0), exact(5.0), NOTHING), exact(1.0), changes)
    assert answer.by_acid["mineral"].upper == pytest.approx(1.0, abs=2e-3)


def test_a_vessel_that_leaked_and_turned_acid():
    # Units are 10 meq/L: acid takes 1 meq of reserve for each meq that is given off.
    vessel = Vessel.of(20.0, reserve=80.0, glycolate=0.0, glycol=50.0)
    for _ in range(10):
        vessel.drain(0.5)
        vessel.add(0.5, reserve=4.0)
        vessel.amounts["glycolate"] += 20.0 * 75.043 * 0.5  # 0.5 mmol/L
        vessel.amounts["reserve"] -= 20.0 * 0.5 / (1 + 10 ** (3.83 - 5.5))
    left = vessel.level("glycol") / 50.0
    answer = acid_balance(
        Change(exact(vessel.level("reserve") / 10), exact(8.0), exact(0.4)),
        exact(left),
        {"glycolate": Change(exact(vessel.level("glycolate")), NOTHING, NOTHING)},
    )
    # What leaked took glycolate and its share of the reserve along alike.
    assert answer.lost.lower == pytest.approx(float(answer.explained.lower), rel=1e-6)
    assert ends(answer.unexplained) == pytest.approx((0.0, 0.0), abs=1e-6)


def test_what_dilution_took_is_not_lost():
    answer = acid_balance(Change(exact(4.0), exact(5.0), NOTHING), exact(0.8), {})
    assert ends(answer.lost) == pytest.approx((0.0, 0.0))


def test_evaporation_lets_nothing_in():
    one = excess(Change(exact(11.0), exact(10.0), exact(85.0)), 1.1)
    assert ends(one) == pytest.approx((0.0, 0.0))


spans = st.tuples(st.floats(0.0, 1000.0), st.floats(0.0, 300.0), st.floats(0.0, 1.0))


@given(st.lists(spans, min_size=8, max_size=8), st.floats(0.5, 1.2), st.floats(0.0, 0.3))
def test_the_ends_hold_whatever_the_true_values_are(values, left, width):
    names = ("glycolate", "formate")
    true, wide = [], []
    for low, span, share in values:
        true.append(exact(low + share * span))
        wide.append(Range(np.asarray(low), np.asarray(low + span)))
    kinds = zip(
        (Change(*true[:3]), Change(*true[2:5]), Change(*true[5:])),
        (Change(*wide[:3]), Change(*wide[2:5]), Change(*wide[5:])),
        strict=True,
    )
    (one, one_wide), (two, two_wide), (three, three_wide) = kinds
    exactly = acid_balance(one, exact(left), dict(zip(names, (two, three), strict=True)))
    share = Range(np.asarray(left), np.asarray(left + width))
    widely = acid_balance(one_wide, share, dict(zip(names, (two_wide, three_wide), strict=True)))
    for part in ("lost", "explained", "unexplained"):
        inner, outer = getattr(exactly, part), getattr(widely, part)
        assert outer.lower <= inner.lower + 1e-6
        assert outer.upper >= inner.upper - 1e-6


def test_every_acid_is_weaker_than_the_buffer_it_uses_up():
    assert all(max(pka) < 5.5 for pka in ACIDITY.values())
