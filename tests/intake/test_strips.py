"""Pads of a strip against the rule and the generic charts (common practice, no source)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemcheck.intake.strips import pad_intervals

HARDNESS = (0, 25, 50, 120, 250, 425)
PH = (6.0, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0)
INF = np.inf


@pytest.mark.parametrize(
    ("steps", "low", "high", "span"),
    [
        # s(i-1) < s(i) < s(i+1): from half-way to half-way.
        (PH, 7.5, 7.5, (7.25, 7.75)),
        (PH, 6.0, 6.0, (0, 6.25)),
        (PH, 9.0, 9.0, (8.75, INF)),
        # Between i and i+1.
        (PH, 7.5, 8.0, (7.5, 8.0)),
        (PH, 7.75, 7.75, (7.5, 8.0)),
        (PH, 5.0, 5.0, (0, 6.0)),
        (PH, 9.5, 9.5, (9.0, INF)),
        # The limit of 170 lies inside 120 to 250.
        (HARDNESS, 170, 170, (120, 250)),
        # What is written as below or above a number stays so.
        (HARDNESS, 0, 170, (0, 170)),
        (HARDNESS, 300, INF, (300, INF)),
        (HARDNESS, np.nan, np.nan, (np.nan, np.nan)),
    ],
)
def test_rule(steps, low, high, span):
    found = pad_intervals([low], [high], steps)
    np.testing.assert_equal([found[0].item(), found[1].item()], span)


def test_steps_that_double_meet_in_the_geometric_middle():
    low, high = pad_intervals([30, 60, 0], [30, 60, 0], (0, 30, 60, 120), doubling=True)
    np.testing.assert_allclose(low, [15, 30 * np.sqrt(2), 0])
    np.testing.assert_allclose(high, [30 * np.sqrt(2), 60 * np.sqrt(2), 15])


def test_late_or_expired_strips_span_to_their_neighbours():
    low, high = pad_intervals([0, 50, 425], [0, 50, 425], HARDNESS, widened=True)
    assert low.tolist() == [0, 25, 250]
    assert high.tolist() == [25, 120, INF]


def test_pad_is_recognised_after_a_conversion():
    steps = [(f - 32) / 1.8 for f in (-60, -34, -10, 0)]
    low, high = pad_intervals([-34 * 5 / 9 - 160 / 9], [-34 * 5 / 9 - 160 / 9], steps, floor=-90)
    np.testing.assert_allclose([low.item(), high.item()], [(-47 - 32) / 1.8, (-22 - 32) / 1.8])


@given(st.floats(0, 600), st.booleans(), st.booleans())
def test_the_reading_lies_within_its_interval(value, doubling, widened):
    low, high = pad_intervals([value], [value], HARDNESS, doubling=doubling, widened=widened)
    assert low.item() <= value <= high.item()
    assert low.item() < high.item()


@given(st.sampled_from(HARDNESS), st.booleans())
def test_widening_never_narrows(value, doubling):
    narrow = pad_intervals([value], [value], HARDNESS, doubling=doubling)
    wide = pad_intervals([value], [value], HARDNESS, doubling=doubling, widened=True)
    assert wide[0].item() <= narrow[0].item()
    assert narrow[1].item() <= wide[1].item()
