"""What logged top-ups exchanged: shares by arithmetic."""

import numpy as np
import pandas as pd
import pytest

from chemcheck.fills import number_fills
from chemcheck.fills.top_up_shares import fluid_kind, top_ups_before, volumes_by_changes


@pytest.fixture
def samples():
    return pd.DataFrame(
        {
            "unit_id": ["A", "A", "A", "B", None],
            "taken_on": pd.to_datetime(
                ["2031-01-01", "2031-03-01", "2031-06-01", "2031-06-01", "2031-06-01"]
            ),
            "hours": np.nan,
            "distance": np.nan,
            "sample_type": "routine",
        }
    )


def log(rows):
    table = pd.DataFrame(rows, columns=["unit_id", "date", "event", "litres", "fluid"])
    table["date"] = pd.to_datetime(table["date"])
    return table.assign(hours=np.nan, distance=np.nan)


def test_shares_multiply_and_fluids_are_kept_apart(samples):
    events = log(
        [
            ("A", "2031-05-01", "top-up", 8.0, "tap water"),
            ("A", "2031-02-01", "top-up", 4.0, "premix 50/50"),
            ("A", "2031-04-01", "top-up", 4.0, "premix 50/50"),
            ("B", "2031-02-01", "dose", 1.0, "additive"),
            ("C", "2031-02-01", "top-up", 1.0, "water"),
        ]
    )
    fills = number_fills(samples, events)
    found = top_ups_before(samples, fills, events, np.array([40.0, 40.0]))
    assert np.exp(found.log_kept) == pytest.approx([1, 0.9, 0.81, 1, 1])
    assert np.exp(found.log_kept_water) == pytest.approx([1, 1, 0.8, 1, 1])
    assert found.premixes.tolist() == [0, 1, 2, 0, 0]
    assert found.doses.tolist() == [0, 0, 0, 1, 0]
    assert not found.without_share.any()


def test_a_share_without_volume_is_unknown_unless_it_is_stated(samples):
    events = log([("A", "2031-02-01", "top-up", 4.0, "premix")])
    fills = number_fills(samples, events)
    blind = top_ups_before(samples, fills, events, np.full(2, np.nan))
    assert blind.without_share.tolist() == [0, 1, 1, 0, 0]
    assert not blind.log_kept.any()
    stated = top_ups_before(samples, fills, events.assign(share=0.25), np.full(2, np.nan))
    assert np.exp(stated.log_kept) == pytest.approx([1, 0.75, 0.75, 1, 1])


def test_a_full_change_tells_what_the_system_holds(samples):
    events = log(
        [
            ("A", "2031-02-01", "change", 36.0, "premix"),
            ("A", "2031-04-01", "change", 38.0, "premix"),
            ("B", "2031-04-01", "partial change", 20.0, "premix"),
        ]
    )
    volume = volumes_by_changes(number_fills(samples, events), events)
    assert volume == pytest.approx([38.0, np.nan], nan_ok=True)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Tap water Brinmouth", "water"),
        ("deionised water", "water"),
        ("premix 50/50", "premix"),
        ("premixed with deionised water", "premix"),
        ("Konzentrat", "concentrate"),
        ("", "unknown"),
    ],
)
def test_the_fluid_is_told_by_its_words(text, kind):
    assert fluid_kind(text) == kind
